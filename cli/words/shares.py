"""Shares as people say them: half, a third, 1 in 12; and what a loss amounts to."""

from __future__ import annotations

FRACTIONS = (
    (1 / 10, "a tenth"),
    (1 / 8, "an eighth"),
    (1 / 6, "a sixth"),
    (1 / 5, "a fifth"),
    (1 / 4, "a quarter"),
    (1 / 3, "a third"),
    (2 / 5, "two-fifths"),
    (1 / 2, "half"),
    (3 / 5, "three-fifths"),
    (2 / 3, "two-thirds"),
    (3 / 4, "three-quarters"),
    (4 / 5, "four-fifths"),
    (9 / 10, "nine-tenths"),
)
NEARLY_ALL, HARDLY_ANY = 0.95, 0.07
WELL_FROM, PARTLY_FROM = 0.6, 0.3  # a moment captured at least this often is captured well, or partly
NOTHING, LITTLE, SOME = 0.005, 0.02, 0.05  # losses below are nothing, a little, some; above: a lot
FEW = 0.28  # shares below are said as 1 in so many


def about(share: float) -> str:
    """Share as the nearest fraction that people use.

    >>> about(0.48), about(0.351), about(0.98), about(0.02)
    ('about half', 'about a third', 'nearly all', 'hardly any')
    """
    if share >= NEARLY_ALL:
        return "nearly all"
    return "hardly any" if share < HARDLY_ANY else f"about {fraction(share)}"


def fraction(share: float) -> str:
    """Nearest fraction that people use.

    >>> fraction(0.24), fraction(0.41)
    ('a quarter', 'two-fifths')
    """
    return min(FRACTIONS, key=lambda known: abs(known[0] - share))[1]


def how_many(share: float) -> str:
    """Share of moments of one kind.

    >>> how_many(0.21), how_many(0.083), how_many(0.38), how_many(0.004)
    ('1 in 5', '1 in 12', '4 in 10', 'almost none')
    """
    if share < 0.02:
        return "almost none"
    if 0.45 <= share < 0.55:
        return "half"
    return f"1 in {round(1 / share)}" if share < FEW else f"{round(10 * share)} in 10"


def grade(share: float) -> str:
    """Return how well a kind of moment is captured usably: "well", "partly" or "hardly".

    >>> grade(0.7), grade(0.41), grade(0.2)
    ('well', 'partly', 'hardly')
    """
    return "well" if share >= WELL_FROM else "partly" if share >= PARTLY_FROM else "hardly"


def whole_percent(share: float) -> str:
    """Share in whole per cent.

    >>> whole_percent(0.034), whole_percent(0.0004)
    ('3 %', 'under 1 %')
    """
    return f"{100 * share:.0f} %" if share >= NOTHING else "under 1 %"


def loss_words(loss: float) -> str:
    """Say on paper what a loss of the whole match amounts to.

    >>> loss_words(0.001), loss_words(0.012), loss_words(0.04), loss_words(0.12)
    ('nothing lost', 'you lose a little', 'you lose some of it', 'you lose a lot: about an eighth')
    """
    if loss < NOTHING:
        return "nothing lost"
    if loss < LITTLE:
        return "you lose a little"
    return "you lose some of it" if loss < SOME else f"you lose a lot: {about(loss)}"


def cost_words(loss: float) -> str:
    """Say on a terminal what a loss of the whole match amounts to.

    >>> cost_words(0.001), cost_words(0.034)
    ('you lose nothing', 'you lose 3 %')
    """
    return "you lose nothing" if loss < NOTHING else f"you lose {whole_percent(loss)}"
