"""Plan a match again and again while it changes, at the cost of what changed.

What places are worth is kept by the content of all that it depends on (`choice/memory.py`), so a planner need not know
what changed: what a change leaves alone is found again, and the plan is the one from nothing to the last bit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from standmark.optimizer.advice.advice import Advice, advice_parts
from standmark.optimizer.choice.kept import Kept
from standmark.optimizer.choice.memory import GRID_BYTES, Memory, Stopped
from standmark.optimizer.choice.solve import Progress
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning.plan_match import Plan, Planned, planned
from standmark.optimizer.planning.worth import Scene, Worth, planned_worth, scenes, spot_worth

__all__ = ["Planner", "Stopped"]


class Planner:
    """A match that changes, and its plan.

    One plan or advice is worked out at a time; `worth` may be asked from another thread meanwhile.

    >>> from standmark.optimizer import Planner, default_match
    >>> planner = Planner(default_match("netball"))
    >>> first = planner.plan()
    >>> planner.change(default_match("netball", cameras=2))
    >>> planner.plan().coverage > first.coverage
    True
    """

    def __init__(self, match: Match) -> None:
        self.match = match
        self._memory = Memory(grid_bytes=GRID_BYTES)
        self._found: Planned | None = None
        self._scenes: tuple[Match, Plan, str, list[Scene], Worth | None] | None = None

    @property
    def n_bytes(self) -> int:
        """Bytes of values that are kept for the next plan; bounded, however often the match changes."""
        return self._memory.n_bytes

    def change(self, match: Match) -> None:
        """Plan another match from now on, most often the same with something changed."""
        self.match = match

    def plan(
        self,
        *,
        keep: Sequence[Kept] = (),
        time_limit_s: float | None = None,
        progress: Progress | None = None,
        stopped: Callable[[], bool] = lambda: False,
    ) -> Plan:
        """Plan the match as it is now, without advice; the same as `plan(match)` gives, byte by byte.

        Parameters
        ----------
        keep, time_limit_s, progress : as for `plan`
        stopped : asked now and then whether to give up; the planner can be used on

        Raises
        ------
        InputError, NoPlanError : as `plan`
        Stopped : `stopped` said so
        """
        self._memory.stopped = stopped
        self._found = planned(self.match, self._memory, keep=keep, time_limit_s=time_limit_s, progress=progress)
        return self._found.plan

    def advice_parts(
        self, *, is_full: bool = False, stopped: Callable[[], bool] = lambda: False
    ) -> Iterator[tuple[str, Any]]:
        """Work out the advice round the last plan part by part: the fields of `Advice` by name.

        Parameters
        ----------
        is_full : as `plan(match, advice="full")`
        stopped : asked now and then whether to give up

        Raises
        ------
        Stopped : `stopped` said so
        ValueError : no plan was made yet
        """
        state = self._last()
        self._memory.stopped, self._memory.deadline = stopped, np.inf
        yield from advice_parts(state.plan.match, state.stages, is_full=is_full)

    def with_advice(self, *, is_full: bool = False, stopped: Callable[[], bool] = lambda: False) -> Plan:
        """Return the last plan with its advice, as `plan(match, advice=...)` gives it."""
        parts = dict(self.advice_parts(is_full=is_full, stopped=stopped))
        return replace(self._last().plan, advice=Advice(**parts))

    def worth(
        self,
        camera: str,
        xyz_m: tuple[float, float, float],
        *,
        period: str | None = None,
        lens: str | None = None,
    ) -> Worth:
        """Say what the match is worth with one camera at a spot, the others where the last plan has them.

        Whether the camera may stand there is not asked. Everything is valued by the match as it is now, which may
        have changed since the plan.

        Parameters
        ----------
        camera : its name
        xyz_m : lens position
        period : key; in the others it stays where the plan has it. None: it stands there in every period
        lens : name; None: the one that gets most there

        Raises
        ------
        InputError : no such camera, lens or period
        ValueError : no plan was made yet
        """
        match, _, _, asked, _ = self._asked(camera)
        return spot_worth(match, asked, camera, np.array(xyz_m, dtype=float), period=period, lens=lens)

    def planned_worth(self, camera: str) -> Worth | None:
        """Say what the match is worth with a camera where the last plan has it; None where the plan has it not."""
        return self._asked(camera)[4]

    def _last(self) -> Planned:
        if self._found is None:
            raise ValueError("no plan was made yet: call plan() first")
        return self._found

    def _asked(self, camera: str) -> tuple[Match, Plan, str, list[Scene], Worth | None]:
        """What is asked beside a camera, kept while the same one is moved."""
        match, plan, known = self.match, self._last().plan, self._scenes
        if known is None or known[0] is not match or known[1] is not plan or known[2] != camera:
            asked = scenes(match, plan, camera)
            known = match, plan, camera, asked, planned_worth(match, asked)
            self._scenes = known
        return known
