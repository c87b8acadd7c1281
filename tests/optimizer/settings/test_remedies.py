"""Remedies for wrong light, worked through: which are taken, what each sets, what it leaves, its figures."""

import re

import pytest

from standmark.geometry.optics.camera import RecordingMode
from standmark.geometry.optics.exposure import NeutralDensity
from standmark.optimizer.settings.case import Case, Settings
from standmark.optimizer.settings.light import Light
from standmark.optimizer.settings.shot import Controls, FilmWish, Shot
from standmark.optimizer.settings.too_bright import remedies_for_too_much_light
from standmark.optimizer.settings.too_dark import remedies_for_too_little_light

MODE = RecordingMode("full frame UHD", 36.0, 20.25, 3840, 2160, (25.0, 50.0))
BRIGHT = Settings(50.0, 1 / 100, 4.0, 100.0)
DARK = Settings(50.0, 1 / 400, 5.6, 100.0)
OPEN = Settings(50.0, 1 / 400, 2.8, 100.0)
FIGURE = re.compile(r"(?:f/|1/|ISO |ND )?\d+(?:\.\d+)?(?: stops?| px| m)?|nothing|flicker")


def case(off_stops, start, *, fixed=(), variable=None, modulation=None, f_number=None, ball_m_s=30.0, lowest_iso=100.0):
    """A shot whose exposure is so many stops off; E = 2^off C N^2 / (ISO t), C = 250."""
    lux = 2.0**off_stops * 250.0 * start.f_number**2 / (start.iso * start.time_s)
    light = Light("light", lux, "", None if modulation is None else 100.0, modulation or 0.0, "", (5000, 6000), "")
    shot = Shot("shots", 40.0, 200.0, 2.8, 4.0, 1.8, 8.0, ball_m_s)
    controls = Controls(MODE, (lowest_iso, 800.0, 6400.0), NeutralDensity(fixed, variable))
    return Case(shot, controls, FilmWish(f_number=f_number), light)


def worked(off_stops, start, **kit):
    """Every step: its name; what is set; stops off after it; figures in its text."""
    remedies = remedies_for_too_much_light if off_stops > 0 else remedies_for_too_little_light
    return [
        f"{step.about} | f/{s.f_number:g} 1/{1 / s.time_s:.0f} {s.iso:.0f} nd {s.nd_stops:g} | "
        f"{step.balance_stops:+.2f} | {' '.join(FIGURE.findall(step.text))}"
        for step in remedies(case(off_stops, start, **kit), start)
        for s in [step.settings]
    ]


