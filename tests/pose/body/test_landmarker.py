"""Each engine on rendered figures, whose joints are known to the pixel; both against each other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pose import landmarks as lm
from pose.body.engine import Engine, open_landmarker
from pose.body.follow import follow
from pose.body.landmarker import Landmarker, Person
from pose.errors import ModelError
from pose.persons import People
from pose.video.decode import frames
from pose.video.picture import Frame

pytestmark = pytest.mark.slow

SHORT = Path(__file__).parents[3] / "clips" / "short"


@pytest.fixture(scope="module")
def pictures() -> list[Frame]:
    return list(frames(SHORT / "squat-front.mp4", sample_rate_hz=5, end_s=2))


def limbs_off_trunks(people: list[Person], pictures: list[Frame]) -> float:
    """Mean distance of the large joints from where they were rendered, trunk lengths."""
    truth = np.load(SHORT / "squat-front.truth.npz")
    rows = [int(np.abs(truth["times_s"] - p.time_s).argmin()) for p in pictures]
    names = [str(name) for name in truth["joint_names"]]
    limbs = [n for n in names if n.split("_")[-1] in ("shoulder", "hip", "knee", "ankle")]
    expected_px = truth["joints_px"][rows][:, [names.index(n) for n in limbs]].astype(float)
    xy_px = np.stack([p.xy * (640, 360) for p in people])[:, [lm.INDEX[n] for n in limbs]]
    trunk_px = np.linalg.norm(
        expected_px[:, limbs.index("left_shoulder")] - expected_px[:, limbs.index("left_hip")],
        axis=1,
    )
    return float(np.mean(np.linalg.norm(xy_px - expected_px, axis=2) / trunk_px[:, None]))


def test_tracked_joints_are_where_they_were_rendered(
    landmarker: Landmarker, pictures: list[Frame]
) -> None:
    landmarker.reset()
    people = [p for p in (landmarker.track(f.rgb) for f in pictures) if p is not None]
    assert len(people) == len(pictures)
    # Measured over all figures: mean joint error 0.04 to 0.08 trunk lengths.
    assert limbs_off_trunks(people, pictures) < 0.15
    mask = people[0].mask
    assert mask is not None
    # As many pixels of the picture belong to the person as the figure has: 2 to 30 %.
    area_px = mask.values.sum() / abs(np.linalg.det(mask.from_picture[:, :2]))
    assert 0.02 < area_px / (640 * 360) < 0.3


def test_joints_found_in_one_picture_alone(landmarker: Landmarker, pictures: list[Frame]) -> None:
    found = [landmarker.search(f.rgb) for f in pictures]
    assert [len(people) for people in found] == [1] * len(pictures)
    assert limbs_off_trunks([p for (p,) in found], pictures) < 0.15


def test_visibility_and_presence_are_between_0_and_1(
    landmarker: Landmarker, pictures: list[Frame]
) -> None:
    (person,) = landmarker.search(pictures[0].rgb)
    for values in (person.visibility, person.presence):
        assert values.shape == (lm.COUNT,) and ((values >= 0) & (values <= 1)).all()
    assert person.presence.min() > 0.9


def test_a_searched_person_is_tracked_from_there(
    landmarker: Landmarker, pictures: list[Frame]
) -> None:
    # The same figure twice, side by side; the tracker is told to take the other one.
    twice = np.concatenate([pictures[0].rgb[:, 160:480]] * 2, axis=1)
    landmarker.reset()
    tracked = landmarker.track(twice)
    assert tracked is not None
    middles = sorted(p.xy[list(lm.HIPS), 0].mean() for p in landmarker.search(twice))
    assert middles == pytest.approx([0.25, 0.75], abs=0.03)
    other = max(landmarker.search(twice), key=lambda p: abs((p.xy - tracked.xy)[lm.HIPS[0], 0]))
    retargeted = landmarker.retarget(twice, other)
    after = landmarker.track(twice)
    assert retargeted is not None and after is not None
    for person in (retargeted, after):
        assert person.xy[list(lm.HIPS)] == pytest.approx(other.xy[list(lm.HIPS)], abs=0.02)


def test_a_broken_bundle_is_one_line(engine: Engine, tmp_path: Path) -> None:
    path = tmp_path / "broken.task"
    path.write_bytes(b"no bundle at all")
    with pytest.raises(ModelError) as caught, open_landmarker(path, engine):
        pass
    assert str(caught.value) == f"{path}: not a usable pose model; delete the file"


def test_a_figure_is_followed_in_pixels_of_the_full_picture(
    landmarker: Landmarker, pictures: list[Frame]
) -> None:
    samples = list(follow(pictures, (1280, 720), landmarker, People()))
    assert [s.time_s for s in samples] == [p.time_s for p in pictures]
    truth = np.load(SHORT / "squat-front.truth.npz")
    knee = [str(name) for name in truth["joint_names"]].index("left_knee")
    expected_px = 2 * truth["joints_px"][0, knee].astype(float)
    assert samples[0].xy_px[lm.KNEES[0]] == pytest.approx(expected_px, abs=30)
    assert np.isfinite(samples[0].outline).any()
