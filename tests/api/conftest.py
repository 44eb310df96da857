"""A review made by hand, so that command line and service are tested without analysing a video."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from annotate import pipeline
from annotate.pipeline import Take
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import Timeline, unroll
from annotate.review.model import (
    Clip,
    Comparison,
    Notice,
    Period,
    PeriodKind,
    RepSet,
    Review,
    Totals,
)
from pose.errors import PersonNotFound
from pose.persons import People, PersonSeen, Pick, Place
from pose.track import ClipInfo, PoseTrack
from pose.video.source import Source, name_of
from tests import stick
from tests.stick import Stance, knee_up, squatting, track, wave

PLAN = """\
title: Harbour intervals [bold]
blocks:
  - name: Squat [red]
    movement: squat
    rounds: 2
    work: 30
    recovery: 15
    last_recovery: false
    reps: 14
"""

Progress = Callable[[str, float], None]
# A large one on the left and a small one on the right.
TWO_PEOPLE = tuple(
    PersonSeen(
        (0.0, 3.0), (Place(x, 0.5, size),) * 2, ((x - 0.1, 0.2, x + 0.1, 0.8),) * 2,
        (0.0,) * 6, 1.0, 0.1,
    )
    for x, size in ((0.3, 0.4), (0.8, 0.2))
)  # fmt: skip


@cache
def squats() -> PoseTrack:
    """Two rounds of squats, 30 s with 14 and 25 s with 11, and 15 s of knee lifts between."""
    starts = [*(0.4 + 2.1 * i for i in range(14)), *(45.4 + 2.2 * i for i in range(11))]
    lifts = [30.2 + 0.9 * i for i in range(16)]
    times = np.arange(70 * 15) / 15
    depth = wave(times, starts, 1.8)
    left, right = wave(times, lifts[::2], 0.8), wave(times, lifts[1::2], 0.8)

    def stance(t: float) -> Stance:
        i = round(t * 15)
        return knee_up(left[i], right[i]) if 30 <= t < 45 else squatting(float(depth[i]))

    return track(70, stance, yaw_deg=45, noise_m=0.004)


def made_review(timeline: Timeline | None, name: str = "take.mp4") -> Review:
    """Work 30 s with 14 reps, recovery, a short second round, then a march nobody planned."""
    spans: list[tuple[PeriodKind, str | None, float, float, int]] = [
        ("work", "squat", 0, 30, 14),
        ("recovery", None, 30, 45, 0),
        ("work", "squat", 45, 70, 11),
        ("work", "march", 70, 90, 40),
    ]
    periods = tuple(
        Period(
            index=i, kind=kind, start_s=start, end_s=end, duration_s=end - start, confidence=1,
            movement=movement, movement_confidence=1, intensity=None,
            reps=RepSet(count=count, confidence=1),
        )
        for i, (kind, movement, start, end, count) in enumerate(spans)
    )  # fmt: skip
    rows: list[Comparison] = []
    if timeline is not None:
        for i, planned in enumerate(timeline.periods):
            short = i == 2
            rows.append(
                Comparison(
                    planned=planned, delivered=i, status="short" if short else "as planned",
                    duration_diff_s=-5.0 if short else 0.0, reps_diff=-3 if short else 0,
                    text="5 s short, 3 reps fewer" if short else "",
                )
            )  # fmt: skip
        rows.append(
            Comparison(planned=None, delivered=3, status="added", text="20 s nobody planned")
        )
    return Review(
        clip=Clip(
            name=name, sha256="0" * 64, duration_s=90, frame_rate=30, variable_frame_rate=False,
            width=640, height=360, rotation_deg=0,
        ),
        plan=timeline,
        view=(),
        periods=periods,
        comparison=tuple(rows),
        totals=Totals(
            planned_s=timeline.total_s if timeline else None, delivered_s=90,
            planned_work_s=timeline.work_s if timeline else None, delivered_work_s=75,
            planned_recovery_s=timeline.recovery_s if timeline else None, delivered_recovery_s=15,
        ),
        notices=(
            Notice(level="look", code="back", start_s=50, end_s=55, text="Look at the [i]back."),
        ),
    )  # fmt: skip


def fake_read_take(
    clip: Source,
    captions: Path | None = None,
    *,
    person: Pick | None = None,
    progress: Progress | None = None,
) -> Take:
    """Stand in for seeing and hearing a clip with two people in it."""
    if progress is not None:
        progress("finding the body", 0.1)
        progress("finding the body", 0.5)
        progress("comparing with the plan", 0.9)
    if person is not None and person.y > 0.9:
        raise PersonNotFound(f"person {person}: nobody is there (2 found elsewhere)")
    track = stick.track(2.0, lambda t: stick.Stance())
    followed, picked = (0, None) if person is None else (1, str(person))
    people = People(TWO_PEOPLE, followed, picked=picked)
    return Take(replace(track, clip=replace(track.clip, name=name_of(clip)), people=people))


def fake_review_take(
    take: Take, plan: ClassPlan | Timeline | None = None, **given: object
) -> Review:
    """Stand in for the analysis."""
    timeline = unroll(plan) if isinstance(plan, ClassPlan) else plan
    return made_review(timeline, take.track.clip.name)


@pytest.fixture
def no_video(monkeypatch: pytest.MonkeyPatch) -> None:
    """Replace seeing, hearing and the analysis."""
    monkeypatch.setattr(pipeline, "read_take", fake_read_take)
    monkeypatch.setattr(pipeline, "review_take", fake_review_take)


@pytest.fixture(autouse=True)
def logs(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep the logs of provoked faults out of the user's own folder."""
    folder = tmp_path_factory.mktemp("logs")
    monkeypatch.setattr("api.faults.user_log_path", lambda *a, **k: folder)
    return folder


@pytest.fixture
def plan_file(tmp_path: Path) -> Path:
    path = tmp_path / "harbour.plan.yaml"
    path.write_text(PLAN)
    return path


@pytest.fixture
def clip_file(tmp_path: Path) -> Path:
    path = tmp_path / "take.mp4"
    path.write_bytes(b"not looked at")
    return path


@pytest.fixture
def squats_analysed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Any clip shows :func:`squats`, really analysed."""

    def read_take(
        clip: Source,
        captions: Path | None = None,
        *,
        person: Pick | None = None,
        progress: Progress,
    ) -> Take:
        progress("counting and comparing", 0.97)
        return pipeline.make_take(squats())

    monkeypatch.setattr(pipeline, "read_take", read_take)
    found = SimpleNamespace(info=ClipInfo("take.mp4"))
    monkeypatch.setattr("api.http.routes.reviews.probe", lambda path: found)
