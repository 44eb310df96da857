"""The weights of the alignment of plan and footage, all in one value.

Costs are points, and they are judgements: what a skipped round is worth cannot be measured. They
must keep an order between the explanations of one piece of footage. So each reason below names the
explanation that the cost has to make more or less expensive than another. They were set on seeded
classes with known departures (``tests/accuracy/sessions.py``) and have not changed since.
"""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True, kw_only=True)
class Costs:
    """Costs and limits of the alignment; none may be negative.

    Attributes
    ----------
    skip_cost : float
        Points for a planned period that did not happen. Together with `max_added_cost` it is more
        than `movement_cost`, so another movement in the right place is not called one left out
        and one added.
    cut_off_cost : float
        Points for each further planned period missing after the last activity. Less than
        `skip_cost`: all of them are missing for one reason, the class was cut off.
    added_cost : float
        Points for an activity that is not in the plan, before its length counts. Together with
        `skip_cost` it is more than `max_duration_cost`, so the right movement for much too short
        is still that period.
    added_cost_per_s : float
        Points for each second of its length. A few seconds between exercises cost little; half a
        minute is an activity of its own and more likely to be something planned.
    max_added_cost : float
        Points; reached after 20 s. A longer one is no more likely to be planned.
    added_idle_cost : float
        Points for an unplanned stretch in which nobody exercises, of any length: a drink, a word
        to the class. Such stretches are rarely planned, so they cost little.
    max_repeat_cost : float
        Points; cap for an activity that repeats what was just done, at the same length (an extra
        round), or that comes next and is broken off (a false start). Together with `skip_cost` it
        is less than `movement_cost`, so one round more of this and one less of that is not called
        another movement.
    repeat_lookback : int
        How many planned periods back count as "just done": two, the work and its recovery.
    max_repeat_dissimilarity : float
        Dissimilarity, 0 to 1; from here on it is not the same movement again.
    max_repeat_log_ratio : float
        Natural logarithm of delivered over planned duration; 0.2 is about a fifth longer or
        shorter. A much shorter stretch is not an extra round.
    duration_cost : float
        Points for each unit of the natural logarithm of delivered over planned duration: half and
        double the time cost the same.
    max_duration_cost : float
        Points; reached at a factor of 3.3. Beyond that the duration says no more about which
        period it is.
    movement_cost : float
        Points for a movement wholly different from the planned one.
    reps_cost : float
        Points for missing (or doubling) all planned repetitions, in proportion for fewer. It only
        has to separate rounds that are alike in everything else.
    max_reps_cost : float
        Points; less than `skip_cost`, so that a wrong count cannot move a round that fits.
    merge_cost : float
        Points for each further activity taken into one planned period. Two halves of a set and
        the pause between them cost 1.0, less than adding one half, so the set stays whole.
    max_merged : int
        Most activities that may make up one planned period; more pieces are not one activity.
    max_merged_ratio : float
        Highest ratio of delivered to planned duration for several activities together. One long
        activity alone may have any length; a group of unrelated ones may not.
    whole_piece_s : float
        Seconds from which a piece counts fully when several make up a period. Shorter ones count
        by the square of their length, so a short pause inside a set counts for little.
    foreign_piece_factor : float
        Weight of a piece of another movement among several, against 1 for a period that is
        another movement as a whole. Such a piece could stand alone, so taking it in costs more.
    max_match_cost : float
        Points for duration and movement from which a pairing is ruled out: well above skipping the
        period and adding one activity (4.7). The repetitions of such a pairing are not counted.
    clock_cost_per_s : float
        Points for each second between the start of an activity and its time in the plan. Equal
        rounds cannot be told apart; this small cost makes the last one the skipped one, so the
        result is stable. Half an hour late (0.9) costs less than one `added_cost`.
    min_move_gain : float
        Points by which another order of the exercises must be cheaper: about the cost of calling
        one round of a moved exercise left out here and added there.
    max_in_place_dissimilarity : float
        Dissimilarity, 0 to 1; above it, work is another exercise, which may have moved.
    unjudged_dissimilarity : float
        Dissimilarity, 0 to 1, for a movement the catalogue cannot judge: below one half, since the
        plan says that it was done.
    unjudged_effort_weight : float
        Fraction of the dissimilarity that effort decides where the catalogue cannot judge. Effort
        is the only evidence there, but a weak one.
    effort_weight : float
        The same where the catalogue can judge: smaller, since the movement says more.
    no_break_dissimilarity : float
        Dissimilarity, 0 to 1, of exercise in a planned break: people also move about in breaks.
    """

    skip_cost: float = 1.7
    cut_off_cost: float = 0.6
    added_cost: float = 1.0
    added_cost_per_s: float = 0.1
    max_added_cost: float = 3.0
    added_idle_cost: float = 0.4
    max_repeat_cost: float = 1.2
    repeat_lookback: int = 2
    max_repeat_dissimilarity: float = 0.3
    max_repeat_log_ratio: float = 0.2
    duration_cost: float = 2.0
    max_duration_cost: float = 2.4
    movement_cost: float = 3.3
    reps_cost: float = 1.0
    max_reps_cost: float = 0.8
    merge_cost: float = 0.5
    max_merged: int = 6
    max_merged_ratio: float = 3.0
    whole_piece_s: float = 8.0
    foreign_piece_factor: float = 2.0
    max_match_cost: float = 7.0
    clock_cost_per_s: float = 0.0005
    min_move_gain: float = 2.5
    max_in_place_dissimilarity: float = 0.5
    unjudged_dissimilarity: float = 0.35
    unjudged_effort_weight: float = 0.4
    effort_weight: float = 0.2
    no_break_dissimilarity: float = 0.7

    def __post_init__(self) -> None:
        """Refuse negative values: the bounds of the search hold only if no step lowers the cost.

        Raises
        ------
        ValueError
            A negative cost or limit.
        """
        for field in fields(self):
            if getattr(self, field.name) < 0:
                raise ValueError(f"{field.name} must not be negative")


DEFAULT = Costs()
