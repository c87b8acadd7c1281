"""How often the action is inside the frame although the operator lags behind it.

What loses moments is not how fast a head pans but how late its operator is: play jumps to the subject (a pass, a
rebound, a ball struck first time), and until the operator has caught up the subject is off centre by the operator's
lag times the speed of the jump, seen from the lens. The moment is lost where that is more than half the frame's width.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from standmark.geometry.view.line_of_sight import LinesOfSight, Reals, like

# Fitted on 178 kicks of a football half (open tracking data, SkillCorner, MIT licence) that a simulated operator films
# in 36 ways of being late; on 526 other kicks the formula is 3 to 6 points off (root mean square), about what sampling
# alone makes. `benchmarks/real_play.py` repeats the check.
CATCH_UP_S = 0.40  # after a jump the action has to be in the frame for a while around the moment; half of that
LONG_FLIGHT_CATCH_UP_S = 0.20  # where the ball is in the air for long: the operator has caught up by then
DELAY_WEIGHT = 0.94
NO_JUMP_M2 = 1e-9  # stands in for no jump, so that nothing is divided by 0
SUBJECT_HALF_M = 0.35  # half the width of a person in action, that has to be in the frame as well


def lag_s(delay_s: float, *, catch_up_s: ArrayLike = CATCH_UP_S) -> Reals:
    """Time by which a jump of play leads the frame [s].

    Parameters
    ----------
    delay_s : the operator's delay behind steady movement
    catch_up_s : shape (t,) or scalar, CATCH_UP_S or, after a long flight, LONG_FLIGHT_CATCH_UP_S
    """
    return np.asarray(catch_up_s, np.float64) + DELAY_WEIGHT * delay_s


def jump_weight(sight: LinesOfSight, *, along_m_s: ArrayLike, across_m_s: ArrayLike, lag_s: ArrayLike) -> Reals:
    """One over the mean square of how far a jump of play leads the frame, as the lens sees it [1/m2].

    The mean square is ``lag^2 (Va^2 sin^2 d + Vc^2 cos^2 d)``, d the angle on the ground between the line of sight and
    the direction of the attack, which lies along x for either side.

    Parameters
    ----------
    sight : from p lenses to t subjects
    along_m_s, across_m_s : shape (t,) or scalar, root mean square of the speed Va along and Vc across the attack with
        which play jumps
    lag_s : shape (t,) or scalar

    Returns
    -------
    shape (p, t)
    """
    square = np.asarray(lag_s, np.float64) ** 2
    along, across = (square * np.asarray(v, np.float64) ** 2 for v in (along_m_s, across_m_s))
    jump_m2 = sight.along_x * sight.along_x
    jump_m2 *= like(sight, across - along)
    jump_m2 += like(sight, np.maximum(along, NO_JUMP_M2))
    return np.reciprocal(np.maximum(jump_m2, NO_JUMP_M2, out=jump_m2), out=jump_m2)


def held_share(reach_m_mm: Reals, weight: Reals, *, width_mm: float, jump_share: ArrayLike) -> Reals:
    """Share of moments in which the subject is inside the frame [0 to 1].

    ``1 - q / (1 + x^2 / J)^2``: q the share of moments to which play has just jumped, x half the frame less half the
    subject, J the mean square of the jump. Without a jump nothing is lost.

    Parameters
    ----------
    reach_m_mm : shape (p, t), distance over focal length: metres at the subject for a millimetre of the sensor
    weight : shape (p, t), 1 / J, see `jump_weight` [1/m2]
    width_mm : of the recorded area
    jump_share : shape (t,) or scalar, 0..1

    >>> seven_metres, jump = np.array([7.0 / 36.0]), np.array([(0.64 * 8.0) ** -2])
    >>> held_share(seven_metres, jump, width_mm=36.0, jump_share=0.26).round(2)
    array([0.86])
    """
    room = reach_m_mm * reach_m_mm.dtype.type(0.5 * width_mm)
    room -= SUBJECT_HALF_M
    np.maximum(room, 0.0, out=room)
    room *= room
    room *= weight
    room += 1.0
    room *= room
    np.divide(np.asarray(jump_share, room.dtype), room, out=room)
    return np.subtract(1.0, room, out=room)
