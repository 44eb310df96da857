"""The commands for a finished review: correct it, export it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from api.cli.output import OutFolder, print_line, print_produced


def correct(
    review: Annotated[Path, typer.Argument(metavar="REVIEW_JSON", help="A review.json.")],
    edits: Annotated[Path, typer.Argument(metavar="EDITS_YAML", help="The list of corrections.")],
    out: OutFolder = None,
) -> None:
    """Apply corrections by hand to a review; everything that depends on them is made again.

    Without --out the result goes into the folder "corrected" beside REVIEW_JSON, which is not
    changed.
    """
    from annotate import pipeline
    from annotate.review.edits import read_edits
    from annotate.review.read import read_review
    from api.work.files import check_folder
    from api.work.folder import ReviewFolder
    from api.work.produce import produce

    source, folder = ReviewFolder(review.parent), ReviewFolder(out or review.parent / "corrected")
    check_folder(folder.path)
    before = read_review(review)
    listed = read_edits(edits)
    take = source.take(before)
    result = pipeline.review_take(take, before.plan, edits=listed, notes=before.notes)
    inputs = source.inputs(before)
    produced = produce(folder, result, track=take.track, inputs=inputs, clip=inputs.clip)
    print_produced(produced, folder)
    if result.stills and inputs.clip is None:
        print_line(f"{before.clip.name}: not found, so no stills were drawn")


def export(
    review: Annotated[Path, typer.Argument(metavar="REVIEW_JSON", help="A review.json.")],
    format: Annotated[
        str,
        typer.Option(
            metavar="FORMAT",
            help="webvtt, webvtt-metadata, srt, edl, otio, chapters, matroska or csv.",
        ),
    ],
    rate: Annotated[
        str | None,
        typer.Option(
            metavar="RATE",
            help="Frames a second of your timeline: 23.976, 24, 25, 29.97, 30, 50, 59.94 or 60; "
            "29.97df and 59.94df are drop-frame. Default: the clip's.",
        ),
    ] = None,
    start: Annotated[
        str | None, typer.Option(metavar="TIMECODE", help="Of the first picture: 01:00:00:00.")
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option(
            metavar="CLIP", help="With --format chapters: write them into a copy of CLIP."
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Default: beside REVIEW_JSON (or CLIP).")
    ] = None,
) -> None:
    """Write the markers of a review for a video editor or a player."""
    from annotate.exports import export as export_text
    from annotate.exports import marker_list
    from annotate.review.read import read_review
    from annotate.text import one_line
    from api.work.files import replace_together

    found = read_review(review)
    if into is not None:
        if format != "chapters":
            raise typer.BadParameter("goes with --format chapters only.", param_hint="--into")
        from annotate.exports.into_clip import write_into_copy

        markers, warnings = marker_list(found, rate, start)
        out = out or into.with_name(f"{into.stem}.chapters{into.suffix}")
        warnings += write_into_copy(markers, found.clip.sha256, into, out)
    else:
        made = export_text(found, format, rate, start)
        out, warnings = (
            out or review.with_name(Path(found.clip.name).stem + made.suffix),
            made.warnings,
        )
        replace_together(out.parent, {out.name: made.text})
    for warning in warnings:
        print(one_line(f"takeproof: warning: {warning}"), file=sys.stderr)
    print_line(f"Written to {out}")
