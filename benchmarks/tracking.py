"""Half a match of tracked play: where everybody was, the kicks in it, and what an operator at a spot gets of them.

A file holds arrays of n frames and p people, without names: `people_cm` (n, p, 2) and `ball_cm` (n, 3), -32768 where
unknown; `measured`, packed bits, the camera saw them (else filled in between); `team` (p,), 0, 1 or 2 for officials;
`attack_sign` (2,), the side that each team attacks; `hz`; `length_m` and `width_m` where the field is not of the usual
size. Origin in the centre, x along the length. Everything that is given back lies in the frame of the side that kicks,
which attacks toward +x.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
UNKNOWN_CM = -32768
SHARP_M_S = 8.0  # a kick changes the ball's velocity by at least this from the 0.2 s before to the 0.2 s after
NEAR_M = 1.5  # of somebody
APART_S = 0.8
AROUND_S = 0.4  # the kicker has to be in the frame in this time before and after ...
IN_FRAME = 0.8  # ... for this share of it
BODY_HALF_M = 0.25
SUBJECT_HALF_M = 0.35
BODY_M = 1.8
STEP_S = 0.02
LEAD_S = 3.0  # the operator is on the ball by then


@dataclass(frozen=True)
class Follower:
    """A simulated operator: sees the ball late, looks a little ahead, and turns the head to where it seems to be."""

    lag_s: float = 0.4
    look_ahead: float = 0.8  # share of lag x speed of the ball that the operator aims ahead
    turn_s: float = 0.15  # time in which the head closes in on the aim
    most_deg_s: float = 60.0
    most_deg_s2: float = 400.0

    @property
    def delay_s(self) -> float:
        """How far behind steady movement the frame is."""
        return self.turn_s + (1.0 - self.look_ahead) * self.lag_s


@dataclass(frozen=True, eq=False)
class Track:
    """Tracked play on even steps of time."""

    t_s: Floats  # shape (n,)
    people_m: Floats  # shape (n, p, 2), nan where unknown
    is_seen: Flags  # shape (n, p), not filled in
    ball_m: Floats  # shape (n, 2), nan where unknown
    team: NDArray[np.int8]  # shape (p,)
    attack_sign: NDArray[np.int8]  # shape (2,)
    size_m: tuple[float, float] | None  # length and width; None: the usual ones


@dataclass(frozen=True, eq=False)
class Kicks:
    """Moments at which somebody plays the ball sharply, in the frame of the side that kicks."""

    frame: NDArray[np.intp]  # shape (k,)
    kicker: NDArray[np.intp]  # shape (k,)
    sign: Floats  # shape (k,), +1 or -1: turns the field into the frame of the side that kicks
    xy_m: Floats  # shape (k, 2)
    others_m: Floats  # shape (k, p, 2), everybody else at that time; nan unknown, or the kicker


def read_track(path: Path) -> Track:
    """Read a file of tracked play."""
    data = np.load(path, allow_pickle=False)
    people, ball = (_metres(data[key]) for key in ("people_cm", "ball_cm"))
    size = (float(data["length_m"]), float(data["width_m"])) if "length_m" in data else None
    seen = np.unpackbits(data["measured"], axis=1)[:, : people.shape[1]].astype(bool)
    t_s = np.arange(len(ball)) / float(data["hz"])
    return Track(t_s, people, seen, ball[:, :2], data["team"], data["attack_sign"], size)


def _metres(cm: NDArray[np.int16]) -> Floats:
    return np.where(cm == UNKNOWN_CM, np.nan, cm / 100.0)


def kicks_of(track: Track) -> Kicks:
    """Find the kicks: sharp changes of the ball's velocity beside somebody whom the camera sees all the time."""
    hz, n = 1.0 / (track.t_s[1] - track.t_s[0]), len(track.t_s)
    two, around, back = (round(s * hz) for s in (0.2, AROUND_S, 1.2))
    change = np.full(n, np.nan)
    step = (track.ball_m[two:] - track.ball_m[:-two]) * (hz / two)
    change[two:-two] = np.hypot(*(step[two:] - step[:-two]).T)
    away = np.hypot(*(track.people_m - track.ball_m[:, None]).transpose(2, 0, 1))
    away = np.where(np.isnan(away) | (track.team == 2), np.inf, away)
    nearest, is_kick = away.argmin(axis=1), (change > SHARP_M_S) & (away.min(axis=1) < NEAR_M)
    taken, found = np.zeros(n, bool), []
    for i in sorted(np.flatnonzero(is_kick), key=lambda i: -change[i]):
        if back < i < n - back and not taken[i - round(APART_S * hz) : i + round(APART_S * hz) + 1].any():
            taken[i] = True
            is_known = not np.isnan(track.ball_m[i - back : i + around + 1, 0]).any()
            if is_known and track.is_seen[i - around : i + around + 1, nearest[i]].all():
                found.append(i)
    frame = np.array(sorted(found), np.intp)
    kicker = nearest[frame]
    sign = track.attack_sign[track.team[kicker]].astype(float)
    others = track.people_m[frame] * sign[:, None, None]
    xy = others[np.arange(len(frame)), kicker].copy()
    others[np.arange(len(frame)), kicker] = np.nan
    return Kicks(frame, kicker, sign, xy, others)


