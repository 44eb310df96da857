"""Notices of people: several in the picture, a small one, lost, or perhaps exchanged.

They say whom the review is about, so that nobody reads another person's repetitions as her own.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from annotate.review.model import Notice
from annotate.text import amount, clock
from pose import landmarks as lm
from pose.persons import PersonSeen
from pose.track import PoseTrack

# Somebody in fewer of the pictures only passed through, and is not told.
_MIN_PRESENCE = 0.1
# Missed in one picture of ten, a person was there all the same.
_ALL_THROUGH = 0.9
# A trunk shorter than this is seen in less detail than the landmark network was made for: on
# 256 pixels a whole body has a trunk of 60 to 70. The shortest in the tests of accuracy is 25.
_SMALL_TRUNK_PX = 40.0
# Pictures are looked at scaled to this longer side (pose.extract.pictures), which the limit is of.
_LOOKED_AT_PX = 640
# Shorter gaps are an arm in front of the lens, a spin, a picture that could not be decoded.
_MIN_LOST_S = 2.0
# Many shorter gaps together: over a minute in a class of half an hour.
_MIN_MISSING_FRACTION = 0.05
# So many times are listed; more are counted.
_MAX_LISTED = 4
# Doubts nearer together than this are one event: two people cross.
_SAME_EVENT_S = 5.0


def about_people(track: PoseTrack) -> list[Notice]:
    """Report who is in the picture beside the followed person, and where it is in doubt."""
    return [*_several(track), *_doubts(track), *_small(track), *_lost(track)]


def lost_spans_s(track: PoseTrack) -> list[tuple[float, float]]:
    """Stretches of two seconds and more in which the followed person was not found."""
    edges = np.diff(np.concatenate([[False], ~track.present, [False]]).astype(int))
    times_s = np.append(track.times_s, max(track.clip.duration_s, track.times_s[-1]))
    starts_s, ends_s = times_s[np.flatnonzero(edges == 1)], times_s[np.flatnonzero(edges == -1)]
    spans_s = zip(starts_s.tolist(), ends_s.tolist(), strict=True)
    return [(start_s, end_s) for start_s, end_s in spans_s if end_s - start_s >= _MIN_LOST_S]


def _several(track: PoseTrack) -> list[Notice]:
    if track.people is None or track.people.followed is None:
        return []
    seen, followed = track.people.seen, track.people.seen[track.people.followed]
    others = [p for p in seen if p is not followed and p.presence >= _MIN_PRESENCE]
    if not others:
        return []
    when = ", ".join(_when(p) for p in others[:_MAX_LISTED])
    point = followed.boxes[len(followed.boxes) // 2]
    x, y = (point[0] + point[2]) / 2, (point[1] + point[3]) / 2
    return [
        Notice(
            level="warning",
            code="several-people",
            text=f"{amount(1 + len(others), 'person').replace('persons', 'people')} in the "
            f"picture. This review is about {_which(followed, others)}, around {x:.2f},{y:.2f} "
            f"of the picture at {clock(followed.times_s[len(followed.times_s) // 2])}. "
            f"Others: {when}. If you meant somebody else, choose that person and review again.",
            origin="footage",
        )
    ]


def _which(followed: PersonSeen, others: Sequence[PersonSeen]) -> str:
    """The followed person in words: by size where it is clear, and by side."""
    size = float(np.median([p.size for p in followed.places]))
    largest = all(size > 1.15 * float(np.median([p.size for p in o.places])) for o in others)
    x = float(np.median([p.x for p in followed.places]))
    xs = [float(np.median([p.x for p in o.places])) for o in others]
    side = "left" if x < min(xs) else "right" if x > max(xs) else "middle"
    where = f"on the {side}" if side != "middle" else "in the middle"
    return f"the largest, {where}" if largest else f"the one {where}"


def _when(person: PersonSeen) -> str:
    if person.presence >= _ALL_THROUGH:
        return "one all through"
    first, last = clock(person.times_s[0]), clock(person.times_s[-1])
    return f"one at {first}" if first == last else f"one {first}-{last}"


def _doubts(track: PoseTrack) -> list[Notice]:
    if track.people is None:
        return []
    events_s: list[float] = []
    last_s = -np.inf
    for time_s in track.people.doubts_s:
        if time_s - last_s > _SAME_EVENT_S:
            events_s.append(time_s)
        last_s = time_s
    return [
        Notice(
            level="warning",
            code="person-in-doubt",
            start_s=time_s,
            text=f"At {clock(time_s)} two people were close together and look alike: from there "
            "on this may be about the other one. Look at the clip there.",
            origin="footage",
        )
        for time_s in events_s
    ]


def _small(track: PoseTrack) -> list[Notice]:
    longer_px = max(track.clip.width, track.clip.height)
    if not longer_px or not track.present.any():
        return []
    xy = track.xy_px[track.present]
    chord = xy[:, list(lm.SHOULDERS)].mean(axis=1) - xy[:, list(lm.HIPS)].mean(axis=1)
    # The upper quartile: bent over towards the camera the trunk looks short.
    trunk_px = float(np.percentile(np.hypot(chord[:, 0], chord[:, 1]), 75))
    if trunk_px * min(1.0, _LOOKED_AT_PX / longer_px) >= _SMALL_TRUNK_PX:
        return []
    height = track.clip.height
    return [
        Notice(
            level="warning",
            code="small-person",
            text=f"The person is small in the picture (the trunk is {trunk_px:.0f} of {height} "
            "pixels high): small movements and the back line cannot be seen well. Put the camera "
            "nearer: head to feet should fill half of the height.",
            origin="footage",
        )
    ]


def _lost(track: PoseTrack) -> list[Notice]:
    spans_s = lost_spans_s(track)
    missing = 1.0 - float(track.present.mean())
    if not spans_s and missing <= _MIN_MISSING_FRACTION:
        return []
    if not spans_s:
        text = f"The person was not found in {missing:.0%} of the pictures, a moment here and there"
        return [
            Notice(
                level="warning",
                code="absent",
                text=f"{text}: counts may miss repetitions.",
                origin="footage",
            )
        ]
    if len(spans_s) == 1:
        ((start_s, end_s),) = spans_s
        return [
            Notice(
                level="warning",
                code="absent",
                start_s=start_s,
                end_s=end_s,
                text="The person was not found here: not assessable.",
                origin="footage",
            )
        ]
    listed = ", ".join(f"{clock(a)}-{clock(b)}" for a, b in spans_s[:_MAX_LISTED])
    more = len(spans_s) - _MAX_LISTED
    also = f" and {amount(more, 'more time')}" if more > 0 else ""
    return [
        Notice(
            level="warning",
            code="absent",
            text=f"The person was not found {listed}{also}: not assessable there.",
            origin="footage",
        )
    ]
