"""Intervals that suit small counts."""

from __future__ import annotations

LEVEL = 0.95


def share_interval(got: int, happened: int, *, level: float = LEVEL) -> tuple[float, float]:
    """Jeffreys interval of a share from counts: equal tails of Beta(got + 1/2, lost + 1/2), closed at none and all.

    Recommended with the Wilson interval for 40 and fewer by Brown, Cai and DasGupta, Interval Estimation for a
    Binomial Proportion, Statistical Science 16 (2001), 101-133, whose end corrections are used: the lower limit is 0
    when nothing was got, the upper one 1 when everything was.

    Raises
    ------
    ValueError : counts that cannot be

    >>> [round(limit, 3) for limit in share_interval(2, 5)]
    [0.094, 0.791]
    >>> share_interval(0, 0)
    (0.0, 1.0)
    """
    from scipy.special import betaincinv

    if not 0 <= got <= happened:
        raise ValueError(f"got {got} of {happened}")
    tail = (1.0 - level) / 2.0
    a, b = got + 0.5, happened - got + 0.5
    low = 0.0 if got == 0 else float(betaincinv(a, b, tail))
    high = 1.0 if got == happened else float(betaincinv(a, b, 1.0 - tail))
    return low, high


def rate_interval(shape: float, matches: float, *, level: float = LEVEL) -> tuple[float, float]:
    """Equal tails of a rate per match that is Gamma(shape, matches) distributed.

    >>> [round(limit, 2) for limit in rate_interval(10.0, 5.0)]
    [0.96, 3.42]
    """
    from scipy.special import gammaincinv

    tail = (1.0 - level) / 2.0
    return float(gammaincinv(shape, tail)) / matches, float(gammaincinv(shape, 1.0 - tail)) / matches
