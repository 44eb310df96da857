"""The same question about the same signals is answered once."""

from __future__ import annotations

import gc
import weakref

from pose.signals.cached import cached
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick


def film() -> Signals:
    return movement_signals(stick.track(1.0, lambda t: stick.Stance()))


class Question:
    """Told apart by who it is."""


def test_the_same_arguments_are_asked_once() -> None:
    asked: list[tuple[object, ...]] = []

    @cached
    def work(signals: Signals, about: Question, start_s: float, end_s: float = 9.0) -> int:
        asked.append((signals, about, start_s, end_s))
        return len(asked)

    first, second, question = film(), film(), Question()
    assert [work(first, question, 1.0), work(first, question, 1.0)] == [1, 1]
    assert work(first, question, 2.0) == 2
    assert work(first, Question(), 1.0) == 3
    assert work(second, question, 1.0) == 4
    assert [work(first, question, 1.0, end_s=5.0), work(first, question, 1.0, end_s=6.0)] == [5, 6]
    assert work(first, question, 1.0) == 1


def test_a_question_that_is_gone_is_not_taken_for_a_new_one() -> None:
    @cached
    def work(signals: Signals, about: list[int]) -> int:
        return about[0]

    signals = film()
    # Objects made one after the other often get the same identity.
    assert [work(signals, [number]) for number in range(50)] == list(range(50))


def test_answers_go_with_their_signals() -> None:
    @cached
    def work(signals: Signals) -> Question:
        return Question()

    signals = film()
    answer = weakref.ref(work(signals))
    assert answer() is not None
    del signals
    gc.collect()
    assert answer() is None
