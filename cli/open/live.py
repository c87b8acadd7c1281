"""Plans in the background: the newest match is searched a moment after the last change, older searches are dropped.

One thread searches, another answers what a moved camera is worth. Whatever they find is given to `tell` with the
number of the change that it belongs to; nobody waits for them.
"""

from __future__ import annotations

import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from standmark.cli.open.advice_data import advice_data, late_advice_data, with_parts
from standmark.cli.open.answer_data import answer_data, set_up_data
from standmark.cli.open.remedies import remedies
from standmark.cli.open.worth import Kept, kept_rows, worth_at
from standmark.geometry.errors import InputError, NoPlanError
from standmark.optimizer.match.filming import USUAL_BODY, USUAL_FILMING
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan, Planner, Stopped
from standmark.optimizer.value.surroundings import has_sun

QUIET_S = 0.3  # after the last change before a search begins
FIRST_TOLD = "intervals"  # part of the advice with which all is known that stands beside the answer
POLITE_S = 0.2  # after such a question before advice goes on
WAIT_S = 0.5  # for the search at the end; one that does not look up is left alone
LIMIT_S = 20.0  # of one search, until somebody asks to keep looking

Tell = Callable[[str, dict[str, Any]], None]


@dataclass(frozen=True, eq=False)
class Question:
    """A match to be planned; the marks of its own areas by name, for remedies."""

    change: int
    match: Match
    marks: dict[str, str]
    due_s: float
    limit_s: float | None  # None: for as long as it takes


@dataclass(frozen=True, eq=False)
class Answered:
    """A plan, and what questions about it look up."""

    change: int
    plan: Plan
    kept: Kept


@dataclass(frozen=True, eq=False)
class Planned:
    """The last plan, and its advice when it is known whole."""

    plan: Plan
    kept: Kept
    parts: dict[str, Any]

    def answers(self, question: Question) -> bool:
        """Is it the plan of another question too: of a match that differs only in what no plan depends on."""
        is_enough = self.plan.proven or question.limit_s is not None
        return is_enough and what_counts(self.plan.match) == what_counts(question.match)


def what_counts(match: Match) -> Match:
    """Match without what no plan depends on: what people call things, how cameras are set, a sun that isn't there."""
    venue = match.venue
    allowed, asked, replaced = (
        tuple(replace(area, name="") for area in areas) for areas in (venue.allowed, venue.asked, venue.replaced)
    )
    bare = replace(
        venue, name="", code=None, side_names={}, removed=(), allowed=allowed, asked=asked, replaced=replaced
    )
    cameras = tuple(replace(camera, body=USUAL_BODY) for camera in match.cameras)
    counts = replace(match, title="", crew=(), venue=bare, cameras=cameras, filming=USUAL_FILMING)
    if has_sun(match):
        return counts
    placeless = replace(bare, latitude_deg=None, longitude_deg=None, bearing_deg=0.0, has_bearing=False)
    return replace(counts, venue=placeless, start=None)


