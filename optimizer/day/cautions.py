"""Cautions for the people on and beside the ground: reminders, never permission.

The venue, the competition's rules, stewards, local codes and licensed practice go before every line.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from standmark.geometry.heat import LIGHTNING_30_30, lightning_distance_km
from standmark.optimizer.day.outing import CameraDay, Outing, is_on_the_ground, is_raised
from standmark.optimizer.match.weather import heat_bands, is_dull, strongest_wind_m_s

DEFER = (
    "The venue, the competition's rules, the officials and local law go before everything on this page. If they say "
    "no, that's final."
)
COMMON = "common practice, no source"
SAME_WARNING = 0.75  # share of the words of two warnings that are alike, from which one of them is enough
FEW_WORDS = 6  # a shorter warning within a longer one may mean something else
LONG_LENS_MM = 200.0
WIND_ATTENTION_M_S = 8.0  # umbrellas and light stands; common practice, no source
LIFT_WIND_M_S = 12.5  # 28 mph


@dataclass(frozen=True)
class Caution:
    """One hazard, what to do about it, where that comes from, and whom it concerns."""

    hazard: str
    text: str
    source: str
    cameras: tuple[str, ...] = ()  # names; () for everybody


def cautions(outing: Outing) -> tuple[Caution, ...]:
    """List the hazards that this match brings to all of its cameras, worst first, each with whom it concerns."""
    by_camera = [camera_cautions(outing, camera) for camera in outing.cameras]
    cameras_by_caution: dict[Caution, list[str]] = {}
    for camera, own in zip(outing.cameras, by_camera, strict=True):
        for caution in own:
            cameras_by_caution.setdefault(caution, []).append(camera.name)
    everybody = len(outing.cameras)
    worst_first = sorted(cameras_by_caution, key=lambda caution: min(_rank(caution, own) for own in by_camera))
    return tuple(
        replace(c, cameras=() if len(cameras_by_caution[c]) == everybody else tuple(cameras_by_caution[c]))
        for c in worst_first
    )


def camera_cautions(outing: Outing, camera: CameraDay) -> tuple[Caution, ...]:
    """List the hazards of one camera by its place, height, support and lens, worst first, each said once."""
    on_ground = is_on_the_ground(camera)
    return said_once((
        *_at_the_spot(camera),
        *(_from_the_sport(outing) if on_ground else ()),
        *(_beside_the_play() if on_ground else ()),
        *(_height(outing) if is_raised(camera) else ()),
        _walkways(camera),
        *_weather(outing, camera),
        *(() if outing.is_indoor or is_dull(outing.weather) else _sun(camera)),
        *_light_shows(outing),
        *_people(outing),
    ))  # fmt: skip


def said_once(every: Sequence[Caution]) -> tuple[Caution, ...]:
    """Leave out what an earlier caution warns of in nearly the same words, and of those on consent all but the last."""
    told: list[Caution] = []
    for caution in every:
        told += [] if any(_warn_alike(caution.text, before.text) for before in told) else [caution]
    on_consent = [caution for caution in told if "consent" in caution.text]
    return tuple(caution for caution in told if caution not in on_consent[:-1])


def _warn_alike(first: str, second: str) -> bool:
    """Do two cautions begin with the same warning, in nearly the same words, or one with all words of the other."""
    lead, other = (set(re.split(r"[.:;]", words.lower())[0].split()) for words in (first, second))
    if min(len(lead), len(other)) >= FEW_WORDS and (lead <= other or other <= lead):
        return True
    return len(lead & other) >= SAME_WARNING * max(len(lead), len(other))


def _rank(caution: Caution, own: tuple[Caution, ...]) -> int:
    return own.index(caution) if caution in own else len(own) + 99


def _at_the_spot(camera: CameraDay) -> tuple[Caution, ...]:
    return tuple(Caution(danger.name, danger.text, danger.source) for danger in camera.dangers)


def _from_the_sport(outing: Outing) -> tuple[Caution, ...]:
    return tuple(Caution(outing.sport, danger, "brief of the sport") for danger in outing.dangers)


def _beside_the_play() -> tuple[Caution, ...]:
    return (
        Caution(
            "playing area and run-off",
            "Keep off the playing area and its run-off. Leave nothing there that a player can run into, and block "
            "nobody's view.",
            "Regulations of the UEFA Futsal Champions League 2024/25, article 65, as a pattern for all grounds",
        ),
        Caution(
            "balls and players",
            "A long lens hides how near play is: keep the other eye open, and sit so that you can roll away.",
            COMMON,
        ),
    )


def _walkways(camera: CameraDay) -> Caution:
    text = (
        "No tripod, bag or cable in a walkway, on stairs or before an exit. Tape cables down, hang a weight on the "
        "tripod."
    )
    if camera.support != "tripod":
        text = "No bag or cable in a walkway, on stairs or before an exit, and don't stand there yourself."
    return Caution("walkways", text, COMMON)


def _height(outing: Outing) -> tuple[Caution, ...]:
    wind = strongest_wind_m_s(outing.weather)
    forecast = "" if wind is None else f" The forecast says {wind:.0f} m/s."
    return (
        Caution(
            "platforms",
            "Go up only on a platform with guardrails that a competent person has inspected; never on furniture, "
            "walls or roofs.",
            "Work at Height Regulations 2005 (Great Britain); a broadcaster's safety questions on working at height",
        ),
        Caution(
            "wind on lifts and masts",
            f"The plate on the machine gives the wind limit. Many outdoor lifts stop at {LIFT_WIND_M_S:.1f} m/s "
            f"(28 mph), and gusts count: come down early. Stay 3 m (10 ft) clear of power lines.{forecast}",
            "OSHA, hazard alert on scissor lifts used to film events, 2011 (clearance); lift rating: trade pages",
        ),
        Caution(
            "things that fall",
            "Tie down everything you use above people: hood, filters, phone, radio.",
            COMMON,
        ),
    )


def _weather(outing: Outing, camera: CameraDay) -> tuple[Caution, ...]:
    return (
        *(() if outing.is_indoor else (_lightning(outing, camera),)),
        *_heat(outing),
        *(_wind(outing) if not outing.is_indoor else ()),
    )


def _lightning(outing: Outing, camera: CameraDay) -> Caution:
    rule = LIGHTNING_30_30
    lead = "Thunder is forecast. " if outing.weather.has_thunder else ""
    leave = " Leave the platform, ladder or mast at the first thunder." if is_raised(camera) else ""
    return Caution(
        "lightning",
        f"{lead}Thunder within {rule.flash_to_bang_s:.0f} seconds of the flash (about "
        f"{lightning_distance_km(rule.flash_to_bang_s):.0f} km): be in a building or a car until "
        f"{rule.wait_after_last_thunder_min:.0f} minutes after the last thunder.{leave}",
        rule.source,
    )


def _heat(outing: Outing) -> tuple[Caution, ...]:
    return tuple(
        Caution(
            "heat",
            f"The forecast reaches the band '{band.name}' (from {band.from_value:.0f} C): shade, water before "
            "you're thirsty, watch each other. Dizzy or confused: stop, cool down, call for help.",
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
            f"{wind:.0f} m/s forecast: no umbrella on the tripod, hang weight low, take down masts and flags.",
            COMMON,
        ),
    )


def _sun(camera: CameraDay) -> tuple[Caution, ...]:
    burn = " Within seconds it burns eyes, cloth and sensors." if camera.longest_mm >= LONG_LENS_MM else ""
    return (
        Caution(
            "sun through the lens",
            f"Never look at the sun through a lens, and never leave a lens pointed at it.{burn} Cap on between takes.",
            "Will pointing a camera at the sun damage it (secondary page); common practice",
        ),
    )


def _light_shows(outing: Outing) -> tuple[Caution, ...]:
    if not outing.is_lit:
        return ()
    return (
        Caution(
            "laser and LED",
            "A laser can destroy a sensor, even when it's reflected: turn away or cap the lens. LED boards and "
            "dimmed lamps may flicker: test at the frame rate of the match.",
            "a camera maker's support note on laser damage, 2023; common practice",
        ),
    )


def _people(outing: Outing) -> tuple[Caution, ...]:
    if not outing.has_minors:
        return (
            Caution(
                "people in the picture",
                "Say who films and what for. If somebody says no, don't film them. Follow local law on publishing "
                "pictures.",
                COMMON,
            ),
        )
    return (
        Caution(
            "children and young people",
            "Children: written consent of a parent or guardian first; ask who must not be shown. No full names, no "
            "changing rooms, never alone with a child. Store pictures safely. If something is wrong, tell the "
            "safeguarding officer.",
            "The FA, guidance on photographing and filming children, 8.3; club and netball copies of the like",
        ),
    )
