"""One match that is open: its text with history, its file, its plan, and everybody who looks at it.

All methods but `save`, `resolve` and `bring` are quick and are called from one thread, that of the server.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from standmark.cli.open.checked import Checked, Fault, checked, new_faults, unplannable
from standmark.cli.open.document import Edit, edited
from standmark.cli.open.fitting import own_marks, with_consequences
from standmark.cli.open.history import History
from standmark.cli.open.keeper import Keeper, Places
from standmark.cli.open.live import LIMIT_S, Live
from standmark.cli.open.match_data import match_data
from standmark.cli.open.own_sports import own_sport_files, own_sports
from standmark.cli.open.parts import EditError, Text, marked, said
from standmark.cli.open.refused import DiskError, FaultError, StaleError
from standmark.cli.open.remedies import nowhere
from standmark.cli.terminal.write_files import write_one
from standmark.geometry.errors import InputError, NoPlanError, OutputError, StandmarkError
from standmark.optimizer.match.match import Match
from standmark.optimizer.match.read_match import read_match
from standmark.optimizer.planning import Stopped

Tell = Callable[[str, dict[str, Any] | None, int], None]
Files = Callable[[Path], list[str]]  # writes files into a folder; their names
MakePlan = Callable[[Match, Callable[[], bool]], Files]  # plans a match, unless told that it is stopped


class Session:
    """A match file that is open."""

    def __init__(
        self, places: Places, tell: Tell, make_plan: MakePlan, *, is_in_folder: bool = False, limit_s: float = LIMIT_S
    ) -> None:
        self.tell, self.make_plan, self.is_in_folder = tell, make_plan, is_in_folder
        self.keeper = Keeper(places)
        self.history = History(_first(self.keeper.disk.text))
        self.by = ""
        self._sport_files = own_sport_files(places.file.parent)
        self.live = Live(self._found, report=self._report, limit_s=limit_s)
        self._writing, self._filing, self._lock = threading.Lock(), threading.Lock(), threading.RLock()
        self._over = threading.Event()
        self.is_plan_left_out = False  # of the last save
        self.checked = self._check(self.history.text)
        self._told: dict[str, Any] = {}
        self._plan(at_once=True)

    @property
    def places(self) -> Places:
        """Where this match is kept."""
        return self.keeper.places

    @property
    def change(self) -> int:
        """Number of the newest change."""
        return self.history.change

    @property
    def is_unsaved(self) -> bool:
        """Is there something that the file does not say yet."""
        return self.history.text.text != self.keeper.saved_text

    def match_event(self) -> dict[str, Any]:
        """The whole match, as the page reads it."""
        with self._lock:
            return self._match_event()

    def _match_event(self) -> dict[str, Any]:
        if self._told.get("change") != self.change:
            told = match_data(self.history.text, self.checked)
            named = told["said"]["match"].get("sport_file")
            sports = own_sports(self.places.file.parent, (*self._sport_files, *([named] if named else [])))
            self._told = told | {"change": self.change, "own_sports": sports}
        return self._told | {
            "by": self.by,
            "undo": self.history.undo_words,
            "redo": self.history.redo_words,
            "text": self.history.text.text,
            "file": {
                "name": self.places.file.name,
                "out": str(self.places.out),
                "saved": self.keeper.saved_at or None,
                "unsaved": self.is_unsaved,
                "folder": self.is_in_folder,
            },
        }

    def edit(self, edits: Sequence[Edit], *, base: int, page: str, what: str, goes_on: bool = False) -> dict[str, Any]:
        """Make a change.

        Raises
        ------
        StaleError, FaultError
        """
        with self._lock:
            self._must_be_newest(base)
            before = self.history.text
            try:
                more = with_consequences(edits, said(before), self.checked.match)
                text, added = edited(before, more)
            except EditError as error:
                raise FaultError([Fault(None, None, str(error))]) from error
            self._take(text, page=page, what=what, goes_on=goes_on)
            return self._accepted() | {"marks": list(added)}

    def replace(self, text: str, *, base: int, page: str, what: str) -> dict[str, Any]:
        """Take another text in place of the whole, as one step.

        Raises
        ------
        StaleError, FaultError
        """
        with self._lock:
            self._must_be_newest(base)
            try:
                self._take(marked(text), page=page, what=what)
            except EditError as error:
                raise FaultError([Fault(None, None, str(error))]) from error
            return self._accepted() | {"marks": []}

    def undo(self, *, base: int, page: str) -> dict[str, Any]:
        """Take back the last step, whoever took it."""
        return self._step_back(self.history.undo, base, page)

    def redo(self, *, base: int, page: str) -> dict[str, Any]:
        """Take the step last undone again."""
        return self._step_back(self.history.redo, base, page)

    def worth(self, change: int, **where: Any) -> dict[str, Any]:
        """What a moved camera is worth.

        Raises
        ------
        StaleError : there is no answer to that change
        InputError : no such period or camera
        """
        worth = self.live.worth(change, **where)
        if worth is None:
            raise StaleError
        return worth

    def save(self, *, base: int) -> dict[str, Any]:
        """Write the match file and every file of its plan.

        Raises
        ------
        StaleError, FaultError, DiskError, OutputError
        """
        with self._writing:
            self._must_be_newest(base)
            if self.keeper.is_changed:
                raise DiskError(self._note_difference())
            return self._write()

    def resolve(self, keep: str, *, base: int, page: str) -> dict[str, Any]:
        """Settle what differs between page and disk: "mine", "disk" or "both".

        Raises
        ------
        StaleError, FaultError, DiskError, OutputError
        """
        with self._writing:
            self._must_be_newest(base)
            if keep == "both":
                self.keeper.step_aside()
            elif not self.keeper.is_as_shown:
                raise DiskError(self._note_difference())
            elif keep == "disk":
                on_disk = self.keeper.read()
                answer = self.replace(
                    on_disk.text, base=base, page=page, what=f"take {self.places.file.name} from disk"
                )
                self.keeper.took(on_disk)
                self.tell("disk", None, self.change)
                return answer
            else:
                self.keeper.accept()
            self.keeper.agree()
            self.tell("disk", None, self.change)
            return self._write()

    def look_at_disk(self) -> None:
        """Say so if the file has become another one, or is again what it was."""
        if not self._writing.locked() and self.keeper.look(self.history.text.text):
            self.tell("disk", self.keeper.differs, self.change)

    def keep_net(self) -> Path | None:
        """Write unsaved changes where they can be found again; the file, or None where there is nothing to keep."""
        return self.keeper.keep_net(self.history.text.text)

    def stop(self) -> None:
        """End the search, after a save that is on its way."""
        with self._writing:
            self.live.close()

    def close(self) -> Path | None:
        """End search and save, and keep what is not saved; the file that holds it, or None.

        The plan of a save that is on its way is given up; files that are being written are written to the end.
        """
        self._over.set()
        self.live.close()
        with self._filing:
            return self.keeper.keep_net_if_possible(self.history.text.text)

    def _write(self) -> dict[str, Any]:
        with self._lock:
            text, change, sound = self.history.text.text, self.change, self.checked
        if sound.match is None or sound.is_nowhere:
            raise FaultError(sound.faults or [Fault(None, None, "there is no sport yet, or nowhere to stand")])
        with self._filing:
            self.keeper.write(text)
            self.is_plan_left_out = True
        files, said_no = [], ""
        try:
            write_files = self.make_plan(read_match(self.places.file), self._over.is_set)
            with self._filing:
                if self._over.is_set():
                    raise Stopped
                files = write_files(self.places.out)
                self.is_plan_left_out = False
        except (NoPlanError, InputError, OutputError) as error:
            said_no, self.is_plan_left_out = str(error), False
        except Stopped:
            said_no = "standmark was stopped before the plan was made"
        with self._filing:
            self.keeper.keep_net_if_possible(self.history.text.text)
        answer = {
            "saved": self.keeper.saved_at,
            "file": self.places.file.name,
            "out": str(self.places.out),
            "files": files,
            "no_plan": said_no,
            "change": change,
        }
        self.tell("saved", answer, self.change)
        self.tell("match", self.match_event(), self.change)
        return answer

    def _note_difference(self) -> dict[str, Any]:
        differs = self.keeper.note(self.history.text.text)
        self.tell("disk", differs, self.change)
        return differs

    def _step_back(self, step: Callable[[], str | None], base: int, page: str) -> dict[str, Any]:
        with self._lock:
            self._must_be_newest(base)
            did = step()
            if did is None:
                raise FaultError([Fault(None, None, "there is nothing to take back")])
            self.checked = self._check(self.history.text)
            self._changed(page)
            return self._accepted() | {"did": did, "marks": []}

    def _take(self, text: Text, *, page: str, what: str, goes_on: bool = False) -> None:
        if text.text == self.history.text.text:
            return
        reading = self._check(text)
        if reading.faults and (new := new_faults(self.checked.faults, reading.faults)):
            raise FaultError(new)
        self.checked = reading
        self.history.step(text, what=what, page=page, goes_on=goes_on)
        self._changed(page)

    def _changed(self, page: str) -> None:
        self.by = page
        self.tell("match", self.match_event(), self.change)
        self._plan()

    def _plan(self, *, at_once: bool = False) -> None:
        match = self.checked.match
        if match is None:
            self.live.forget()
        elif self.checked.is_nowhere:
            self.live.forget()
            self._found("none", nowhere(self.match_event()["ground"]["places"]) | {"change": self.change})
        elif (fault := unplannable(match)) is not None:
            self.live.forget()
            self._found("none", {"change": self.change, "words": fault.words, "nearest": "", "remedies": []})
        else:
            marks = own_marks(self.checked.tables, self.history.text.marks["allowed"])
            self.live.ask(self.change, match, marks, at_once=at_once)

    def _found(self, event: str, data: dict[str, Any]) -> None:
        if event == "none":
            self.live.told["none"] = data
        self.tell(event, data, int(data["change"]))

    def _check(self, text: Text) -> Checked:
        return checked(text, folder=self.places.file.parent, name=self.places.file.name)

    def _must_be_newest(self, base: int) -> None:
        if base != self.change:
            raise StaleError

    def _accepted(self) -> dict[str, Any]:
        return {
            "change": self.change,
            "undo": self.history.undo_words,
            "redo": self.history.redo_words,
            "text": self.history.text.text,
        }

    def _report(self, text: str) -> str | None:
        """Write what went wrong into the folder of the plan; its name, or None where that fails too."""
        path = self.places.out / "report.txt"
        try:
            write_one(path, text.encode("utf-8", "replace"), force=True)
        except StandmarkError:
            return None
        return str(path)


def _first(text: str) -> Text:
    """Text of the file as it was found; one that is not TOML is an error of the command."""
    try:
        return marked(text)
    except EditError as error:
        raise InputError(str(error)) from error


def greeting(session: Session) -> Mapping[str, dict[str, Any] | None]:
    """What a page that has just come needs: the match, and what was found for it."""
    events: dict[str, dict[str, Any] | None] = {"match": session.match_event()}
    told = dict(session.live.told)  # another thread adds to it
    order = ("looking", "answer", "none", "failed", "advice")
    events |= {name: told[name] for name in order if name in told}
    if session.keeper.differs is not None:
        events["disk"] = session.keeper.differs
    return events
