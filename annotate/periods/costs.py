"""What the alignment of plan and footage weighs: all its costs in one value.

Costs are judgements in points: nobody measured what a skipped round is worth. What they must do
is keep an order between the explanations of one piece of footage, so every reason below names the
explanation that the cost has to make dearer or cheaper than another. They were set on seeded
classes with known departures (``tests/accuracy/sessions.py``) and held since.
"""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True, kw_only=True)
class Costs:
    """Costs and limits of the alignment; none may be negative.

    Attributes
    ----------
    skip_cost : float
        Points for a planned period that did not happen. With `max_added_cost` it is more than
        `movement_cost`: another movement in the right place is not called left out and added.
    cut_off_cost : float
        Points for each further planned period missing after the last activity. Less than
        `skip_cost`: all of them are missing for one reason, the class was cut off.
    added_cost : float
        Points for an activity nobody planned, before its length counts. With `skip_cost` it is
        more than `max_duration_cost`: the right movement for much too short is still that period.
    added_cost_per_s : float
        Points a second of its length: a few seconds between exercises are soon forgiven, half a
        minute is an activity of its own and rather belongs to something planned.
    max_added_cost : float
        Points; reached after 20 s. Longer ones are no more certain to be planned.
    added_idle_cost : float
        Points for an unplanned stretch in which nobody exercises, whatever its length: a drink,
        a word to the class. Rarely planned, so it is nearly free.
    max_repeat_cost : float
        Points; cap for an activity that was just done, and as long (an extra round), or that
        comes next and is broken off (a false start). With `skip_cost` it is less than
        `movement_cost`: one round more of this and one less of that is not called an exchange.
    repeat_lookback : int
        Planned periods back in which "just done" is looked for: the work and its recovery.
    max_repeat_dissimilarity : float
        Fraction; as unlike as this or more is not the same again.
    max_repeat_log_ratio : float
        Natural logarithm of delivered over planned duration; 0.2 is a fifth longer or shorter.
        A much shorter one is not a whole round more.
    duration_cost : float
        Points for each unit of the natural logarithm of delivered over planned duration, so that
        half and double weigh the same.
    max_duration_cost : float
        Points; reached at a factor of 3.3. Beyond that, how much too long or too short it was
        says no more about which period it is.
    movement_cost : float
        Points for a wholly different movement than planned.
    reps_cost : float
        Points for each fraction of the planned repetitions missed or too many. It only has to
        tell apart rounds that are alike in all else.
    max_reps_cost : float
        Points; miscounting must not move a round that fits, so it is less than `skip_cost`.
    merge_cost : float
        Points for each further activity taken into one planned period. Both halves of a set and
        the pause between cost 1.0, less than one half added: the set stays one.
    max_merged : int
        Activities that may make up one planned period. More pieces are no longer one thing.
    max_merged_ratio : float
        Delivered over planned duration that several activities together may reach; one long
        activity alone may be any length, but gathering strangers must not.
    whole_piece_s : float
        Seconds from which a piece counts fully when several make up a period. Shorter ones count
        by the square of their length: a pause inside a set is hardly anything foreign.
    foreign_piece_factor : float
        Weight of a foreign piece among several against one foreign whole. It could stand alone,
        so taking it in must be dearer.
    max_match_cost : float
        Points for duration and movement from which a pairing is out of the question: well above
        skipping the period and adding one activity (4.7). Its repetitions need not be counted.
    clock_cost_per_s : float
        Points for each second that an activity starts away from the plan's clock. Equal rounds
        cannot be told apart; a faint pull makes the last one the skipped one and keeps the answer
        stable. Half an hour late costs less than one `added_cost`.
    min_move_gain : float
        Points that another order of the exercises must win: about what is lost when one round of
        a moved exercise is told as left out and again as added.
    max_in_place_dissimilarity : float
        Fraction; work more unlike the planned is something else, which may have moved.
    unjudged_dissimilarity : float
        Fraction for a movement the catalogue cannot judge: neither like nor unlike, but nearer to
        like, since the plan says that it was done.
    unjudged_effort_weight : float
        Fraction of the dissimilarity that effort decides where the catalogue cannot judge; it is
        all there is to go by, and no more than a hint.
    effort_weight : float
        The same where the catalogue can judge: less, since the movement says more.
    no_break_dissimilarity : float
        Fraction for exercise in a planned break: people move about in breaks, too.
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
        """Refuse what the search for the cheapest way relies on: nothing makes a way cheaper.

        Raises
        ------
        ValueError
            A negative cost or limit.
        """
        for field in fields(self):
            if getattr(self, field.name) < 0:
                raise ValueError(f"{field.name} must not be negative")


DEFAULT = Costs()
