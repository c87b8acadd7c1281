"""What can go wrong in a way that the person at the keyboard can mend."""


class StandmarkError(Exception):
    """Base of every error that is answered with one clear line."""


class InputError(StandmarkError):
    """A file, key or value that cannot be used; the text says where, what was found and what is allowed."""


class OutputError(StandmarkError):
    """A result that cannot be written; the text names the path and the reason."""


class NoPlanError(StandmarkError):
    """The rules leave no plan; the text names the limits that clash."""
