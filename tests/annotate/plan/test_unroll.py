"""Unrolling a plan: totals against published protocols, and the keys real classes need."""

from __future__ import annotations

from annotate.plan.read import parse_plan
from annotate.plan.unroll import Timeline, unroll


def timeline(blocks: str) -> Timeline:
    return unroll(parse_plan(f"blocks:\n{blocks}", "class.yaml"))


class TestPublishedProtocols:
    def test_eight_times_twenty_on_ten_off_lasts_four_minutes(self) -> None:
        # Tabata et al. 1996, Med Sci Sports Exerc 28:1327-30: 20 s work, 10 s rest, 7-8 sets.
        t = timeline("- {name: Bike, movement: other, rounds: 8, work: 20, recovery: 10}")
        assert (t.total_s, t.work_s, t.recovery_s) == (240, 160, 80)
        assert t.ends_with_recovery

    def test_without_the_last_rest_it_lasts_ten_seconds_less(self) -> None:
        # Tabata et al. 1996, as above; the commonest off-by-one of interval totals.
        t = timeline(
            "- {name: Bike, movement: other, rounds: 8, work: 20, recovery: 10,"
            " last_recovery: false}"
        )
        assert (t.total_s, t.work_s, t.recovery_s) == (230, 160, 70)
        assert not t.ends_with_recovery

    def test_four_by_four_minutes_lasts_twenty_five_minutes(self) -> None:
        # Helgerud et al. 2007, Med Sci Sports Exerc 39:665-71: 4 x 4 min, 3 min between.
        t = timeline(
            "- {name: Run, movement: jog, rounds: 4, work: 4:00, recovery: 3:00,"
            " last_recovery: false}"
        )
        assert t.total_s == 25 * 60
        assert len(t.periods) == 7

    def test_ten_twenty_thirty_blocks_last_five_minutes_each(self) -> None:
        # Gunnarsson & Bangsbo 2012, J Appl Physiol 113:16-24: 5-min blocks of five times
        # 30 s easy, 20 s moderate, 10 s hard; 2 min of rest between three blocks.
        block = (
            "- {name: Run %d, rounds: 5, stations: [{movement: march, work: 30},"
            " {movement: jog, work: 20}, {movement: high-knees, work: 10}]}\n"
        )
        rest = "- {name: Rest, kind: break, duration: 2:00}\n"
        one = timeline(block % 1)
        whole = timeline(rest.join(block % n for n in (1, 2, 3)))
        assert one.total_s == 300
        assert whole.total_s == 3 * 300 + 2 * 120
        assert not whole.ends_with_recovery

    def test_five_exercises_of_three_rounds_make_fifteen_work_periods(self) -> None:
        # common practice, no source
        t = timeline(
            "".join(
                f"- {{name: E{n}, movement: squat, rounds: 3, work: 30, recovery: 30}}\n"
                for n in range(5)
            )
        )
        assert sum(p.kind == "work" for p in t.periods) == 15
        assert t.work_s == 7 * 60 + 30


class TestKeysOfRealClasses:
    def test_periods_follow_each_other_without_gap(self) -> None:
        t = timeline(
            "- {name: Warm-up, kind: warm-up, duration: 4:00}\n"
            "- {name: Squat, movement: squat, rounds: 2, work: 30, recovery: 15}\n"
        )
        assert [p.start_s for p in t.periods] == [0, 240, 270, 285, 315]
        assert t.periods[-1].end_s == t.total_s == 330

    def test_a_list_gives_every_round_its_own_value(self) -> None:
        t = timeline(
            "- {name: Pyramid, movement: squat, rounds: 3, work: [20, 30, 40], recovery: 20,"
            " reps: [8, 12, 16]}"
        )
        work = [p for p in t.periods if p.kind == "work"]
        assert [(p.duration_s, p.reps) for p in work] == [(20, 8), (30, 12), (40, 16)]

    def test_each_side_makes_a_left_and_a_right_work_period(self) -> None:
        t = timeline(
            "- {name: Lunge, movement: side-lunge, work: 30, recovery: 15, sides: each,"
            " reps: {left: 8, right: 9}}"
        )
        assert [(p.kind, p.side, p.reps) for p in t.periods] == [
            ("work", "left", 8),
            ("work", "right", 9),
            ("recovery", None, None),
        ]

    def test_what_is_no_work_says_so_unless_its_name_does(self) -> None:
        t = timeline(
            "- {name: Water, kind: break, duration: 60}\n"
            "- {name: Break, kind: break, duration: 60}\n"
            "- {name: Squat, movement: squat, work: 30, recovery: 15}\n"
        )
        assert [(p.label, p.label_in_block, p.short_label) for p in t.periods] == [
            ("Water, break", "break", "Water"),
            ("Break", "Break", "Break"),
            ("Squat", "Squat", "Squat"),
            ("Squat, recovery", "recovery", "rest"),
        ]

    def test_a_circuit_repeats_its_stations_and_rests_after_each_round(self) -> None:
        t = timeline(
            "- name: Circuit\n  rounds: 3\n  round_recovery: 60\n  stations:\n"
            "  - {movement: squat, work: 40, recovery: 20, reps: 20}\n"
            "  - {movement: push-up, work: 40, recovery: 20}\n"
        )
        assert t.total_s == 3 * (40 + 20 + 40 + 20 + 60)
        assert [p.movement for p in t.periods if p.kind == "work"] == ["squat", "push-up"] * 3