class Live:
    """The thread that plans, and what it has found last."""

    def __init__(
        self, tell: Tell, *, report: Callable[[str], str | None] = lambda text: None, limit_s: float = LIMIT_S
    ) -> None:
        self.tell, self.report, self.limit_s = tell, report, limit_s
        self.answered: Answered | None = None
        self.told: dict[str, dict[str, Any]] = {}  # last of each kind, for pages that come later
        self._asked: Question | None = None
        self._last: Question | None = None
        self._is_over = False
        self._planner: Planner | None = None  # keeps what places are worth from one change to the next
        self._planned: Planned | None = None
        self._moved_s = 0.0  # when somebody last asked what a moved camera is worth
        self._wake = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="planning", daemon=True)
        self._thread.start()

    def ask(self, change: int, match: Match, marks: dict[str, str], *, at_once: bool = False) -> None:
        """Plan a match soon; what is being searched for an older change is dropped."""
        due_s = time.monotonic() + (0.0 if at_once else QUIET_S)
        with self._wake:
            self._asked = self._last = Question(change, match, marks, due_s, self.limit_s)
            self._wake.notify()

    def keep_looking(self) -> None:
        """Search the last match again, for as long as it takes."""
        with self._wake:
            if self._last is not None:
                last = self._last
                self._asked = Question(last.change, last.match, last.marks, time.monotonic(), None)
                self._wake.notify()

    def forget(self) -> None:
        """There is nothing to plan: drop what is being searched and what was found."""
        with self._wake:
            self._asked = self._last = None
            self.told, self.answered = {}, None
            self._wake.notify()

    def close(self) -> None:
        """End the thread; a search stops at its next look at the clock."""
        with self._wake:
            self._is_over = True
            self._wake.notify()
        self._thread.join(timeout=WAIT_S)

    def worth(self, change: int, *, period: str, camera: str, at_m: tuple[float, ...]) -> dict[str, Any] | None:
        """What a camera would be worth somewhere else; None where there is no answer to that change.

        Raises
        ------
        InputError : no such period or camera
        """
        self._moved_s = time.monotonic()
        answered = self.answered
        if answered is None or answered.change != change:
            return None
        worth = worth_at(answered.kept, answered.plan, period=period, camera=camera, at_m=at_m)
        if worth is None:
            raise InputError("no such period or camera, or nowhere to stand")
        return worth

    def _run(self) -> None:
        while (question := self._next()) is not None:
            try:
                self._answer(question)
            except Stopped:
                continue
            except Exception as error:  # a bug must not end the page
                words = "This went wrong on our side. Your match is safe. Undo the last change, or save a copy."
                text = "".join(traceback.format_exception(error))
                self._say(question, "failed", {"words": words, "report": self.report(text)})

    def _next(self) -> Question | None:
        """Wait for the newest question until it is due; None at the end."""
        with self._wake:
            while not self._is_over:
                if self._asked is None:
                    self._wake.wait()
                elif (left_s := self._asked.due_s - time.monotonic()) > 0:
                    self._wake.wait(left_s)
                else:
                    question, self._asked = self._asked, None
                    return question
            return None

    def _answer(self, question: Question) -> None:
        def is_old() -> bool:
            """Does nobody wait for this any more."""
            return self._is_over or self._last is None or self._last.change != question.change

        def look() -> None:
            """Leave what is no longer wanted."""
            if is_old():
                raise Stopped

        self._say(question, "looking", {})
        if self._planner is None:
            self._planner = Planner(question.match)
        planner = self._planner
        if self._planned is None or not self._planned.answers(question):
            planner.change(question.match)
            self._planned = None
            try:
                plan = planner.plan(time_limit_s=question.limit_s, stopped=is_old)
            except (NoPlanError, InputError) as error:
                look()
                self._say(question, "none", remedies(str(error), question.match, question.marks, planner, is_old))
                return
            self._planned = Planned(plan, kept_rows(plan), {})
        look()
        planned = self._planned
        fresh, kept = replace(planned.plan, match=question.match), replace(planned.kept, match=question.match)
        self.answered = Answered(question.change, fresh, kept)
        self._say(question, "answer", answer_data(fresh, kept))
        look()
        self._say(question, "advice", {"set_up": set_up_data(fresh)})
        parts: dict[str, Any] = {}
        for name, part in planned.parts.items() or planner.advice_parts(stopped=is_old):
            look()
            while time.monotonic() - self._moved_s < POLITE_S and not is_old():
                time.sleep(POLITE_S / 4)  # somebody moves a camera: that comes first
            parts[name] = part
            if name == FIRST_TOLD:
                self._say(question, "advice", advice_data(with_parts(fresh, parts)))
        planned.parts.update(parts)
        self._say(question, "advice", late_advice_data(with_parts(fresh, parts)))

    def _say(self, question: Question, event: str, data: dict[str, Any]) -> None:
        """Tell something found, unless it is of an older change by now."""
        data = {"change": question.change} | data
        with self._wake:
            if self._last is None or self._last.change != question.change:
                return
            if event == "looking":
                self.told = {"looking": data} | {
                    k: v for k, v in self.told.items() if v["change"] == question.change and k == "answer"
                }
            else:
                self.told.pop("looking", None)
                self.told[event] = (self.told.get(event) or {}) | data if event == "advice" else data
        self.tell(event, data)
