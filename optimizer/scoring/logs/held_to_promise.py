"""A log beside its plan: what was promised, what was got, and what the difference is likely due to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from standmark.optimizer.scoring.logs.filmed import FACTOR_OF, Count, Reason
from standmark.optimizer.scoring.logs.interval import share_interval
from standmark.optimizer.scoring.logs.promise import OUTCOMES, Promise

Cause = Reason | None
REASON_OF: dict[str, Reason] = {factor: reason for reason, factor in FACTOR_OF.items()}


@dataclass(frozen=True)
class Outcome:
    """One kind of moment for one camera, over all that was logged."""

    camera: str
    moment: str
    happened: int  # of what was this camera's job
    got: int
    promised: float | None  # None: the plan does not speak of it
    interval: tuple[float, float]  # of the true share, 95 %
    why: tuple[tuple[Reason, int], ...]  # as said, the most frequent first
    cause: Cause  # what the difference is likely due to; None: as promised, better, or nothing to go by

    @property
    def is_as_promised(self) -> bool:
        """Whether what was got is as likely as not what was promised: the promise lies in the interval."""
        return self.promised is not None and self.interval[0] <= self.promised <= self.interval[1]


def held_to_promise(counts: Sequence[Count], promises: Iterable[Promise]) -> list[Outcome]:
    """Put what was got beside what was promised, camera by camera and moment by moment, in the order of the log."""
    by_row = {(p.camera, p.period, p.moment, p.attack): p for p in promises}
    keys = dict.fromkeys((count.camera, count.moment) for count in counts if count.happened)
    return [_outcome(camera, moment, counts, by_row) for camera, moment in keys]


def promise_of(count: Count, by_row: dict[tuple[str, str, str, int], Promise]) -> Promise | None:
    """Promise that a row speaks of: of its end, or else of both."""
    row = (count.camera, count.period, count.moment)
    return by_row.get((*row, count.attack)) or by_row.get((*row, 0))


def _outcome(
    camera: str, moment: str, counts: Sequence[Count], by_row: dict[tuple[str, str, str, int], Promise]
) -> Outcome:
    mine = [c for c in counts if (c.camera, c.moment) == (camera, moment) and c.asked]
    happened, got = sum(c.asked for c in mine), sum(c.got for c in mine)
    pairs = [(c.asked, p) for c in mine if (p := promise_of(c, by_row)) is not None]
    n_known = sum(n for n, _ in pairs)
    promised = sum(n * p.stated[0] for n, p in pairs) / n_known if n_known else None
    why = Counter[Reason]()
    for count in mine:
        why.update({reason: n for reason, n in count.why.items() if reason != "not my job"})
    interval = share_interval(got, happened)
    short = promised is not None and interval[1] < promised
    return Outcome(
        camera, moment, happened, got, None if promised is None else float(promised), interval,
        tuple(why.most_common()), _cause(why, pairs) if short else None,
    )  # fmt: skip


def _cause(why: Counter[Reason], pairs: Sequence[tuple[int, Promise]]) -> Cause:
    """Reason that stands out most against what the plan expected; without any said, the one it expected most."""
    expected = {
        REASON_OF[name]: sum(n * float(p.stated[index]) for n, p in pairs)
        for index, name in enumerate(OUTCOMES)
        if name in REASON_OF
    }
    if why:
        return max(why, key=lambda reason: (why[reason] - expected.get(reason, 0.0), reason))
    return max(expected, key=lambda reason: (expected[reason], reason), default=None)
