"""Where a match is kept: its file, what was last read or written there, and the net for what nobody has saved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from standmark.cli.open.disk import GONE, OnDisk, difference, free_sibling, print_of, read_disk, write_back
from standmark.cli.terminal.write_files import write_one
from standmark.geometry.errors import InputError, StandmarkError

NET = "unsaved-match.toml"


@dataclass(frozen=True)
class Places:
    """Where a session may write: its file, and the folder of the plan."""

    file: Path
    out: Path

    @property
    def net(self) -> Path:
        """File for changes that nobody saved."""
        net = self.out / NET
        return net if net.absolute() != self.file.absolute() else self.out / "unsaved-match-2.toml"


class Keeper:
    """The file of a match; it is replaced only while it is what was read or written last, or what was shown."""

    def __init__(self, places: Places) -> None:
        """Read the file.

        Raises
        ------
        InputError : it cannot be read
        """
        self.places = places
        self.disk = read_disk(places.file) or OnDisk("", "utf-8", GONE)
        self.saved_text, self.saved_at = self.disk.text, ""  # the time is empty before the first save
        self.differs: dict[str, Any] | None = None  # what was shown last
        self._shown: str | None = None  # fingerprint of the file that it was
        self._net_text = ""

    @property
    def is_changed(self) -> bool:
        """Is the file another one than was read or written last."""
        return print_of(self.places.file) != self.disk.print_

    @property
    def is_as_shown(self) -> bool:
        """Is the file still the one whose differences were shown last; true where none were."""
        return self._shown in (None, print_of(self.places.file))

    def look(self, text: str) -> bool:
        """Look at the file; whether there is something new to show."""
        if not self.is_changed:
            is_new = self.differs is not None
            self.agree()
            return is_new
        if self._shown is not None and self.is_as_shown:
            return False
        self.note(text)
        return True

    def note(self, text: str) -> dict[str, Any]:
        """Find what differs between a text and the file."""
        self._shown = print_of(self.places.file)
        self.differs = difference(text, self.places.file)
        return self.differs

    def agree(self) -> None:
        """Nothing differs any more."""
        self._shown = self.differs = None

    def accept(self) -> None:
        """The file may be replaced, as it is now."""
        self.disk = OnDisk("", self.disk.encoding, print_of(self.places.file))

    def step_aside(self) -> None:
        """Go on with another file beside this one."""
        self.places = Places(free_sibling(self.places.file), self.places.out)
        self.disk = OnDisk("", self.disk.encoding, GONE)

    def read(self) -> OnDisk:
        """Read the file again.

        Raises
        ------
        InputError : it is gone, or cannot be read
        """
        on_disk = read_disk(self.places.file)
        if on_disk is None:
            raise InputError(f"{self.places.file.name} is no longer there")
        return on_disk

    def took(self, on_disk: OnDisk) -> None:
        """What was read again is what is open now."""
        self.disk, self.saved_text = on_disk, on_disk.text
        self.agree()

    def write(self, text: str) -> None:
        """Write the file.

        Raises
        ------
        OutputError : it is another one by now, or cannot be written
        """
        print_ = write_back(self.places.file, text, encoding=self.disk.encoding, expected=self.disk.print_)
        self.disk = OnDisk(text, self.disk.encoding, print_)
        self.saved_text, self.saved_at = text, f"{datetime.now():%H:%M}"
        self.agree()

    def keep_net(self, text: str) -> Path | None:
        """Write what is not saved where it can be found again; that file, or None where there is nothing to keep.

        Raises
        ------
        OutputError : it cannot be written
        """
        net = self.places.net
        if text == self.saved_text:
            if self._net_text:
                net.unlink(missing_ok=True)
                self._net_text = ""
            return None
        if text != self._net_text:
            write_one(net, text.encode(self.disk.encoding), force=True)
            self._net_text = text
        return net

    def keep_net_if_possible(self, text: str) -> Path | None:
        """Do the same; None where the net cannot be written."""
        try:
            return self.keep_net(text)
        except StandmarkError:
            return None
