"""Why two reviews of one clip differ, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterator

from annotate.review.model import Review
from annotate.review.provenance import PictureSettings, Provenance
from annotate.text import amount, one_line


def differences(first: Review, second: Review) -> list[str]:
    """Everything that differed when two reviews were made, one sentence per difference.

    Empty when nothing differs except when they were made. Where the results differ although
    everything recorded is the same, the only sentence says so.
    """
    found = list(_differences_of_inputs(first, second))
    if not found and _without_provenance(first) != _without_provenance(second):
        found.append("The results differ, but nothing recorded in the reviews explains it.")
    return found


def _differences_of_inputs(first: Review, second: Review) -> Iterator[str]:
    if first.clip.sha256 != second.clip.sha256:
        yield (
            f"They are reviews of different clips: {one_line(first.clip.name)} and "
            f"{one_line(second.clip.name)}."
        )
    a, b = first.provenance, second.provenance
    if a is None or b is None:
        if a is not b:
            which = "first" if a is None else "second"
            yield f"The {which} was made by an older version, which does not record its settings."
    else:
        yield from _provenance_differences(a, b)
    yield from _plan_differences(first, second)
    if first.edits != second.edits:
        one, two = (_correction_count(review) for review in (first, second))
        if one == two:
            yield f"Both have {one} by hand, but not the same."
        else:
            yield f"The first has {one} by hand, the second {two}."
    if first.notes != second.notes:
        yield "The notes are not the same."


def _provenance_differences(a: Provenance, b: Provenance) -> Iterator[str]:
    """Version, pictures, catalogue, captions."""
    if a.takeproof != b.takeproof:
        yield f"takeproof {a.takeproof} made the first, takeproof {b.takeproof} the second."
    if a.pictures is not None and b.pictures is not None:
        yield from _picture_differences(a.pictures, b.pictures)
    elif a.pictures is not b.pictures:
        which = "first" if a.pictures is None else "second"
        yield f"How the body was found is not recorded for the {which}."
    if a.person != b.person:
        one, two = (_whom(p.person) for p in (a, b))
        yield f"The first follows {one}, the second {two}; that may be the same person or not."
    if a.track_version != b.track_version:
        yield "The data kept from the pictures changed between them."
    if a.catalogue != b.catalogue:
        yield "The catalogue of movements changed between them."
    if (a.captions is None) != (b.captions is None):
        yield f"Captions were given for the {'second' if a.captions is None else 'first'} only."
    elif a.captions != b.captions:
        yield "The captions are not the same."
    elif a.cue_languages != b.cue_languages:
        one, two = (", ".join(x.cue_languages) for x in (a, b))
        yield f"Cues were looked for in {one} for the first, in {two} for the second."


def _whom(person: str | None) -> str:
    return "whom the clip is about" if person is None else f"whoever is at {one_line(person)}"


def _picture_differences(a: PictureSettings, b: PictureSettings) -> Iterator[str]:
    if a.landmark_model_id != b.landmark_model_id:
        names = [f"{one_line(x.landmark_model)} ({x.landmark_model_id})" for x in (a, b)]
        yield f"The landmark model of the first is {names[0]}, of the second {names[1]}."
    if a.runtime != b.runtime:
        yield f"The first model was run by {a.runtime}, the second by {b.runtime}."
    if a.sample_rate_hz != b.sample_rate_hz:
        yield (
            f"About {a.sample_rate_hz:g} pictures per second were used for the first, "
            f"{b.sample_rate_hz:g} for the second."
        )
    if a.max_side_px != b.max_side_px:
        yield (
            f"The pictures were scaled to {a.max_side_px} pixels on the longer side for the "
            f"first, to {b.max_side_px} for the second."
        )
    if a.look_version != b.look_version:
        yield "The pictures were prepared, or the person followed, in a different way."


def _plan_differences(first: Review, second: Review) -> Iterator[str]:
    a, b = first.plan, second.plan
    if a == b:
        return
    if a is None or b is None:
        yield f"The {'second' if a is None else 'first'} only was compared with a plan."
    elif a.title != b.title:
        yield (
            f'They were compared with different plans: "{one_line(a.title)}" and '
            f'"{one_line(b.title)}".'
        )
    else:
        yield f'The plan "{one_line(a.title)}" was changed between them.'


def _correction_count(review: Review) -> str:
    return amount(len(review.edits), "correction") if review.edits else "no correction"


def _without_provenance(review: Review) -> Review:
    """A review without its provenance, and without what depends on its folder: name and stills."""
    clip = review.clip.model_copy(update={"name": ""})
    return review.model_copy(update={"provenance": None, "clip": clip, "stills": ()})
