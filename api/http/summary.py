"""A finished review in one line, as the list of reviews shows it."""

from __future__ import annotations

import hashlib
from collections import Counter

from annotate.plan.unroll import Timeline
from annotate.review.model import Review
from annotate.review.queries import flagged_reps
from annotate.text import amount, clock
from api.http.store import ReviewSummary


def summary_of(review: Review) -> ReviewSummary:
    """What the list of reviews shows of this one."""
    plan = review.plan
    return ReviewSummary(
        sha256=review.clip.sha256,
        title=plan.title[:400] if plan else None,
        summary=_summary_line(review),
        plan_id=_plan_id(plan) if plan else None,
    )


def _plan_id(plan: Timeline) -> str:
    """A hash that is equal for reviews of one plan; without labels, which follow from it."""
    return hashlib.sha256(plan.model_dump_json(round_trip=True).encode()).hexdigest()


def _summary_line(review: Review) -> str:
    if review.plan is None:
        length = clock(review.totals.delivered_s)
        return f"{amount(len(review.periods), 'period')}, {length}; no plan"
    planned = len(review.plan.periods)
    found = Counter(row.status for row in review.comparison)
    parts = [f"{found['as planned']} of {planned} as planned"]
    words = {"skipped": "left out", "added": "not in the plan"}
    for status in ("skipped", "swapped", "partial", "short", "long", "added"):
        if found[status]:
            parts.append(f"{found[status]} {words.get(status, status)}")
    looks = sum(len(flagged_reps(period)) for period in review.periods)
    if looks:
        parts.append(f"{amount(looks, 'repetition')} worth a look")
    return ", ".join(parts)
