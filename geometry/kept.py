"""Keeping answers about things that never change, found again by the very things, not by their content."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import ParamSpec, TypeVar, cast

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


def kept(most: int) -> Callable[[Callable[Asked, Answer]], Callable[Asked, Answer]]:
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

    def decorate(function: Callable[Asked, Answer]) -> Callable[Asked, Answer]:
        answers: dict[tuple[int, ...], tuple[object, Answer]] = {}
        one_at_a_time = Lock()

        @wraps(function)
        def ask(*args: Asked.args, **kwargs: Asked.kwargs) -> Answer:
            key = tuple(map(id, args))
            known = answers.get(key)
            if known is None:
                known = args, function(*args, **kwargs)
                with one_at_a_time:
                    while len(answers) >= most:
                        del answers[next(iter(answers))]
                    answers[key] = known
            return known[1]

        return cast(Callable[Asked, Answer], ask)

    return decorate
