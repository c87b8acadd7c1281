"""The settings cards of a plan in words: plain tables for terminal and sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from standmark.cli.words.lines import capital
from standmark.cli.words.plain_data import document_text, plain
from standmark.cli.words.section import Section
from standmark.cli.words.shutter_cells import shutter_cells
from standmark.cli.words.units import Units, length_words, shown, symbol
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.card import SettingsCard
from standmark.optimizer.settings.case import Settings
from standmark.optimizer.settings.frame_rate import FrameRate
from standmark.optimizer.settings.light import Light
from standmark.optimizer.settings.light_path import light_changes, match_light, match_lights
from standmark.optimizer.settings.notation import (
    aperture_text,
    number_text,
    percent_text,
    stops_text,
    time_text,
)
from standmark.optimizer.settings.planned import PlannedCard, match_wish, planned_set_up
from standmark.optimizer.settings.resolve import ORDER

SCHEMA = "standmark.settings/1"
SETTINGS_COLUMNS = ("shot", "when", "from", "lens", "rate", "shutter", "aperture", "ISO", "ND")
LATER_COLUMNS = ("time", "shot", "rate", "shutter", "aperture", "ISO", "ND")
FOCUS_COLUMNS = ("shot", "focus at", "sharp", "sharp seen whole", "hyperfocal")
SHUTTER_COLUMNS = ("shot", "angle", "time", "player", "ball", "flicker", "clean")
RATE_COLUMNS = ("frames a second", "shown slower", "normal speed", "light against delivery", "free of flicker")


@dataclass(frozen=True)
class _Told:
    """One group of moments, told once for all the periods in which it reads the same."""

    label: str  # the shot, with the period where it is not the same in all
    when: str
    planned: PlannedCard


def settings_sections(
    plan: Plan, cards: tuple[PlannedCard, ...], *, units: Units = Units.METRIC
) -> tuple[Section, ...]:
    """Tell the settings of a plan: the light first, then each camera with its reasons."""
    return (
        _light_section(plan),
        *(s for camera in plan.match.cameras for s in _camera(plan, cards, camera.name, units)),
    )


def _light_section(plan: Plan) -> Section:
    light = match_light(plan.match)
    ripple = (
        f"Flickers at {number_text(light.ripple_hz)} Hz, {percent_text(light.modulation)} ({light.modulation_source})."
        if light.ripple_hz is not None
        else "Daylight doesn't flicker; lamps and boards in the picture may."
    )
    return Section(
        key="light",
        title="Light",
        notes=(
            f"{capital(light.name)}: {_lux_text(light)} toward the camera ({light.lux_source}).",
            ripple,
            *_course_notes(plan),
            f"White balance: {light.white_balance}",
        ),
    )


def _course_notes(plan: Plan) -> tuple[str, ...]:
    """Say how the light changes while the match is filmed, a stop at a time; nothing where it stays."""
    changes = light_changes(match_lights(plan.match))
    if len(changes) < 2:
        return ()
    later = ", ".join(f"{_two_figures(c.light.lux)} at {c.at:%H:%M}" for c in changes[1:])
    return (f"The light changes by a stop each time: from {_two_figures(changes[0].light.lux)} lux to {later}.",)


def _two_figures(value: float) -> str:
    return f"{float(f'{value:.2g}'):,.0f}" if value >= 10 else f"{value:.2g}"


def _lux_text(light: Light) -> str:
    """Illuminance: as given, or to the two figures that a table or a formula is good for."""
    is_given = light.lux_source.startswith(("measured", "as stated"))
    return f"{light.lux:.0f} lux" if is_given else f"about {_two_figures(light.lux)} lux"


def _camera(plan: Plan, cards: tuple[PlannedCard, ...], name: str, units: Units) -> Iterator[Section]:
    told = _alike(plan, [planned for planned in cards if planned.camera == name], units)
    first = told[0].planned.card
    camera = next(c for c in plan.match.cameras if c.name == name)
    once = planned_set_up(plan, cards, camera)
    yield Section(
        key=f"once-{name}",
        title=f"Camera {name}: set once",
        columns=("what", "set to"),
        rows=tuple((line.what, f"{line.text.rstrip('.')}.") for line in once),
    )
    yield Section(
        key=f"settings-{name}",
        title=f"Camera {name}: set",
        columns=SETTINGS_COLUMNS,
        rows=tuple((one.label, one.when, *_settings_cells(one.planned, units)) for one in told),
        warnings=tuple(dict.fromkeys(warning for one in told for warning in one.planned.card.warnings)),
        notes=_moment_notes(plan, told),
    )
    yield from _later_section(plan, [planned for planned in cards if planned.camera == name])
    yield Section(
        key=f"focus-{name}",
        title=f"Camera {name}: focus",
        columns=FOCUS_COLUMNS,
        rows=tuple((one.label, *_focus_cells(one.planned, units)) for one in told),
        notes=(*_focus_notes(told), _sharp_note(first)),
    )
    yield Section(
        key=f"shutters-{name}",
        title=f"Camera {name}: blur and flicker by shutter",
        columns=SHUTTER_COLUMNS,
        rows=tuple(row for one in told for row in _shutter_rows(one)),
        notes=(_blur_note(told), *_flicker_notes(first)),
    )
    yield Section(
        key=f"rates-{name}",
        title=f"Camera {name}: frame rates",
        columns=RATE_COLUMNS,
        rows=tuple(_rate_row(rate, first) for rate in first.rates),
    )
    yield Section(
        key=f"steps-{name}",
        title=f"Camera {name}: how the settings were chosen",
        columns=("step", "what was chosen, and what it costs"),
        rows=tuple(_step_rows(told)),
        notes=(f"Order: {'; '.join(ORDER)}.",),
    )


def _later_section(plan: Plan, cards: list[PlannedCard]) -> Iterator[Section]:
    """What to set again as the light goes, and from when on it is too dark."""
    rows = [
        (f"{change.at:%H:%M}", planned.group.name, *_dial_cells(change.settings))
        for planned in cards
        for change in planned.changes
        if planned.dark_from is None or change.at < planned.dark_from
    ]
    dark = [(planned.dark_from, planned.group.name) for planned in cards if planned.dark_from is not None]
    if rows or dark:
        yield Section(
            key=f"later-{cards[0].camera}",
            title=f"Camera {cards[0].camera}: settings as the light changes",
            columns=LATER_COLUMNS,
            rows=tuple(sorted(rows)),
            warnings=tuple(f"Too dark to film from {at:%H:%M}: {shot}." for at, shot in sorted(dark)),
        )


def _alike(plan: Plan, cards: list[PlannedCard], units: Units) -> list[_Told]:
    """Put together what reads the same in several periods."""
    groups: dict[object, list[PlannedCard]] = {}
    for planned in cards:
        key = (_settings_cells(planned, units), _focus_cells(planned, units), tuple(shutter_cells(planned)))
        groups.setdefault(key, []).append(planned)
    return [_told(plan, alike) for alike in groups.values()]


def _told(plan: Plan, alike: list[PlannedCard]) -> _Told:
    name, keys = alike[0].group.name, {one.period for one in alike}
    if len(keys) == len(plan.periods):
        return _Told(name, "always", alike[0])
    when = ", ".join(period.period.name for period in plan.periods if period.period.key in keys)
    return _Told(f"{name}, {when[:1].lower()}{when[1:]}", when, alike[0])


def _settings_cells(planned: PlannedCard, units: Units) -> tuple[str, ...]:
    card, group = planned.card, planned.group
    near, far = (shown(end_m, units) for end_m in group.distance_m)
    used = card.settings
    return (
        _range_text((near, far), symbol(units)),
        _range_text(group.focal_mm, "mm"),
        number_text(used.fps, decimals=3),
        f"{time_text(used.time_s)} ({number_text(card.shutter.angle_deg)} deg)",
        aperture_text(used.f_number),
        f"{used.iso:.0f}",
        "-" if used.nd_stops == 0.0 else stops_text(used.nd_stops),
    )


def _dial_cells(used: Settings) -> tuple[str, ...]:
    return (
        number_text(used.fps, decimals=3),
        time_text(used.time_s),
        aperture_text(used.f_number),
        f"{used.iso:.0f}",
        "-" if used.nd_stops == 0.0 else stops_text(used.nd_stops),
    )


def _moment_notes(plan: Plan, told: list[_Told]) -> tuple[str, ...]:
    """Say once what moments a shot stands for; by period where these differ."""
    moments: dict[str, dict[str, list[str]]] = {}
    for one in told:
        labels_by_names = moments.setdefault(one.planned.group.name, {})
        labels_by_names.setdefault(_moment_names(plan, one.planned), []).append(one.label)
    return tuple(
        f"{name if len(labels_by_names) == 1 else '; '.join(labels)}: {names}."
        for name, labels_by_names in moments.items()
        for names, labels in labels_by_names.items()
    )


def _moment_names(plan: Plan, planned: PlannedCard) -> str:
    names = [moment.name for moment in plan.match.sport.moments if moment.key in planned.group.moments]
    return ", ".join(name[:1].lower() + name[1:] for name in names)


def _focus_cells(planned: PlannedCard, units: Units) -> tuple[str, ...]:
    sharp = planned.card.aperture
    say = partial(length_words, units=units)
    return (
        say(planned.group.shot.distance_m),
        f"{say(sharp.near_m)} to {say(sharp.far_m)}",
        f"{say(sharp.print_near_m)} to {say(sharp.print_far_m)}",
        say(sharp.hyperfocal_m),
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


def _flicker_notes(card: SettingsCard) -> tuple[str, ...]:
    if card.light.ripple_hz is None:
        return ()
    return (
        "Flicker: brightest against darkest that can meet, and where: between rows of one frame (rolling shutter), "
        "between frames. Clean: the nearest time with none, at any mains phase and with any shutter. A mains 1 % off "
        f"its frequency leaves {card.shutter.drift_swing_stops:.2f} stops at the time set.",
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
        f"{number_text(rate.slow_down, decimals=2)} times" if rate.slow_down > 1.01 else "-",
        "even" if rate.plays_evenly else "uneven",
        f"{rate.light_stops:+.1f} stops".replace("+", "-", 1) if rate.light_stops > 0.05 else "same",
        "any" if steady else times or "none",
    )


def _shutter_rows(one: _Told) -> Iterator[tuple[str, ...]]:
    for index, cells in enumerate(shutter_cells(one.planned)):
        yield (one.label if index == 0 else "", *cells)


def _step_rows(told: list[_Told]) -> Iterator[tuple[str, ...]]:
    """Tell each decision once, and for which shots it was taken."""
    decisions: dict[str, dict[str, list[_Told]]] = {}
    for one in told:
        for step in one.planned.card.steps:
            decisions.setdefault(step.about, {}).setdefault(step.text, []).append(one)
    for about, texts in decisions.items():
        for index, (text, meant) in enumerate(texts.items()):
            shots = "" if len(meant) == len(told) else f"{_shots_text(meant, told)}: "
            yield (about if index == 0 else "", f"{shots}{text}")


def _shots_text(meant: list[_Told], told: list[_Told]) -> str:
    """Name some of the shots: a shot without its period when all its periods are meant."""

    def count(among: list[_Told], one: _Told) -> int:
        return sum(other.planned.group.name == one.planned.group.name for other in among)

    names = (one.planned.group.name if count(meant, one) == count(told, one) else one.label for one in meant)
    return "; ".join(dict.fromkeys(names))


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
            "set_once": {c.name: plain(planned_set_up(plan, cards, c)) for c in match.cameras},
            "cards": [plain(planned) for planned in cards],
        }
    )