TOO_BRIGHT = [
    (0.19, BRIGHT, {}, []),
    (0.21, BRIGHT, {}, [
        "close the aperture | f/4.5 1/100 100 nd 0 | -0.13 | f/4.5 37 m 44 m nothing 0.2 stops f/4",
    ]),
    (0.69, BRIGHT, {"fixed": (1.0,)}, [
        "close the aperture | f/5.6 1/100 125 nd 0 | +0.04 | f/5.6 36 m 45 m nothing 0.7 stops f/4",
    ]),
    (0.71, BRIGHT, {"fixed": (1.0,)}, [
        "neutral density | f/3.5 1/100 100 nd 1 | +0.10 | 1.0 stop ND 2 f/3.5 nothing",
    ]),
    (0.9, BRIGHT, {}, [
        "close the aperture | f/5.6 1/100 100 nd 0 | -0.07 | f/5.6 36 m 45 m nothing 0.9 stops f/4",
    ]),
    (1.0, BRIGHT, {"lowest_iso": 50.0}, [
        "close the aperture | f/6.3 1/100 125 nd 0 | +0.01 | f/6.3 36 m 45 m nothing 1.0 stop f/4",
    ]),
    (4.0, BRIGHT, {}, [
        "close the aperture | f/13 1/100 100 nd 0 | +0.60 | f/13 32 m 53 m 0.6 stops 4.0 stops f/4",
        "speed the shutter | f/13 1/160 100 nd 0 | -0.08 | 1/160 27 px nothing",
    ]),
    (7.0, BRIGHT, {}, [
        "close the aperture | f/13 1/100 100 nd 0 | +3.60 | f/13 32 m 53 m 3.6 stops 7.0 stops f/4",
        "speed the shutter | f/13 1/1250 100 nd 0 | -0.04 | 1/1250 3.4 px nothing",
    ]),
    (16.0, BRIGHT, {}, [
        "close the aperture | f/13 1/100 100 nd 0 | +12.60 | f/13 32 m 53 m 12.6 stops 16.0 stops f/4",
        "speed the shutter | f/13 1/8000 100 nd 0 | +6.28 | 1/8000 0.5 px 6.3 stops",
        "excess | f/13 1/8000 100 nd 0 | +6.28 | 6.3 stops",
    ]),
    (1.6, BRIGHT, {"fixed": (1.0, 2.0, 3.0)}, [
        "neutral density | f/3.5 1/100 100 nd 2 | -0.01 | 2.0 stops ND 4 f/3.5 nothing",
    ]),
    (2.19, BRIGHT, {"fixed": (1.0, 2.0)}, [
        "neutral density | f/4 1/100 100 nd 2 | +0.19 | 2.0 stops ND 4 nothing",
    ]),
    (2.21, BRIGHT, {"fixed": (1.0, 2.0)}, [
        "neutral density | f/4.5 1/100 100 nd 2 | -0.13 | 2.0 stops ND 4 f/4.5 nothing",
    ]),
    (4.0, BRIGHT, {"fixed": (3.0, 6.0)}, [
        "neutral density | f/4.5 1/100 100 nd 3 | +0.66 | 3.0 stops ND 8 f/4.5 0.7 stops",
        "close the aperture | f/6.3 1/100 125 nd 3 | +0.01 | f/6.3 36 m 45 m nothing 0.7 stops f/4.5",
    ]),
    (2.5, BRIGHT, {"fixed": (3.0, 2.0)}, [
        "neutral density | f/3.5 1/100 100 nd 3 | -0.11 | 3.0 stops ND 8 f/3.5 nothing",
    ]),
    (8.0, BRIGHT, {"fixed": (3.0, 6.0)}, [
        "neutral density | f/4.5 1/100 100 nd 6 | +1.66 | 6.0 stops ND 64 f/4.5 1.7 stops",
        "close the aperture | f/8 1/100 100 nd 6 | +0.00 | f/8 35 m 47 m nothing 1.7 stops f/4.5",
    ]),
    (3.0, BRIGHT, {"fixed": (3.8,)}, [
        "close the aperture | f/13 1/100 125 nd 0 | -0.08 | f/13 32 m 53 m nothing 3.0 stops f/4",
    ]),
    (3.0, BRIGHT, {"fixed": (3.75,)}, [
        "neutral density | f/3.5 1/100 125 nd 3.75 | -0.04 | 3.8 stops ND 13 f/3.5 ISO 125 nothing",
    ]),
    (3.0, BRIGHT, {"fixed": (0.0,)}, [
        "close the aperture | f/13 1/100 125 nd 0 | -0.08 | f/13 32 m 53 m nothing 3.0 stops f/4",
    ]),
    (3.0, Settings(50.0, 1 / 100, 2.8, 100.0), {"fixed": (3.36,)}, [
        "neutral density | f/2.8 1/100 125 nd 3.36 | -0.04 | 3.4 stops ND 10 ISO 125 nothing",
    ]),
    (3.0, Settings(50.0, 1 / 100, 2.8, 100.0), {"fixed": (3.45,)}, [
        "close the aperture | f/8 1/100 100 nd 0 | -0.03 | f/8 35 m 47 m nothing 3.0 stops f/2.8",
    ]),
    (3.0, Settings(50.0, 1 / 100, 13.0, 100.0), {"fixed": (2.4,)}, [
        "neutral density | f/13 1/100 100 nd 2.4 | +0.60 | 2.4 stops ND 5 0.6 stops",
        "speed the shutter | f/13 1/160 100 nd 2.4 | -0.08 | 1/160 27 px nothing",
    ]),
    (3.0, BRIGHT, {"fixed": (2.4,), "f_number": 4.0}, [
        "neutral density | f/4 1/100 100 nd 2.4 | +0.60 | 2.4 stops ND 5 0.6 stops",
        "close the aperture | f/5 1/100 100 nd 2.4 | -0.04 | f/5 37 m 44 m nothing 0.6 stops f/4",
    ]),
    (3.0, BRIGHT, {"fixed": (3.3,), "f_number": 4.0}, [
        "neutral density | f/4 1/100 125 nd 3.3 | +0.02 | 3.3 stops ND 10 ISO 125 nothing",
    ]),
    (3.0, BRIGHT, {"fixed": (3.18,), "f_number": 4.0}, [
        "neutral density | f/4 1/100 100 nd 3.18 | -0.18 | 3.2 stops ND 9 nothing",
    ]),
    (3.0, BRIGHT, {"fixed": (3.18,)}, [
        "neutral density | f/4 1/100 100 nd 3.18 | -0.18 | 3.2 stops ND 9 nothing",
    ]),
    (3.0, BRIGHT, {"fixed": (3.22,)}, [
        "neutral density | f/3.5 1/100 100 nd 3.22 | +0.17 | 3.2 stops ND 9 f/3.5 nothing",
    ]),
    (1.4, BRIGHT, {"variable": (2.0, 5.0)}, [
        "close the aperture | f/7.1 1/100 125 nd 0 | +0.07 | f/7.1 35 m 46 m nothing 1.4 stops f/4",
    ]),
    (1.6, BRIGHT, {"variable": (2.0, 5.0)}, [
        "neutral density | f/3.5 1/100 100 nd 2 | -0.01 | 2.0 stops ND 4 f/3.5 nothing",
    ]),
    (3.3, BRIGHT, {"variable": (2.0, 5.0)}, [
        "neutral density | f/4 1/100 100 nd 3.3 | +0.00 | 3.3 stops ND 10 nothing",
    ]),
    (3.0, BRIGHT, {"fixed": (3.0,), "variable": (2.0, 5.0)}, [
        "neutral density | f/4 1/100 100 nd 3 | +0.00 | 3.0 stops ND 8 nothing",
    ]),
    (6.0, BRIGHT, {"fixed": (3.0,), "variable": (2.0, 5.0)}, [
        "neutral density | f/4.5 1/100 100 nd 5 | +0.66 | 5.0 stops ND 32 f/4.5 0.7 stops",
        "close the aperture | f/6.3 1/100 125 nd 5 | +0.01 | f/6.3 36 m 45 m nothing 0.7 stops f/4.5",
    ]),
    (1.0, Settings(25.0, 1 / 25, 13.0, 100.0), {"modulation": 0.5}, [
        "speed the shutter | f/13 1/50 100 nd 0 | +0.00 | 1/50 85 px nothing",
    ]),
    (1.3, Settings(25.0, 1 / 25, 13.0, 100.0), {"modulation": 0.5}, [
        "speed the shutter | f/13 1/100 160 nd 0 | -0.02 | 1/100 43 px nothing",
    ]),
    (2.5, Settings(25.0, 1 / 25, 13.0, 100.0), {"modulation": 0.5}, [
        "speed the shutter | f/13 1/100 100 nd 0 | +0.50 | 1/100 43 px 0.5 stops",
        "excess | f/13 1/100 100 nd 0 | +0.50 | 0.5 stops",
    ]),
    (1.3, Settings(25.0, 1 / 25, 13.0, 100.0), {"modulation": 0.01}, [
        "speed the shutter | f/13 1/80 125 nd 0 | -0.06 | 1/80 53 px nothing",
    ]),
    (1.0, Settings(25.0, 1 / 100, 13.0, 100.0), {"modulation": 0.5}, [
        "excess | f/13 1/100 100 nd 0 | +1.00 | 1.0 stop",
    ]),
    (0.41, Settings(25.0, 1 / 25, 13.0, 100.0), {"modulation": 0.5}, [
        "speed the shutter | f/13 1/33 100 nd 0 | -0.01 | 1/33.3 128 px nothing",
    ]),
]  # fmt: skip