@dataclass(frozen=True, eq=False)
class Aim:
    """Where the operator aims round every kick, at every spot; all of shape (steps, k, spots) but the last."""

    pan_rad: Floats
    aim_m: Floats  # distance to what the operator believes to be the place of the ball, which sets the zoom
    t_s: Floats  # shape (steps,), from the kick


def follow(track: Track, kicks: Kicks, spots_m: Floats, who: Follower) -> Aim:
    """Let an operator at every spot follow the ball up to every kick and a little beyond.

    Parameters
    ----------
    spots_m : shape (s, 3), in the frame of the side that kicks
    """
    known = ~np.isnan(track.ball_m[:, 0])
    ball = np.column_stack([np.interp(track.t_s, track.t_s[known], track.ball_m[known, i]) for i in (0, 1)])
    speed = np.gradient(ball, track.t_s, axis=0)
    speed = np.column_stack([np.convolve(speed[:, i], np.ones(3) / 3, "same") for i in (0, 1)])
    believed = ball + who.look_ahead * who.lag_s * speed  # of what is seen, `lag_s` late
    start = track.t_s[kicks.frame]

    def aim_at(t: float) -> tuple[Floats, Floats]:
        at = [np.interp(start + t - who.lag_s, track.t_s, believed[:, i]) * kicks.sign for i in (0, 1)]
        x, y = (at[i][:, None] - spots_m[None, :, i] for i in (0, 1))
        return np.arctan2(y, x), np.sqrt(x**2 + y**2 + (spots_m[:, 2] - BODY_M / 2) ** 2)

    pan, _ = aim_at(-LEAD_S)
    rate, most, push = np.zeros_like(pan), np.radians(who.most_deg_s), np.radians(who.most_deg_s2) * STEP_S
    kept, times = [], []
    for i in range(1, round((LEAD_S + AROUND_S) / STEP_S) + 1):
        t = i * STEP_S - LEAD_S
        toward, away = aim_at(t)
        wanted = np.clip(_turn(toward - pan) / who.turn_s, -most, most)
        rate += np.clip(wanted - rate, -push, push)
        pan = pan + rate * STEP_S
        if t >= -AROUND_S - 1e-9:
            kept.append((pan, away))
            times.append(t)
    return Aim(np.array([p for p, _ in kept]), np.array([a for _, a in kept]), np.array(times))


def offsets(track: Track, kicks: Kicks, spots_m: Floats, aim: Aim) -> tuple[Floats, Floats]:
    """Lateral offset of the kicker from the middle of the frame, and its distance, each (steps, k, spots) [m]."""
    hz = 1.0 / (track.t_s[1] - track.t_s[0])
    off, away = np.empty_like(aim.pan_rad), np.empty_like(aim.pan_rad)
    for i, t in enumerate(aim.t_s):
        exact = kicks.frame + t * hz
        first = np.floor(exact + 1e-9).astype(int)
        share = (exact - first)[:, None]
        one, two = (track.people_m[f, kicks.kicker] for f in (first, first + 1))
        place = np.where(share > 1e-6, one * (1 - share) + two * share, one) * kicks.sign[:, None]
        x, y = (place[:, None, j] - spots_m[None, :, j] for j in (0, 1))
        run = np.hypot(x, y)
        off[i] = run * np.sin(_turn(np.arctan2(y, x) - aim.pan_rad[i]))
        away[i] = np.sqrt(run**2 + (spots_m[:, 2] - BODY_M / 2) ** 2)
    return off, away


def in_frame(off_m: Floats, half_frame_m: Floats) -> Flags:
    """Tell for which kicks the kicker is in the frame for most of the time round it, shape (k, spots)."""
    return np.asarray((np.abs(off_m) <= half_frame_m - SUBJECT_HALF_M).mean(axis=0) >= IN_FRAME)


def clear_of_people(kicks: Kicks, spots_m: Floats, *, n_up: int = 6, n_across: int = 4) -> Floats:
    """Share of the kicker, an upright 1.8 x 0.5 m, that nobody else, an upright cylinder, covers; (k, spots)."""
    share = np.ones((len(kicks.frame), len(spots_m)))
    up = BODY_M * (np.arange(n_up) + 0.5) / n_up
    across = 2 * BODY_HALF_M * ((np.arange(n_across) + 0.5) / n_across - 0.5)
    for j, spot in enumerate(spots_m):
        way = spot[:2] - kicks.xy_m
        run = np.hypot(*way.T)[:, None]
        way = way / run
        rest = kicks.others_m - kicks.xy_m[:, None]
        along = rest[..., 0] * way[:, None, 0] + rest[..., 1] * way[:, None, 1]
        aside = rest[..., 1] * way[:, None, 0] - rest[..., 0] * way[:, None, 1]
        part = np.where((along > 0) & (along < run), along / run, np.nan)[..., None, None]  # nan: hides nothing
        beside = np.abs(aside[..., None, None] - across * (1 - part)) < BODY_HALF_M
        under = up[:, None] + (spot[2] - up[:, None]) * part < BODY_M
        share[:, j] = 1 - (beside & under).any(axis=1).mean(axis=(1, 2))
    return share


def _turn(angle: Floats) -> Floats:
    return np.asarray((angle + np.pi) % (2 * np.pi) - np.pi)
