"""Scenes of several figures: depth, places over time, truth that agrees with the pixels."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from clips.camera import Camera
from clips.scene_set import SEEDS, scene_set
from clips.scenes import Placed, Scene, film_scene
from clips.session import Period

pytest.importorskip("moderngl")
CAMERA = Camera(yaw_deg=0, height_m=1.3, distance_m=4.6, aim_m=(0.0, 0.0, 0.98))
STAND = (Period("still", "stand", 1.0),)


def filmed(
    scene: Scene, folder: Path
) -> tuple[list[NDArray[np.uint8]], dict[str, NDArray[np.float64]]]:
    path = film_scene(scene, folder)
    with av.open(str(path)) as container:
        pictures = [f.to_ndarray(format="rgb24") for f in container.decode(video=0)]
    with np.load(path.with_suffix(".truth.npz")) as data:
        return pictures, {key: data[key] for key in data.files}


def top_at(
    picture: NDArray[np.uint8], truth: dict[str, NDArray[np.float64]], figure: int
) -> NDArray[np.float64]:
    """Colour of the picture in the middle of a figure's chest."""
    names = [str(n) for n in truth["joint_names"]]
    chest = [names.index(n) for n in ("left_shoulder", "right_shoulder", "left_hip", "right_hip")]
    x, y = truth["joints_px"][figure, 0, chest].mean(axis=0).round().astype(int)
    return np.asarray(picture[y - 3 : y + 4, x - 3 : x + 4].reshape(-1, 3).mean(axis=0))


@pytest.mark.slow
def test_the_nearer_figure_hides_the_one_behind(tmp_path: Path) -> None:
    front = Placed(STAND, "man-a", "mint", (0.0, 0.0))
    behind = Placed(STAND, "man-a", "plum", (0.0, 2.0))
    alone, truth = filmed(Scene("alone", (front,), CAMERA), tmp_path)
    for order in ((front, behind), (behind, front)):
        both, _ = filmed(Scene("both", order, CAMERA), tmp_path)
        assert top_at(both[0], truth, 0) == pytest.approx(top_at(alone[0], truth, 0), abs=12)


@pytest.mark.slow
def test_truth_says_where_each_figure_is(tmp_path: Path) -> None:
    left = Placed(STAND, "woman-a", "mint", (-1.0, 0.0))
    right = Placed(STAND, "woman-b", "plum", (1.2, 1.0))
    pictures, truth = filmed(Scene("two", (left, right), CAMERA), tmp_path)
    hips = [str(n) for n in truth["joint_names"]].index("left_hip")
    assert truth["joints_px"][0, 0, hips, 0] < 320 < truth["joints_px"][1, 0, hips, 0]
    mint, plum = top_at(pictures[0], truth, 0), top_at(pictures[0], truth, 1)
    assert mint[1] > mint[0] + 20  # green
    assert plum[0] > plum[1] + 20  # red


@pytest.mark.slow
def test_who_comes_later_is_nowhere_before(tmp_path: Path) -> None:
    late = Placed(STAND, "woman-a", "mint", (0.0, 0.0), from_s=0.5)
    pictures, truth = filmed(Scene("late", (late,), CAMERA), tmp_path)
    there = np.isfinite(truth["joints_px"][0, :, 0, 0])
    assert not there[:7].any() and there[8:].all()
    assert np.abs(pictures[0].astype(int) - pictures[-1]).max() > 100
    assert np.abs(pictures[0].astype(int) - pictures[5]).max() < 20


@pytest.mark.slow
def test_a_table_covers_and_a_camera_turns(tmp_path: Path) -> None:
    def turning(camera: Camera, time_s: float) -> Camera:
        return replace(camera, aim_m=(0.5 * time_s, 0.0, 0.98))

    person = Placed(STAND, "woman-a", "mint", (0.0, 0.0))
    scene = Scene("table", (person,), CAMERA, turning, covered=((0.0, 0.6, 1.0, 1.0),))
    pictures, truth = filmed(scene, tmp_path)
    assert np.abs(pictures[0][300].astype(int) - (92, 74, 58)).max() < 12
    nose = truth["joints_px"][0, :, 0, 0]
    assert nose[0] - nose[-1] > 30  # the camera turns right, the person moves left


def test_both_halves_have_every_kind_and_share_no_scene() -> None:
    develop, report = scene_set("develop"), scene_set("report")
    assert len(develop) == len(report) >= 14 and set(SEEDS) == {"develop", "report"}
    for a, b in zip(develop, report, strict=True):
        assert a.scene.name.removesuffix("-develop") == b.scene.name.removesuffix("-report")
        assert a.scene.figures != b.scene.figures
        looks = [f.look for f in a.scene.figures]
        same = a.scene.name.startswith("same-clothes")
        assert (len(set(looks)) == len(looks)) != same
