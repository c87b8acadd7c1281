"""The settings cards of a plan in words: plain tables for terminal and sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from standmark.cli.plain_data import document_text, plain
from standmark.cli.section import Section
from standmark.optimizer.plan import Plan
from standmark.optimizer.settings.card import SettingsCard
from standmark.optimizer.settings.frame_rate import FrameRate
from standmark.optimizer.settings.notation import (
    aperture_text,
    length_text,
    number_text,
    percent_text,
    pixels_text,
    stops_text,
    time_text,
)
from standmark.optimizer.settings.planned import PlannedCard, match_light, match_wish
from standmark.optimizer.settings.resolve import ORDER
from standmark.optimizer.settings.shutter import Shutter

SCHEMA = "standmark.settings/1"
SETTINGS_COLUMNS = ("shot", "when", "from", "lens", "rate", "shutter", "aperture", "ISO", "ND")
FOCUS_COLUMNS = ("shot", "focus at", "sharp", "sharp seen whole", "hyperfocal")
SHUTTER_COLUMNS = ("shot", "angle", "time", "player", "ball", "flicker", "free of it")
RATE_COLUMNS = ("frames a second", "shown slower", "normal speed", "light against delivery", "free of flicker")


@dataclass(frozen=True)
class _Told:
    """One group of moments, told once for all the periods in which it reads the same."""

    periods: tuple[str, ...]  # keys
    planned: PlannedCard


def settings_sections(plan: Plan, cards: tuple[PlannedCard, ...]) -> tuple[Section, ...]:
    """Tell the settings of a plan: the light first, then each camera with its reasons."""
    return (_light_section(plan), *(s for camera in plan.match.cameras for s in _camera(plan, cards, camera.name)))


def _light_section(plan: Plan) -> Section:
    light = match_light(plan.match)
    ripple = (
        f"Pulses at {number_text(light.ripple_hz)} Hz by {percent_text(light.modulation)} ({light.modulation_source})."
        if light.ripple_hz is not None
        else "Daylight does not flicker; lamps and boards in the picture may."
    )
    return Section(
        key="light",
        title="Light",
        notes=(
            f"{light.name[:1].upper()}{light.name[1:]}: {light.lux:.0f} lux toward the camera ({light.lux_source}).",
            ripple,
            f"White balance: {light.white_balance}",
        ),
    )


def _camera(plan: Plan, cards: tuple[PlannedCard, ...], name: str) -> Iterator[Section]:
    told = _alike(plan, [planned for planned in cards if planned.camera == name])
    first = told[0].planned.card
    yield Section(
        key=f"settings-{name}",
        title=f"Camera {name}: set",
        columns=SETTINGS_COLUMNS,
        rows=tuple(_settings_row(one, plan) for one in told),
        warnings=tuple(dict.fromkeys(warning for one in told for warning in one.planned.card.warnings)),
        notes=tuple(f"{one.planned.group.name}: {_moment_names(plan, one.planned)}." for one in told),
    )
    yield Section(
        key=f"focus-{name}",
        title=f"Camera {name}: focus",
        columns=FOCUS_COLUMNS,
        rows=tuple(_focus_row(one.planned) for one in told),
        notes=(*_focus_notes(told), _sharp_note(first)),
    )
    yield Section(
        key=f"shutters-{name}",
        title=f"Camera {name}: blur and flicker by shutter",
        columns=SHUTTER_COLUMNS,
        rows=tuple(row for one in told for row in _shutter_rows(one.planned)),
        notes=(_blur_note(told),),
    )
    yield Section(
        key=f"rates-{name}",
        title=f"Camera {name}: frame rates",
        columns=RATE_COLUMNS,
        rows=tuple(_rate_row(rate, first) for rate in first.rates),
    )
    yield Section(
        key=f"steps-{name}",
        title=f"Camera {name}: how it was settled",
        columns=("step", "shot", "what was decided and what it costs"),
        rows=tuple(_step_rows([one.planned for one in told])),
        notes=(f"Order: {'; '.join(ORDER)}.",),
    )


def _alike(plan: Plan, cards: list[PlannedCard]) -> list[_Told]:
    """Put together what reads the same in several periods."""
    groups: dict[object, list[PlannedCard]] = {}
    for planned in cards:
        key = (_settings_row(_Told((), planned), plan), _focus_row(planned), tuple(_shutter_rows(planned)))
        groups.setdefault(key, []).append(planned)
    return [_Told(tuple(one.period for one in alike), alike[0]) for alike in groups.values()]


def _settings_row(told: _Told, plan: Plan) -> tuple[str, ...]:
    card, group = told.planned.card, told.planned.group
    used = card.settings
    return (
        group.name,
        _when_text(told.periods, plan),
        _range_text(group.distance_m, "m"),
        _range_text(group.focal_mm, "mm"),
        number_text(used.fps, decimals=3),
        f"{time_text(used.time_s)} ({number_text(card.shutter.angle_deg)} deg)",
        aperture_text(used.f_number),
        f"{used.iso:.0f}",
        "-" if used.nd_stops == 0.0 else stops_text(used.nd_stops),
    )


def _when_text(keys: tuple[str, ...], plan: Plan) -> str:
    if len(keys) == len(plan.periods):
        return "always"
    return ", ".join(period.period.name for period in plan.periods if period.period.key in keys)


def _moment_names(plan: Plan, planned: PlannedCard) -> str:
    names = [moment.name for moment in plan.match.sport.moments if moment.key in planned.group.moments]
    return ", ".join(name[:1].lower() + name[1:] for name in names)


def _focus_row(planned: PlannedCard) -> tuple[str, ...]:
    sharp = planned.card.aperture
    return (
        planned.group.name,
        length_text(planned.group.shot.distance_m),
        f"{length_text(sharp.near_m)} to {length_text(sharp.far_m)}",
        f"{length_text(sharp.print_near_m)} to {length_text(sharp.print_far_m)}",
        length_text(sharp.hyperfocal_m),
    )


def _focus_notes(told: list[_Told]) -> tuple[str, ...]:
    """Tell each advice once, for the shots it is meant for."""
    shots: dict[str, list[str]] = {}
    for one in told:
        shots.setdefault(one.planned.card.focus_area, []).append(one.planned.group.name)
    return tuple(f"{'; '.join(dict.fromkeys(names))}: {advice}" for advice, names in shots.items())


def _sharp_note(card: SettingsCard) -> str:
    circle = number_text(1000.0 * card.aperture.circle_mm)
    return (
        f"Sharp: a point blurs to at most two pixels ({circle} micrometres on the sensor); seen whole: by the looser "
        "rule for a picture looked at as a whole. Figures for the middle distance and focal length of each shot."
    )


def _range_text(ends: tuple[float, float], unit: str) -> str:
    low, high = (f"{end:.0f}" for end in ends)
    return f"{low} {unit}" if low == high else f"{low}-{high} {unit}"


def _shutter_rows(planned: PlannedCard) -> Iterator[tuple[str, ...]]:
    for index, shutter in enumerate(planned.card.shutters):
        yield (planned.group.name if index == 0 else "", *_shutter_cells(shutter, planned))


def _shutter_cells(shutter: Shutter, planned: PlannedCard) -> tuple[str, ...]:
    ball_share = "" if shutter.ball_blur_share is None else f", {percent_text(shutter.ball_blur_share)}"
    ball = f"{pixels_text(shutter.ball_blur_px)}{ball_share}" if planned.group.shot.ball_m_s > 0.0 else "-"
    return (
        f"{number_text(shutter.angle_deg)} deg",
        time_text(shutter.time_s),
        f"{pixels_text(shutter.player_blur_px)}, {percent_text(shutter.player_blur_share)}",
        ball,
        _flicker_text(shutter),
        "-" if shutter.nearest_safe_s is None else time_text(shutter.nearest_safe_s),
    )


def _flicker_text(shutter: Shutter) -> str:
    if shutter.swing_stops < 0.005:
        return "none"
    low, high = (percent_text(ripple) for ripple in shutter.frame_ripple)
    frames = "frames alike" if shutter.frame_ripple[1] < 0.0005 else f"frames {low} to {high}"
    seen = "" if shutter.is_clean else f"; {stops_text(shutter.swing_stops)}"
    return f"{frames}, rows {percent_text(shutter.band_ripple)}{seen}"


def _blur_note(told: Iterable[_Told]) -> str:
    speeds = {
        f"{one.planned.group.name}: player {number_text(one.planned.group.shot.player_m_s)} m/s"
        + (f", ball {number_text(one.planned.group.shot.ball_m_s)} m/s" if one.planned.group.shot.ball_m_s else "")
        for one in told
    }
    return (
        f"Smear of motion straight across a still camera, in pixels and as a share of body height or ball "
        f"({'; '.join(sorted(speeds))}). Panning with the player moves the smear to the background."
    )


def _rate_row(rate: FrameRate, card: SettingsCard) -> tuple[str, ...]:
    chosen = " (set)" if rate.fps == card.rate.fps else ""
    steady = card.light.ripple_hz is None
    times = ", ".join(
        f"{time_text(time_s)} ({number_text(angle_deg)} deg)"
        for time_s, angle_deg in zip(rate.safe_times_s, rate.safe_angles_deg, strict=True)
    )
    return (
        f"{number_text(rate.fps, decimals=3)}{chosen}",
        f"{rate.slow_down:.2g} times" if rate.slow_down > 1.01 else "-",
        "even" if rate.plays_evenly else "uneven",
        f"{rate.light_stops:+.1f} stops".replace("+", "-", 1) if rate.light_stops > 0.05 else "same",
        "any" if steady else times or "none",
    )


def _step_rows(cards: list[PlannedCard]) -> Iterator[tuple[str, ...]]:
    """Tell each decision once, and for which shots it was taken."""
    told: dict[str, dict[str, list[str]]] = {}
    for planned in cards:
        for step in planned.card.steps:
            told.setdefault(step.about, {}).setdefault(step.text, []).append(planned.group.name)
    for about, texts in told.items():
        for index, (text, names) in enumerate(texts.items()):
            shots = "all" if len(names) == len(cards) else "; ".join(dict.fromkeys(names))
            yield (about if index == 0 else "", shots, text)


def settings_document(plan: Plan, cards: tuple[PlannedCard, ...]) -> str:
    """Write the settings of a plan as one JSON document."""
    match = plan.match
    return document_text(
        {
            "schema": SCHEMA,
            "sport": match.sport.key,
            "title": match.title,
            "venue": match.venue.name,
            "deliverable": match.deliverable.key,
            "light": plain(match_light(match)),
            "wish": plain(match_wish(match)),
            "order": list(ORDER),
            "cards": [plain(planned) for planned in cards],
        }
    )
