"""What lies open: one match, or a folder of grounds of which one may be open."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from standmark.cli.open.checked import Fault
from standmark.cli.open.folder import Survey
from standmark.cli.open.hub import Hub
from standmark.cli.open.keeper import Places
from standmark.cli.open.live import LIMIT_S
from standmark.cli.open.refused import FaultError
from standmark.cli.open.session import MakePlan, Session, greeting
from standmark.geometry.errors import InputError


class Desk:
    """The match that is open, and the folder that it came from, if any."""

    def __init__(
        self,
        hub: Hub,
        make_plan: MakePlan,
        *,
        file: Path | None,
        folder: Path | None,
        out: Path,
        limit_s: float = LIMIT_S,
    ) -> None:
        self.hub, self.make_plan, self.out, self.limit_s = hub, make_plan, out, limit_s
        self.survey = None if folder is None else Survey(folder, self._listed)
        self.saved_files: frozenset[str] = frozenset()
        self._session: Session | None = None
        if file is not None:
            self._session = Session(Places(file, out), hub.tell, make_plan, limit_s=limit_s)

    @property
    def session(self) -> Session:
        """The match that is open.

        Raises
        ------
        InputError : none is: the list of grounds is shown
        """
        if self._session is None:
            raise InputError("no ground is open; choose one first")
        return self._session

    @property
    def current(self) -> Session | None:
        """The match that is open; None while the list of grounds is shown."""
        return self._session

    def greeting(self) -> tuple[Mapping[str, Any], int]:
        """Events that a page needs when it opens, and the number of the change."""
        if self._session is None:
            assert self.survey is not None, "without a file there is a folder"
            return {"grounds": self.survey.entries}, 0
        return greeting(self._session), self._session.change

    def open_ground(self, ground: str | None, *, drop: bool) -> None:
        """Open a ground of the folder; None: show the list again.

        Raises
        ------
        InputError : there is no such ground, or no folder
        FaultError : what is open has not been saved
        """
        if self.survey is None:
            raise InputError("no folder was opened")
        path = None if ground is None else self.survey.path(ground)
        if self._session is not None:
            if self._session.is_unsaved and not drop:
                raise FaultError([Fault(None, None, f"{self._session.places.file.name} is not saved yet: save first")])
            self._session.stop()
        self._session, self.saved_files = None, frozenset()
        if path is None:
            self.hub.tell("grounds", self.survey.entries, 0)
            return
        out = self.out / path.relative_to(self.survey.folder).with_suffix("")
        self._session = Session(
            Places(path, out), self.hub.tell, self.make_plan, is_in_folder=True, limit_s=self.limit_s
        )
        self.hub.tell("match", self._session.match_event(), self._session.change)

    def noted(self, answer: dict[str, Any]) -> dict[str, Any]:
        """Remember which files a save has written, so that the page may show them."""
        if "files" in answer:
            self.saved_files = frozenset(answer["files"])
        return answer

    def close(self) -> Path | None:
        """End the search; the file that holds what was not saved, or None."""
        if self.survey is not None:
            self.survey.close()
        return None if self._session is None else self._session.close()

    def _listed(self, event: str, data: Any, change: int) -> None:
        """Tell the list of grounds while it is what the pages show."""
        if self._session is None:
            self.hub.tell(event, data, change)
