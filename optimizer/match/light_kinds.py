"""Kinds of daylight and of lamps that a match file can name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Sky:
    """A kind of daylight."""

    key: str
    name: str
    ev100: float
    kelvin: tuple[int, int]


@dataclass(frozen=True)
class Lamp:
    """A kind of lamp: how deep its light ripples at twice the mains frequency, and its colour."""

    key: str
    name: str
    modulation: float  # 0..1, share of the mean; several phases over one ground lower it
    kelvin: tuple[int, int]


SKIES = {
    sky.key: sky
    for sky in (
        Sky("sun", "full sun", 15.0, (5200, 5600)),
        Sky("hazy", "hazy sun, soft shadows", 14.0, (5600, 6000)),
        Sky("bright cloud", "bright cloud, no shadows", 13.0, (6000, 6500)),
        Sky("overcast", "heavy overcast", 12.0, (6500, 7000)),
        Sky("shade", "open shade under a clear sky", 12.0, (7000, 8000)),
        Sky("low sun", "low sun before sunset", 12.0, (3500, 4500)),
        Sky("dusk", "just after sunset", 9.0, (7000, 10000)),
    )
}

LAMPS = {
    lamp.key: lamp
    for lamp in (
        Lamp("unknown", "lamps of unknown kind", 0.4, (4000, 5600)),
        Lamp("led steady", "LED with a steady (flicker-free) driver", 0.02, (5000, 5700)),
        Lamp("led", "LED with a plain driver", 0.4, (4000, 5700)),
        Lamp("metal halide", "metal halide", 0.4, (4000, 5600)),
        Lamp("sodium", "high-pressure sodium", 0.8, (2000, 2200)),
        Lamp("fluorescent", "fluorescent tubes, old ballast", 0.35, (3500, 5000)),
        Lamp("fluorescent electronic", "fluorescent tubes, electronic ballast", 0.05, (3500, 5000)),
        Lamp("halogen", "halogen or filament", 0.1, (2900, 3200)),
    )
}
