"""How a review was made: version, landmark model, settings, and when.

It is part of ``review.json``, so that differences between two reviews of one clip can be
explained; see
:mod:`annotate.review.differences`.
"""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version

from pydantic import AwareDatetime, Field

from annotate.catalogue.model import catalogue_id
from annotate.reading import Frozen
from pose.track import TRACK_VERSION, Extraction, PoseTrack

UNKNOWN_VERSION = "unknown"


class PictureSettings(Frozen):
    """How the body was found in the pictures, see :class:`pose.track.Extraction`."""

    landmark_model: str = Field(description="file name of the network")
    landmark_model_id: str = Field(
        description="the first twelve hex digits of the hash (SHA-256) of its content"
    )
    runtime: str = Field(description="library and version that ran it")
    sample_rate_hz: float = Field(description="about how many pictures per second were used")
    max_side_px: int = Field(description="longer side that the pictures were scaled to, at most")
    look_version: int = Field(
        description="version of how pictures are prepared and people followed"
    )


class Provenance(Frozen):
    """How a review was made, apart from clip, plan and corrections."""

    takeproof: str = Field(description='version of takeproof, or "unknown"')
    made: AwareDatetime | None = Field(
        description="when the clip was analysed; null for a track without a clip"
    )
    edited: AwareDatetime | None = Field(
        description="when corrections by hand were last applied; null without corrections"
    )
    pictures: PictureSettings | None = Field(
        description="null for joints of another source, and where it was not recorded"
    )
    person: str | None = Field(
        default=None, description="where the followed person was pointed at; null: chosen by itself"
    )
    track_version: int = Field(description="version of the meaning of the track's columns")
    catalogue: str = Field(
        description="the first twelve hex digits of the hash of the catalogue of movements"
    )
    captions: str | None = Field(
        description="the first twelve hex digits of the hash of what was said, with its times; "
        "null without captions"
    )
    cue_languages: tuple[str, ...] = Field(
        description="languages that cues were looked for in; empty without captions"
    )


def provenance_of(
    track: PoseTrack,
    *,
    made: datetime | None = None,
    edited: datetime | None = None,
    captions: str | None = None,
    cue_languages: tuple[str, ...] = (),
) -> Provenance:
    """Provenance of a review that is made of a track now.

    Parameters
    ----------
    track : PoseTrack
        It records how the body was found in the pictures.
    made, edited : datetime or None
        When the clip was analysed, and when corrections were applied, see :func:`utc_now`.
    captions : str or None
        Hash of what was said, see :func:`annotate.cues.captions.words_id`.
    cue_languages : tuple of str
        Languages that cues are looked for in.
    """
    return Provenance(
        takeproof=takeproof_version(),
        made=made,
        edited=edited,
        pictures=None if track.extraction is None else _picture_settings(track.extraction),
        person=None if track.people is None else track.people.picked,
        track_version=TRACK_VERSION,
        catalogue=catalogue_id(),
        captions=captions,
        cue_languages=cue_languages,
    )


def _picture_settings(how: Extraction) -> PictureSettings:
    return PictureSettings(
        landmark_model=how.model,
        landmark_model_id=how.model_id,
        runtime=how.runtime,
        sample_rate_hz=how.sample_rate_hz,
        max_side_px=how.max_side_px,
        look_version=how.look_version,
    )


def takeproof_version() -> str:
    """The version of the installed package; "unknown" when it runs from a source folder."""
    try:
        return version("takeproof")
    except PackageNotFoundError:
        return UNKNOWN_VERSION


def utc_now() -> datetime:
    """The time now, to the second."""
    return datetime.now(UTC).replace(microsecond=0)
