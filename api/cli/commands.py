"""The command line. Each command is a thin walk: read, call ``annotate``, write, print.

Heavy imports sit inside the commands so that ``--help`` answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pose.errors import InputError

if TYPE_CHECKING:
    from rich.console import Console

    from api.work.folder import ReviewFolder
    from api.work.produce import Produced

# The usage error of whichever click this typer runs on; typer does not name it itself.
_UsageError: type[Exception] = typer.BadParameter.__mro__[1]

app = typer.Typer(
    help="Proof-read a filmed rehearsal of an interval class against the class plan.",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(asked: bool) -> None:
    if asked:
        from annotate.review.provenance import takeproof_version

        print(f"takeproof {takeproof_version()}")
        raise typer.Exit


@app.callback()
def takeproof(
    version: Annotated[
        bool,
        typer.Option(
            "--version", help="Say which version this is.", callback=_version, is_eager=True
        ),
    ] = False,
) -> None:
    """Proof-read a filmed rehearsal of an interval class against the class plan."""


OutFolder = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Where to write.")]


@app.command()
def review(
    clips: Annotated[
        list[str], typer.Argument(metavar="CLIP...", help="The filmed rehearsal, or several.")
    ],
    plan: Annotated[
        Path | None, typer.Option(metavar="PLAN", help="The class plan (.yaml, .csv or .xlsx).")
    ] = None,
    captions: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Captions of what was said (.vtt or .srt).")
    ] = None,
    phrases: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Your own words for the script (.yaml)."),
    ] = None,
    out: OutFolder = None,
    scheduler: Annotated[
        str | None,
        typer.Option(metavar="ADDRESS", help="Let the workers of this Dask scheduler do the work."),
    ] = None,
) -> None:
    """Review CLIP; write review.json, the script for the next take and the coach's sheet.

    Without --out they go into CLIP.review beside the clip. Of several clips each has its own such
    folder in DIR. A clip may also be an address that fsspec reads, such as s3://bucket/take.mp4.
    """
    from pose.video.source import is_address

    if len(clips) == 1 and scheduler is None and not is_address(clips[0]):
        clip = Path(clips[0])
        _review(clip, plan, captions, out or clip.with_name(f"{clip.name}.review"), phrases)
        return
    if captions is not None:
        raise typer.BadParameter("goes with one clip on this machine.", param_hint="--captions")
    from api.cli.many import review_all

    code = review_all(clips, plan, phrases, out, scheduler, _console(), _console(stderr=True))
    if code:
        raise typer.Exit(code)


@app.command()
def plan(
    plan: Annotated[
        Path | None, typer.Argument(metavar="[PLAN]", help="The class plan.", show_default=False)
    ] = None,
    take: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="REVIEW_JSON", help="Write a plan of what this take delivered."
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="With --from: where; else printed.")
    ] = None,
) -> None:
    """Check PLAN and print its timeline with totals; or draft one --from a review."""
    if (plan is None) == (take is None):
        raise typer.BadParameter("give a plan to check, or --from REVIEW_JSON", param_hint="PLAN")
    if take is not None:
        _draft(take, out)
        return
    assert plan is not None
    from annotate.catalogue.model import catalogue
    from annotate.plan.read import read_plan, suggest_movement
    from annotate.plan.unroll import unroll
    from annotate.text import one_line
    from api.cli.tables import print_timeline

    timeline = unroll(read_plan(plan))
    console = _console()
    print_timeline(timeline, console)
    known = catalogue()
    words = dict.fromkeys(p.movement for p in timeline.periods if p.movement)
    for word in (w for w in words if w not in known):
        guess = suggest_movement(word, known)
        hint = f'; did you mean "{guess}"?' if guess else ""
        console.print(
            one_line(f'"{word}" is not a known movement: it is counted as it comes{hint}'),
            markup=False,
            highlight=False,
        )


def _draft(take: Path, out: Path | None) -> None:
    from annotate.plan.draft import draft_plan
    from annotate.review.queries import draft_title
    from annotate.review.read import read_review
    from api.work.files import replace_together

    review = read_review(take)
    text = draft_plan(draft_title(review), review.periods)
    if out is None:
        print(text, end="")
        return
    replace_together(out.parent, {out.name: text})
    _say(f"Written to {out}")


@app.command()
def correct(
    review: Annotated[Path, typer.Argument(metavar="REVIEW_JSON", help="A review.json.")],
    edits: Annotated[Path, typer.Argument(metavar="EDITS_YAML", help="The list of corrections.")],
    out: OutFolder = None,
) -> None:
    """Apply corrections by hand to a review; everything after the periods follows.

    Without --out the result goes into "corrected" beside REVIEW_JSON, which stays as it is.
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
    _print_produced(produced, folder)
    if result.stills and inputs.clip is None:
        _say(f"{before.clip.name}: not found any more, so no stills were drawn")


