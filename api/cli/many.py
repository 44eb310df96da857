"""Several clips on the command line: a folder and a line of output for each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from rich.console import Console

from annotate.plan.read import read_plan
from annotate.review.model import Review
from annotate.script.phrases import phrase_text, phrases_of
from annotate.text import clock, one_line
from api.cli.progress import progress_shown
from api.cli.tables import print_edited_copies
from api.errors import OutputError
from api.work.files import check_folder
from api.work.folder import ReviewFolder
from api.work.many import ReviewRequest, review_many
from api.work.pool import cluster_pool, local_pool
from pose.video.source import is_address, name_of


def review_all(
    clips: Sequence[str],
    plan_path: Path | None,
    phrases_path: Path | None,
    out: Path | None,
    scheduler: str | None,
    console: Console,
    stderr: Console,
) -> int:
    """Review every clip, print a line for each as it is done, and return the exit code.

    A clip that cannot be reviewed does not stop the others. The exit code is then 2, or 1 if the
    fault was ours.
    """
    requests = requests_for(clips, out)
    for request in requests:
        check_folder(request.folder.path)
    plan = None if plan_path is None else read_plan(plan_path)
    phrases = None if phrases_path is None else phrase_text(phrases_path)
    phrases_of(phrases, str(phrases_path))
    pool = local_pool if scheduler is None else partial(cluster_pool, scheduler)
    code = 0
    with progress_shown(stderr) as progress:
        for result in review_many(requests, plan, phrases, pool, progress):
            if result.produced is None:
                code = 1 if result.fault or code == 1 else 2
                stderr.print(one_line(f"takeproof: {result.error}"), markup=False, soft_wrap=True)
                continue
            folder = result.request.folder
            line = _summary_line(result.produced.review, folder)
            console.print(one_line(line), markup=False, soft_wrap=True)
            print_edited_copies(result.produced, folder, stderr)
    return code


def requests_for(clips: Sequence[str], out: Path | None) -> list[ReviewRequest]:
    """Each clip with the folder its review goes into.

    Raises
    ------
    OutputError
        A clip in an object store, and no output folder.
    """
    requests = []
    seen: Counter[str] = Counter()
    for clip in clips:
        name = name_of(clip)
        if out is None and is_address(clip):
            raise OutputError(f"{clip}: nothing can be written beside it; name a folder with --out")
        seen[name] += 1
        # Cameras restart their numbering on every card, so two clips may have one name.
        own = f"{name}.review" if seen[name] == 1 else f"{name}-{seen[name]}.review"
        beside = None if is_address(clip) else Path(clip).with_name(f"{name}.review")
        one = out if len(clips) == 1 else out and out / own
        folder = one or beside
        assert folder is not None
        requests.append(ReviewRequest(clip, ReviewFolder(folder)))
    return requests


def _summary_line(review: Review, folder: ReviewFolder) -> str:
    parts = [f"{review.clip.name}: {clock(review.clip.duration_s)}"]
    if review.plan is not None:
        off = sum(row.status != "as planned" for row in review.comparison)
        parts.append("as planned" if off == 0 else f"{off} off the plan")
    looks = sum(n.level != "info" for n in review.notices)
    parts.append(f"{looks} to look at; written to {folder.path}")
    return ", ".join(parts)
