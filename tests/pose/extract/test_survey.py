"""The survey of a clip, and the seams between its chunks."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pose import landmarks as lm
from pose.errors import PersonNotFound
from pose.extract import survey as module
from pose.extract.chunks import Piece, join
from pose.extract.survey import survey
from pose.persons import People, Pick
from pose.track import BACK_FRACTIONS, ClipInfo, Extraction
from tests.pose.body.boxes import BLUE, RED, Boxes, Colour, around, frame
from tests.pose.conftest import MakeClip

LARGE, SMALL = around(50, 50, 80), around(150, 50, 50)
SECOND_MS = 1000


class NearlyBoxes(Boxes):
    """Finds boxes after a codec has changed their colours a little."""

    def search(self, rgb: Any, window: Any = None, known: Any = ()) -> Any:
        pure = np.full_like(rgb, 128)
        for colour in (RED, BLUE):
            far = np.abs(rgb.astype(int) - colour).max(axis=2)
            pure[far < 60] = colour
        return super().search(pure, window, known)


@pytest.fixture(autouse=True)
def boxes(monkeypatch: pytest.MonkeyPatch) -> list[NearlyBoxes]:
    """Boxes are found instead of people; the landmarkers that were opened."""
    opened: list[NearlyBoxes] = []

    @contextmanager
    def open_boxes(model: Path, engine: str) -> Any:
        opened.append(NearlyBoxes())
        yield opened[-1]

    monkeypatch.setattr(module, "open_landmarker", open_boxes)
    return opened


def film(make_clip: MakeClip, shown: Sequence[dict[Colour, tuple[int, int, int, int]]]) -> Path:
    """A picture a second, each of them a key frame."""
    pictures = [frame(0.0, boxes).rgb for boxes in shown]
    stamps = [SECOND_MS * i for i in range(len(shown))]
    return make_clip(stamps, pictures=pictures, key_every=1)


def test_the_survey_finds_everybody_and_whom_the_film_is_about(make_clip: MakeClip) -> None:
    found = survey(film(make_clip, [{RED: LARGE, BLUE: SMALL}] * 13))
    first, second = found.people.seen
    assert found.people.followed == 0
    assert first.places[0].x == pytest.approx(0.25, abs=0.01)
    assert second.places[0].x == pytest.approx(0.75, abs=0.01)
    # A fifth of the clip is 2.6 s; the picture after each key frame is looked at.
    assert first.times_s == (0, 4, 7, 10)
    assert first.presence == second.presence == 1


def test_a_long_clip_is_looked_at_every_three_seconds(
    make_clip: MakeClip, boxes: list[NearlyBoxes]
) -> None:
    found = survey(film(make_clip, [{RED: LARGE}] * 61))
    assert found.people.seen[0].times_s == (0, *range(4, 61, 3))
    # 20 whole pictures, and two of them with all squares: far from all squares in each.
    assert 20 < boxes[0].searches < 80


def test_somebody_else_may_be_picked(make_clip: MakeClip) -> None:
    clip = film(make_clip, [{RED: LARGE, BLUE: SMALL}] * 5)
    followed = survey(clip, pick=Pick(0.75, 0.5)).people
    assert followed.followed is not None
    assert followed.seen[followed.followed].places[0].x == pytest.approx(0.75, abs=0.01)


def test_somebody_may_be_picked_by_where_he_was_at_a_time(make_clip: MakeClip) -> None:
    moved = around(100, 50, 50)
    clip = film(make_clip, [{RED: LARGE, BLUE: SMALL}] * 5 + [{RED: LARGE, BLUE: moved}] * 5)
    followed = survey(clip, pick=Pick(0.5, 0.5, 9.0)).people
    assert followed.followed is not None
    assert followed.seen[followed.followed].places[0].x == pytest.approx(0.75, abs=0.01)
    with pytest.raises(PersonNotFound):
        survey(clip, pick=Pick(0.5, 0.5, 0.0))


def test_nobody_where_one_was_picked_is_one_line(make_clip: MakeClip) -> None:
    clip = film(make_clip, [{RED: LARGE}] * 3)
    with pytest.raises(PersonNotFound, match="nobody is there") as caught:
        survey(clip, pick=Pick(0.9, 0.1))
    assert "\n" not in str(caught.value)


def test_an_empty_film_has_nobody(make_clip: MakeClip) -> None:
    assert survey(film(make_clip, [{}] * 3)).people == People()


# --- seams --------------------------------------------------------------------------------------


def body(x_px: float) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Landmarks of somebody 100 px high."""
    xy = np.full((lm.COUNT, 2), (x_px, 100), dtype=np.float32)
    xy[0, 1], xy[-1, 1] = 50, 150
    return xy


def piece(start_s: float, lead_in_x_px: float, x_px: float) -> Piece:
    times_s = start_s + np.arange(15) / 15
    n = len(times_s)
    how = Extraction("m.task", "0" * 12, "engine 1", 15, 640, 1)
    return Piece(
        body(lead_in_x_px), (), times_s, np.stack([body(x_px)] * n),
        np.zeros((n, lm.COUNT, 3), np.float32), np.ones((n, lm.COUNT), np.float32),
        np.zeros((n, 2, len(BACK_FRACTIONS)), np.float32), how,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("lead_in_x_px", "doubts_s"), [(105.0, ()), (200.0, (1.0,)), (float("nan"), ())]
)
def test_a_chunk_that_goes_on_with_somebody_else_is_in_doubt(
    lead_in_x_px: float, doubts_s: tuple[float, ...]
) -> None:
    pieces = [piece(0.0, float("nan"), 100), piece(1.0, lead_in_x_px, 100)]
    track = join(pieces, ClipInfo("clip"), People())
    assert track.people is not None and track.people.doubts_s == doubts_s


def test_doubts_inside_of_chunks_are_kept_in_order() -> None:
    pieces = [
        replace(piece(0.0, float("nan"), 100), doubts_s=(0.5,)),
        replace(piece(1.0, 300, 100), doubts_s=(1.2,)),
    ]
    track = join(pieces, ClipInfo("clip"), People())
    assert track.people is not None and track.people.doubts_s == (0.5, 1.0, 1.2)
