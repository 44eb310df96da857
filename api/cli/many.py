"""Several clips on the command line: where each one's review goes, and a line for each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from rich.console import Console

from annotate.plan.read import read_plan
from annotate.script.phrases import own_phrases, read_phrases
from api.cli.progress import progress_shown
from api.errors import OutputError
from api.words import clock, one_line
from api.work.many import Outcome, Wish, review_many
from api.work.output import check_folder
from api.work.pool import cluster_crew, local_crew
from pose.video.source import is_address, name_of


def review_all(
    clips: Sequence[str],
    plan_path: Path | None,
    phrases_path: Path | None,
    out: Path | None,
    scheduler: str | None,
    console: Console,
    aside: Console,
) -> int:
    """Review every clip, print a line for each as it is done, and return the exit code.

    A clip that cannot be reviewed does not keep the others from it: 2 then, or 1 if the fault
    was ours.
    """
    wishes = wishes_for(clips, out)
    for wish in wishes:
        check_folder(wish.folder)
    plan = None if plan_path is None else read_plan(plan_path)
    phrases = own_phrases() if phrases_path is None else read_phrases(phrases_path)
    crew = local_crew if scheduler is None else partial(cluster_crew, scheduler)
    code = 0
    with progress_shown(aside) as progress:
        for outcome in review_many(wishes, plan, phrases, crew, progress):
            if outcome.review is None:
                code = 1 if outcome.fault or code == 1 else 2
                aside.print(one_line(f"takeproof: {outcome.error}"), markup=False, soft_wrap=True)
            else:
                console.print(one_line(_line(outcome)), markup=False, soft_wrap=True)
    return code


def wishes_for(clips: Sequence[str], out: Path | None) -> list[Wish]:
    """Each clip with the folder its review goes into.

    Raises
    ------
    OutputError
        A clip in a store, and no folder named.
    """
    wishes = []
    seen: Counter[str] = Counter()
    for clip in clips:
        name = name_of(clip)
        if out is None and is_address(clip):
            raise OutputError(f"{clip}: nothing can be written beside it; name a folder with --out")
        seen[name] += 1
        # Cameras begin numbering anew on every card.
        own = f"{name}.review" if seen[name] == 1 else f"{name}-{seen[name]}.review"
        beside = None if is_address(clip) else Path(clip).with_name(f"{name}.review")
        one = out if len(clips) == 1 else out and out / own
        folder = one or beside
        assert folder is not None
        wishes.append(Wish(clip, folder))
    return wishes


def _line(outcome: Outcome) -> str:
    review = outcome.review
    assert review is not None
    told = [f"{review.clip.name}: {clock(review.clip.duration_s)}"]
    if review.plan is not None:
        off = sum(row.status != "as planned" for row in review.comparison)
        told.append("as planned" if off == 0 else f"{off} off the plan")
    looks = sum(n.level != "info" for n in review.notices)
    told.append(f"{looks} to look at; written to {outcome.wish.folder}")
    return ", ".join(told)