@app.command()
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
    """Write the markers of a review for an editor or a player."""
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
    _say(f"Written to {out}")


@app.command()
def demo(out: OutFolder = None) -> None:
    """Review the bundled demo class against its plan; needs no network."""
    from importlib.resources import as_file, files

    folder = files("clips.demo")
    with ExitStack() as stack:
        clip, plan, captions = (
            stack.enter_context(as_file(folder / name))
            for name in ("harbour.mp4", "harbour.plan.yaml", "harbour.vtt")
        )
        _review(clip, plan, captions, out or Path("takeproof-demo.review"))


@app.command()
def serve(
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to listen on.")] = 8000,
    data: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where clips and reviews are kept.")
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(metavar="URL", help="SQLAlchemy URL of the queue. Default: a file in DIR."),
    ] = None,
) -> None:
    """Open the page and the HTTP door on this machine.

    With another --host everybody has to give the token that is printed at the start.
    """
    from platformdirs import user_data_path

    from api.http.serve import serve_forever

    folder = data or user_data_path("takeproof", appauthor=False)
    serve_forever(host, port, folder, database)


def _review(
    clip: Path,
    plan_path: Path | None,
    captions: Path | None,
    out: Path,
    phrases_path: Path | None = None,
) -> None:
    from annotate import pipeline
    from annotate.cues.captions import caption_text
    from annotate.plan.read import read_plan
    from annotate.script.phrases import phrase_text, phrases_of
    from api.cli.progress import progress_shown
    from api.work.files import check_folder
    from api.work.folder import Inputs, ReviewFolder
    from api.work.produce import produce

    # Everything that can be refused is refused before the long work.
    folder = ReviewFolder(out)
    check_folder(folder.path)
    plan = None if plan_path is None else read_plan(plan_path)
    phrases = None if phrases_path is None else phrase_text(phrases_path)
    phrases_of(phrases, str(phrases_path))
    spoken = None if captions is None else caption_text(captions)
    with progress_shown(_console(stderr=True)) as progress:
        take = pipeline.read_take(clip, captions, progress=progress)
        result = pipeline.review_take(take, plan)
        progress("done", 1.0)
    inputs = Inputs(captions=spoken, phrases=phrases, clip=clip)
    _print_produced(produce(folder, result, track=take.track, inputs=inputs, clip=clip), folder)


def _print_produced(produced: Produced, folder: ReviewFolder) -> None:
    """The table of the review, and what was written where."""
    from api.cli.tables import print_kept_aside, print_review

    console = _console()
    print_review(produced.review, console)
    console.print()
    _say(f"Written to {folder.path}: {', '.join(produced.names)}")
    print_kept_aside(produced, folder, console)


def _say(line: str) -> None:
    """Print one line that may hold names of the user."""
    from annotate.text import one_line

    _console().print(one_line(line), markup=False, highlight=False, soft_wrap=True)


def _console(*, stderr: bool = False) -> Console:
    from rich.console import Console

    return Console(stderr=stderr, highlight=False)


def run(args: Sequence[str]) -> int:
    """Run one command and return its exit code: 0 done, 2 bad input or usage, 1 our fault."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a name the terminal cannot show is no reason to stop
            stream.reconfigure(errors="replace")
    try:
        code = app(list(args) or ["--help"], prog_name="takeproof", standalone_mode=False)
    except InputError as error:
        return _stop(str(error), 2)
    except _UsageError as error:
        return _stop(f"{error.format_message()} See takeproof --help.", 2)  # type: ignore[attr-defined]
    except (KeyboardInterrupt, typer.Abort):
        return _stop("stopped; nothing was written", 130)
    except Exception as error:
        from api.faults import tell_fault

        return _stop(tell_fault(error), 1)
    if code == 130:  # newer typer turns Ctrl-C into this code itself
        return _stop("stopped; nothing was written", 130)
    return code if isinstance(code, int) else 0


def _stop(line: str, code: int) -> int:
    from annotate.text import one_line

    line = one_line(line)
    print(line if line.startswith("takeproof") else f"takeproof: {line}", file=sys.stderr)
    return code


def main() -> None:
    """Console script ``takeproof``."""
    sys.exit(run(sys.argv[1:]))
