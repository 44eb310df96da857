"""The commands of the command line. Each one reads, calls ``annotate``, writes and prints.

Heavy imports sit inside the commands so that ``--help`` answers at once.
"""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from api.cli.finished import correct, export
from api.cli.output import OutFolder, console_for, print_line, print_produced

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
        typer.Option("--version", help="Print the version.", callback=_version, is_eager=True),
    ] = False,
) -> None:
    """Proof-read a filmed rehearsal of an interval class against the class plan."""


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
    person: Annotated[
        str | None,
        typer.Option(
            metavar="X,Y[@TIME]",
            help="Whom to follow where several people are in the picture: a point on the body, as "
            "fractions of the picture's width and height (0.3,0.5) or in pixels, and when "
            "(0.3,0.5@1:05). Default: whom the clip is about.",
        ),
    ] = None,
    out: OutFolder = None,
    scheduler: Annotated[
        str | None,
        typer.Option(metavar="ADDRESS", help="Let the workers of this Dask scheduler do the work."),
    ] = None,
) -> None:
    """Review CLIP; write review.json, the script for the next take and the coach's sheet.

    Without --out they go into CLIP.review beside the clip. With several clips, each gets such a
    folder of its own in DIR. A clip may also be an address that fsspec reads, such as
    s3://bucket/take.mp4.
    """
    from pose.video.source import is_address

    if len(clips) == 1 and scheduler is None and not is_address(clips[0]):
        clip = Path(clips[0])
        folder = out or clip.with_name(f"{clip.name}.review")
        _review(clip, plan, captions, folder, phrases, person)
        return
    for name, value in (("--captions", captions), ("--person", person)):
        if value is not None:
            raise typer.BadParameter("goes with one clip on this machine.", param_hint=name)
    from api.cli.many import review_all

    code = review_all(clips, plan, phrases, out, scheduler, console_for(), console_for(stderr=True))
    if code:
        raise typer.Exit(code)


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
        Path | None,
        typer.Option(metavar="FILE", help="With --from: write it there. Default: print it."),
    ] = None,
) -> None:
    """Check PLAN and print its timeline with totals; or draft one --from a review."""
    if (plan is None) == (take is None):
        raise typer.BadParameter("give a plan to check, or --from REVIEW_JSON", param_hint="PLAN")
    if take is not None:
        _draft(take, out)
        return
    assert plan is not None
    from annotate.plan.read import read_plan, unknown_movement_remarks
    from annotate.plan.unroll import unroll
    from annotate.text import one_line
    from api.cli.tables import print_timeline

    timeline = unroll(read_plan(plan))
    console = console_for()
    print_timeline(timeline, console)
    for remark in unknown_movement_remarks(timeline):
        console.print(one_line(remark), markup=False, highlight=False)


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
    print_line(f"Written to {out}")


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
    """Serve the page and the HTTP API on this machine.

    With another --host, everybody has to give the token that is printed at the start.
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
    person_text: str | None = None,
) -> None:
    from annotate import pipeline
    from annotate.cues.captions import caption_text
    from annotate.plan.read import read_plan
    from annotate.script.phrases import phrase_text, phrases_of
    from api.cli.progress import progress_shown
    from api.work.files import check_folder
    from api.work.folder import Inputs, ReviewFolder
    from api.work.person import read_person
    from api.work.produce import produce

    # Everything that can be refused is refused before the long work.
    folder = ReviewFolder(out)
    check_folder(folder.path)
    plan = None if plan_path is None else read_plan(plan_path)
    phrases = None if phrases_path is None else phrase_text(phrases_path)
    phrases_of(phrases, str(phrases_path))
    person = None if person_text is None else read_person(person_text)
    spoken = None if captions is None else caption_text(captions)
    with progress_shown(console_for(stderr=True)) as progress:
        take = pipeline.read_take(clip, captions, person=person, progress=progress)
        result = pipeline.review_take(take, plan)
        progress("done", 1.0)
    inputs = Inputs(captions=spoken, phrases=phrases, person=person_text, clip=clip)
    print_produced(produce(folder, result, track=take.track, inputs=inputs, clip=clip), folder)


for command in (review, plan, correct, export, demo, serve):
    app.command()(command)
