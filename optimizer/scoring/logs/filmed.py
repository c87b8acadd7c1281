"""What somebody counted after a match: how often a moment happened and how often they got it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

Reason = Literal["too far", "someone in the way", "too late", "faced away", "light", "not my job"]
REASONS: tuple[Reason, ...] = ("too far", "someone in the way", "too late", "faced away", "light", "not my job")

# Which factor of the value model a reason speaks of. "Faced away" is a matter of faces, not of what is seen; what was
# not one's job says nothing of how well one films.
FACTOR_OF: Mapping[Reason, str] = MappingProxyType(
    {"too far": "size", "someone in the way": "clear", "too late": "held", "light": "light"}
)


@dataclass(frozen=True)
class Count:
    """One row of a log."""

    camera: str
    period: str  # key
    moment: str  # key
    attack: int  # end at which it happened: the side attacks toward +x or -x; 0 either or unknown
    happened: int
    got: int  # usable; at most `happened`
    why: Mapping[Reason, int] = field(default_factory=dict, hash=False)  # of those lost; others were not said

    @property
    def lost(self) -> int:
        """Moments that happened and were not got."""
        return self.happened - self.got

    @property
    def asked(self) -> int:
        """Moments that were this camera's job."""
        return self.happened - min(self.why.get("not my job", 0), self.lost)
