"""Advice hangs on the match alone: a machine that is slow, or busy with other things, says the same."""

import time
from dataclasses import fields, is_dataclass

import numpy as np
from small_match import EAST, FAR_SIDE, SIDE, WEST, small_match

from standmark.optimizer.advice.advice import advice_parts
from standmark.optimizer.choice.memory import Memory
from standmark.optimizer.planning.plan_match import planned

TIMES_SLOWER = 1_000


def plain(thing):
    """What a thing says, through all its fields."""
    if is_dataclass(thing):
        return type(thing).__name__, *(plain(getattr(thing, f.name)) for f in fields(thing))
    if isinstance(thing, np.ndarray):
        return thing.shape, thing.tobytes()
    return tuple(map(plain, thing)) if isinstance(thing, tuple | list) else repr(thing)


def told(monkeypatch, made, times_slower):
    """Advice by a clock on which everything takes so many times as long."""
    real = time.monotonic
    with monkeypatch.context() as patch:
        patch.setattr(time, "monotonic", lambda: times_slower * real())
        return {name: plain(part) for name, part in advice_parts(made.plan.match, made.stages, is_full=True)}


def test_a_slow_machine_gives_the_same_advice(monkeypatch):
    made = planned(small_match(cameras=2, areas=(SIDE, FAR_SIDE, EAST, WEST)), Memory())
    assert told(monkeypatch, made, 1) == told(monkeypatch, made, TIMES_SLOWER)