TOO_DARK = [
    (-0.19, DARK, {}, []),
    (-0.21, DARK, {}, [
        "open the aperture | f/5 1/400 100 nd 0 | +0.12 | f/5 0.3 stops 7.5 m 37 m 44 m nothing",
    ]),
    (-0.6, DARK, {}, [
        "open the aperture | f/4.5 1/400 100 nd 0 | +0.03 | f/4.5 0.6 stops 6.8 m 37 m 44 m nothing",
    ]),
    (-3.0, DARK, {}, [
        "open the aperture | f/2.8 1/400 200 nd 0 | +0.00 | f/2.8 2.0 stops 4.2 m 38 m 42 m nothing",
    ]),
    (-5.19, DARK, {}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -0.19 | f/2.8 2.0 stops 4.2 m 38 m 42 m nothing",
    ]),
    (-5.21, DARK, {}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -0.21 | f/2.8 2.0 stops 4.2 m 38 m 42 m 0.2 stops",
        "raise ISO | f/2.8 1/400 1000 nd 0 | +0.11 | 1000 nothing",
    ]),
    (-6.0, DARK, {}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -1.00 | f/2.8 2.0 stops 4.2 m 38 m 42 m 1.0 stop",
        "raise ISO | f/2.8 1/400 1600 nd 0 | +0.00 | 1600 nothing",
    ]),
    (-9.0, DARK, {}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -4.00 | f/2.8 2.0 stops 4.2 m 38 m 42 m 4.0 stops",
        "raise ISO | f/2.8 1/400 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "slow the shutter | f/2.8 1/200 6400 nd 0 | +0.00 | 1/200 21 px 80 px nothing",
    ]),
    (-9.0, DARK, {"ball_m_s": 0.0}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -4.00 | f/2.8 2.0 stops 4.2 m 38 m 42 m 4.0 stops",
        "raise ISO | f/2.8 1/400 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "slow the shutter | f/2.8 1/200 6400 nd 0 | +0.00 | 1/200 21 px nothing",
    ]),
    (-9.0, DARK, {"ball_m_s": 0.5}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -4.00 | f/2.8 2.0 stops 4.2 m 38 m 42 m 4.0 stops",
        "raise ISO | f/2.8 1/400 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "slow the shutter | f/2.8 1/200 6400 nd 0 | +0.00 | 1/200 21 px 1.3 px nothing",
    ]),
    (-12.0, DARK, {}, [
        "open the aperture | f/2.8 1/400 800 nd 0 | -7.00 | f/2.8 2.0 stops 4.2 m 38 m 42 m 7.0 stops",
        "raise ISO | f/2.8 1/400 6400 nd 0 | -4.00 | 6400 4.0 stops",
        "slow the shutter | f/2.8 1/50 6400 nd 0 | -1.00 | 1/50 85 px 320 px 1.0 stop",
        "shortfall | f/2.8 1/50 6400 nd 0 | -1.00 | 1.0 stop",
    ]),
    (-7.0, OPEN, {"modulation": 0.5}, [
        "raise ISO | f/2.8 1/400 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "slow the shutter | f/2.8 1/100 3200 nd 0 | +0.00 | 1/100 43 px 160 px nothing",
    ]),
    (-8.3, OPEN, {"modulation": 0.5}, [
        "raise ISO | f/2.8 1/400 6400 nd 0 | -2.30 | 6400 2.3 stops",
        "slow the shutter | f/2.8 1/50 4000 nd 0 | +0.02 | 1/50 85 px 320 px nothing",
    ]),
    (-10.0, OPEN, {"modulation": 0.5}, [
        "raise ISO | f/2.8 1/400 6400 nd 0 | -4.00 | 6400 4.0 stops",
        "slow the shutter | f/2.8 1/50 6400 nd 0 | -1.00 | 1/50 85 px 320 px 1.0 stop",
        "shortfall | f/2.8 1/50 6400 nd 0 | -1.00 | 1.0 stop",
    ]),
    (-7.0, OPEN, {"modulation": 0.01}, [
        "raise ISO | f/2.8 1/400 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "slow the shutter | f/2.8 1/200 6400 nd 0 | +0.00 | 1/200 21 px 80 px nothing",
    ]),
    (-7.0, Settings(120.0, 1 / 400, 2.8, 100.0), {"modulation": 0.5}, [
        "raise ISO | f/2.8 1/400 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "slow the shutter | f/2.8 1/200 6400 nd 0 | +0.00 | 1/200 21 px 80 px flicker nothing",
    ]),
    (-9.0, Settings(120.0, 1 / 400, 2.8, 100.0), {"modulation": 0.5}, [
        "raise ISO | f/2.8 1/400 6400 nd 0 | -3.00 | 6400 3.0 stops",
        "slow the shutter | f/2.8 1/120 6400 nd 0 | -1.26 | 1/120 36 px 133 px flicker 1.3 stops",
        "shortfall | f/2.8 1/120 6400 nd 0 | -1.26 | 1.3 stops",
    ]),
    (-7.0, Settings(50.0, 1 / 50, 2.8, 100.0), {"modulation": 0.5}, [
        "raise ISO | f/2.8 1/50 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "shortfall | f/2.8 1/50 6400 nd 0 | -1.00 | 1.0 stop",
    ]),
    (-7.0, Settings(50.0, 1 / 50, 2.8, 100.0), {}, [
        "raise ISO | f/2.8 1/50 6400 nd 0 | -1.00 | 6400 1.0 stop",
        "shortfall | f/2.8 1/50 6400 nd 0 | -1.00 | 1.0 stop",
    ]),
]  # fmt: skip


@pytest.mark.parametrize(("off_stops", "start", "kit", "steps"), [*TOO_BRIGHT, *TOO_DARK])
def test_remedies_as_worked(off_stops, start, kit, steps):
    assert worked(off_stops, start, **kit) == steps
