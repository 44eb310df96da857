"""Tracking from crop to crop, on looks that are told what they see."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from pose import landmarks as lm
from pose.body.landmarker import Crop, Person
from pose.body.litert import detector, landmarks, tracker
from pose.body.litert.detector import Detection
from pose.body.litert.tracker import LiteRtLandmarker
from pose.body.model import model_file

PICTURE = np.zeros((100, 100, 3), dtype=np.uint8)
A, B, MOVED = Crop(20, 50, 40, 0), Crop(70, 50, 40, 0), Crop(25, 50, 40, 0)


@dataclass
class Seen:
    """Who is detected, what is seen where, and what was looked at."""

    detected: list[Crop] = field(default_factory=list)
    scores: dict[Crop, float] = field(default_factory=dict)
    goes_to: dict[Crop, Crop] = field(default_factory=dict)
    looked: list[Crop] = field(default_factory=list)
    detections: int = 0


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> Seen:
    told = Seen()

    def detect(rgb: Any, network: Any, window: Any = None) -> list[Detection]:
        told.detections += 1
        return [Detection(0.9, crop) for crop in told.detected]

    def look(rgb: Any, crop: Crop, network: Any) -> Person:
        told.looked.append(crop)
        xy = np.full((lm.COUNT, 2), crop.x_px / 100)
        ones = np.ones(lm.COUNT)
        score, goes_to = told.scores.get(crop, 1.0), told.goes_to.get(crop, crop)
        return Person(xy, np.zeros((lm.COUNT, 3)), ones, ones, score, None, goes_to)

    monkeypatch.setattr(detector, "detect", detect)
    monkeypatch.setattr(landmarks, "look", look)
    monkeypatch.setattr(tracker, "Network", lambda *_: None)
    return told


@pytest.fixture
def landmarker(seen: Seen) -> LiteRtLandmarker:
    return LiteRtLandmarker(model_file())


def where(person: Person | None) -> float | None:
    return None if person is None else float(person.xy[0, 0] * 100)


def test_who_is_tracked_is_not_searched_again(landmarker: LiteRtLandmarker, seen: Seen) -> None:
    seen.detected, seen.goes_to = [A, B], {A: MOVED}
    assert [where(landmarker.track(PICTURE)) for _ in range(3)] == [20, 25, 25]
    assert seen.detections == 1 and seen.looked == [A, MOVED, MOVED]


def test_who_is_lost_is_searched_in_the_same_picture(
    landmarker: LiteRtLandmarker, seen: Seen
) -> None:
    seen.detected = [A]
    landmarker.track(PICTURE)
    seen.scores, seen.detected = {A: 0.4}, [B]
    assert where(landmarker.track(PICTURE)) == 70


def test_nobody_is_nobody_and_searched_in_every_picture(
    landmarker: LiteRtLandmarker, seen: Seen
) -> None:
    assert [landmarker.track(PICTURE) for _ in range(2)] == [None, None]
    seen.detected, seen.scores = [A], {A: 0.49}
    assert landmarker.track(PICTURE) is None
    assert seen.detections == 3


def test_searching_gives_everybody_and_leaves_the_tracked_one(
    landmarker: LiteRtLandmarker, seen: Seen
) -> None:
    seen.detected = [A]
    landmarker.track(PICTURE)
    seen.detected, seen.scores = [B, A, Crop(50, 50, 40, 0)], {B: 0.3}
    assert [where(p) for p in landmarker.search(PICTURE)] == [20, 50]
    assert where(landmarker.track(PICTURE)) == 20


def test_known_people_are_not_looked_at_again(landmarker: LiteRtLandmarker, seen: Seen) -> None:
    seen.detected = [A, B]
    near_a = Crop(23, 52, 50, 10)
    assert [where(p) for p in landmarker.search(PICTURE, None, [near_a])] == [70]
    assert seen.looked == [B]
    # Far away, or of another size, it is somebody else.
    for other in (Crop(30, 50, 40, 0), Crop(20, 50, 80, 0)):
        assert len(landmarker.search(PICTURE, None, [other])) == 2


def test_the_score_is_the_lower_of_detector_and_landmarks(
    landmarker: LiteRtLandmarker, seen: Seen
) -> None:
    seen.detected, seen.scores = [A, B], {A: 0.95, B: 0.6}
    # The detector is 0.9 sure of everybody.
    assert [p.score for p in landmarker.search(PICTURE)] == [0.9, 0.6]


def test_no_more_than_four_are_looked_at(landmarker: LiteRtLandmarker, seen: Seen) -> None:
    seen.detected = [Crop(10.0 * i, 50, 40, 0) for i in range(6)]
    assert len(landmarker.search(PICTURE)) == tracker.MAX_PEOPLE == 4


def test_retargeting_tracks_from_there(landmarker: LiteRtLandmarker, seen: Seen) -> None:
    seen.detected = [A, B]
    landmarker.track(PICTURE)
    other = landmarker.search(PICTURE)[1]
    assert where(landmarker.retarget(PICTURE, other)) == 70
    assert where(landmarker.track(PICTURE)) == 70


def test_after_a_reset_it_searches(landmarker: LiteRtLandmarker, seen: Seen) -> None:
    seen.detected = [A]
    landmarker.track(PICTURE)
    landmarker.reset()
    seen.detected = [B]
    assert where(landmarker.track(PICTURE)) == 70
    landmarker.close()
