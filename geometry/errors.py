"""What can go wrong in a way that the person at the keyboard can fix."""

from __future__ import annotations


class StandmarkError(Exception):
    """Base of every error that is answered with one clear line.

    The message may quote what a file holds; characters that could move a cursor, ring a bell or turn the direction of
    the text are replaced, so that it can be shown on any terminal or page.

    Parameters
    ----------
    unquoted : the same without a line of the file, for pages that others read
    """

    def __init__(self, message: str, *, unquoted: str | None = None) -> None:
        super().__init__(printable(message))
        self.unquoted = printable(message if unquoted is None else unquoted)


class InputError(StandmarkError):
    """A file, key or value that cannot be used; the text says where, what was found and what is allowed."""


class OutputError(StandmarkError):
    """A result that cannot be written; the text names the path and the reason."""


class NoPlanError(StandmarkError):
    """The rules leave no plan; the text names the limits that clash."""


def printable(text: str) -> str:
    r"""Text with every character that is not printable replaced; line ends stay.

    >>> printable("area \x1b[31mred\x07")
    'area �[31mred�'
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c == "\n" else "\N{REPLACEMENT CHARACTER}" for c in text)


def shown(word: object, *, most: int = 60) -> str:
    """Text of a file as a message may quote it: one line, cut to `most` characters, nothing that acts on a terminal."""
    return printable(str(word)[:most]).replace("\n", "\N{REPLACEMENT CHARACTER}")
