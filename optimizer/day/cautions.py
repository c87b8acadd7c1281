"""Cautions for the people on and beside the ground: reminders, never permission.

The venue, the competition's rules, stewards, local codes and licensed practice go before every line.
"""

from __future__ import annotations

from dataclasses import dataclass

from standmark.geometry.heat import LIGHTNING_30_30, lightning_distance_km
from standmark.optimizer.day.outing import Outing, is_raised
from standmark.optimizer.match.weather import heat_bands, is_dull, strongest_wind_m_s

DEFER = (
    "The venue, the competition's rules, the officials and local law go before everything on this page. "
    "If one of them says no, the answer is no."
)
COMMON = "common practice, no source"
LONG_LENS_MM = 200.0
WIND_ATTENTION_M_S = 8.0  # umbrellas and light stands; common practice, no source
LIFT_WIND_M_S = 12.5  # 28 mph


@dataclass(frozen=True)
class Caution:
    """One hazard, what to do about it, and where that comes from."""

    hazard: str
    text: str
    source: str


def cautions(outing: Outing) -> tuple[Caution, ...]:
    """List the hazards that this match brings, worst first."""
    return (
        *_from_the_sport(outing),
        *_always(outing),
        *(_height(outing) if any(is_raised(camera) for camera in outing.cameras) else ()),
        *_weather(outing),
        *(() if outing.is_indoor or is_dull(outing.weather) else _sun(outing)),
        *_light_shows(outing),
        *_people(outing),
    )


def _from_the_sport(outing: Outing) -> tuple[Caution, ...]:
    return tuple(Caution(outing.sport, danger, "brief of the sport") for danger in outing.dangers)


def _always(outing: Outing) -> tuple[Caution, ...]:
    return (
        Caution(
            "playing area and run-off",
            "No person, camera or cable on the playing area or in its run-off; nothing that a player can run into or "
            "that hides officials, benches or spectators from the play.",
            "Regulations of the UEFA Futsal Champions League 2024/25, article 65, as a pattern for all grounds",
        ),
        Caution(
            "balls and players",
            "A long lens hides how near play is: keep the other eye open, sit so that you can roll away, never turn "
            "your back on throws, sticks or shots.",
            COMMON,
        ),
        Caution(
            "walkways",
            "No tripod, bag or cable in a walkway, on stairs or in front of an exit; legs inside their footprint, "
            "weight on the hook, cables taped.",
            COMMON,
        ),
    )


def _height(outing: Outing) -> tuple[Caution, ...]:
    wind = strongest_wind_m_s(outing.weather)
    forecast = "" if wind is None else f" The forecast says {wind:.0f} m/s."
    return (
        Caution(
            "platforms",
            "Go up only on a platform that a competent person has inspected and that has guardrails; never on "
            "furniture, walls or roofs. Any height that can hurt counts as work at height.",
            "Work at Height Regulations 2005 (Great Britain); a broadcaster's safety questions on working at height",
        ),
        Caution(
            "wind on lifts and masts",
            f"The plate on the machine sets the wind limit; many lifts rated for outdoors stop at {LIFT_WIND_M_S:.1f} "
            "m/s (28 mph), indoor lifts at none. Gusts count, and it blows harder up there: come down early. Stay 3 m "
            f"(10 ft) clear of power lines.{forecast}",
            "OSHA, hazard alert on scissor lifts used to film events, 2011 (clearance); lift rating: trade pages",
        ),
        Caution(
            "things that fall",
            "Tie everything that is used above people: lens hood, filters, telephone, radio.",
            COMMON,
        ),
    )


def _weather(outing: Outing) -> tuple[Caution, ...]:
    return (
        *(() if outing.is_indoor else (_lightning(outing),)),
        *_heat(outing),
        *(_wind(outing) if not outing.is_indoor else ()),
    )


def _lightning(outing: Outing) -> Caution:
    rule = LIGHTNING_30_30
    lead = "Thunder is forecast. " if outing.weather.has_thunder else ""
    return Caution(
        "lightning",
        f"{lead}{rule.flash_to_bang_s:.0f} seconds from flash to thunder (about "
        f"{lightning_distance_km(rule.flash_to_bang_s):.0f} km) or less: be inside a building or a car by then, and "
        f"stay {rule.wait_after_last_thunder_min:.0f} minutes after the last thunder. On a platform, a ladder or "
        "beside a mast leave at the first thunder.",
        rule.source,
    )


def _heat(outing: Outing) -> tuple[Caution, ...]:
    return tuple(
        Caution(
            "heat",
            f"The forecast reaches the band '{band.name}' (from {band.from_value:.0f} C): shade, water before thirst, "
            "pairs that watch each other; dizzy or confused means stop, cool down, call for help.",
            band.source,
        )
        for band in heat_bands(outing.weather)
    )


def _wind(outing: Outing) -> tuple[Caution, ...]:
    wind = strongest_wind_m_s(outing.weather)
    if wind is None or wind < WIND_ATTENTION_M_S:
        return ()
    return (
        Caution(
            "wind",
            f"{wind:.0f} m/s forecast: no umbrella on a tripod, weight low, masts and flags down.",
            COMMON,
        ),
    )


def _sun(outing: Outing) -> tuple[Caution, ...]:
    longest_mm = max((camera.longest_mm for camera in outing.cameras), default=0.0)
    burn = " A long lens burns cloth, shutters and sensors within seconds." if longest_mm >= LONG_LENS_MM else ""
    return (
        Caution(
            "sun through the lens",
            "Never look at the sun through an optical finder or a long lens; never leave a lens pointed at it, put "
            f"the cap on between takes.{burn}",
            "Will pointing a camera at the sun damage it (secondary page); common practice",
        ),
    )


def _light_shows(outing: Outing) -> tuple[Caution, ...]:
    if not outing.is_lit:
        return ()
    return (
        Caution(
            "laser and LED",
            "Lasers of a light show can destroy a sensor, also by reflection: turn away or cap. LED boards and "
            "dimmed lamps may flicker where the main lights do not: test at the frame rate of the match.",
            "a camera maker's support note on laser damage, 2023; common practice",
        ),
    )


def _people(outing: Outing) -> tuple[Caution, ...]:
    if not outing.has_minors:
        return (
            Caution(
                "people in the picture",
                "Say who films and what for; respect a no; follow the law of the place on publishing pictures.",
                COMMON,
            ),
        )
    return (
        Caution(
            "children and young people",
            "Written consent of a parent or guardian before anything is published, and ask the club who must not be "
            "shown; no full name beside a picture without consent; never in changing rooms; never alone with a "
            "child; store safely and know whom to tell when something is wrong.",
            "The FA, guidance on photographing and filming children, 8.3; club and netball copies of the like",
        ),
    )
