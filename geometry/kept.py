"""Keeping answers about things that never change, found again by the very things, not by their content."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import TypeVar, TypeVarTuple

Things = TypeVarTuple("Things")
Answer = TypeVar("Answer")


def kept(most: int) -> Callable[[Callable[[*Things], Answer]], Callable[[*Things], Answer]]:
    """Let a function keep its last few answers.

    The content of a match, a plan or a playing area takes long to hash. They are frozen, so that the same object asks
    for the same answer; it is held as long as its answer is, so that no other takes its place in memory.

    Parameters
    ----------
    most : answers that are kept; the oldest goes

    >>> count = kept(2)(lambda thing: [len(thing)])
    >>> thing = (1, 2, 3)
    >>> count(thing) is count(thing), count(thing) is count((1, 2, 3)[:2])
    (True, False)
    """

    def decorate(function: Callable[[*Things], Answer]) -> Callable[[*Things], Answer]:
        answers: dict[tuple[int, ...], tuple[object, Answer]] = {}
        one_at_a_time = Lock()

        @wraps(function)
        def ask(*things: *Things) -> Answer:
            key = tuple(map(id, things))
            known = answers.get(key)
            if known is None:
                known = things, function(*things)
                with one_at_a_time:
                    while len(answers) >= most:
                        del answers[next(iter(answers))]
                    answers[key] = known
            return known[1]

        return ask

    return decorate
