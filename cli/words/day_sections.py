"""The day of a match in words: plain tables for terminal and sheet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from standmark.cli.words.plain_data import document_text, plain
from standmark.cli.words.section import Section
from standmark.optimizer.day.cautions import Caution
from standmark.optimizer.day.day import Day
from standmark.optimizer.day.key_time import KeyTime
from standmark.optimizer.day.kit_list import Item
from standmark.optimizer.day.mishaps import Mishap
from standmark.optimizer.day.two_cameras import Check
from standmark.optimizer.match.leads import COMMON
from standmark.optimizer.match.match import Match
from standmark.sports.timeline import clock_words, clocks_change

SCHEMA = "standmark.day/1"
MET = {True: "same", False: "DIFFERS", None: "to tick"}


def day_sections(day: Day) -> tuple[Section, ...]:
    """Tell the day: times first, then what to bring, to check and to beware of."""
    is_changed = clocks_change(time.at for time in day.times)
    sections = (
        Section(
            key="times",
            title=_times_title(day),
            columns=("time", "what", "do"),
            rows=tuple((clock_words(t.at, with_offset=is_changed), t.name, t.what) for t in day.times),
            warnings=() if day.times else ("No start in the match file: no times can be given.",),
        ),
        Section(
            "cautions", "Cautions", ("hazard", "caution"), tuple(map(caution_row, day.cautions)), warnings=(day.defer,)
        ),
        Section("kit", "Pack", ("for", "number", "what", "why"), kit_rows(day.kit)),
        Section(
            key="joint",
            title="Cameras together",
            columns=("check", "state", "how"),
            rows=tuple((check.name, MET[check.is_met], check.text) for check in day.joint_checks),
            warnings=_joint_warnings(day.joint_checks),
        ),
        Section(
            key="dates",
            title="Dates before the day",
            columns=("when", "what", "do"),
            rows=tuple(map(date_row, day.deadlines)),
        ),
        Section("before", "Before the day", notes=day.preparation),
        *mishap_sections(day.mishaps),
        Section("training", "At a training session", notes=day.training),
        Section("visit", "On a visit to the ground", notes=day.visit),
        Section("access", "Getting in", notes=day.access),
        Section("welfare", "Staying fit", notes=day.welfare),
    )
    return tuple(section for section in sections if section.rows or section.notes or section.warnings)


def date_row(time: KeyTime) -> tuple[str, str, str]:
    """Row of something that has a date before the day: when, what, how."""
    how = time.what if time.source in (COMMON, "match file") else f"{time.what} [{time.source}]"
    return f"{time.at:%a} {time.at.day} {time.at:%b}, {clock_words(time.at)}", time.name, how


def mishap_sections(mishaps: Sequence[tuple[str, tuple[Mishap, ...]]]) -> tuple[Section, ...]:
    """What each camera does when something goes wrong; what is alike for all stands once, for everybody.

    Parameters
    ----------
    mishaps : of each camera, with its name
    """
    cameras_by_words: dict[tuple[str, str], list[str]] = {}
    for name, own in mishaps:
        for mishap in own:
            cameras_by_words.setdefault((mishap.name, mishap.text), []).append(name)
    everybody = [name for name, _ in mishaps]
    order = list(dict.fromkeys(what for what, _ in cameras_by_words))
    rows = [(what, do, () if own == everybody else tuple(own)) for (what, do), own in cameras_by_words.items()]
    rows.sort(key=lambda row: order.index(row[0]))
    cells = tuple((what, f"{_concerned(own)}{do}") for what, do, own in rows)
    return (Section("wrong", "If something goes wrong", ("what", "do"), cells),)


def _times_title(day: Day) -> str:
    if not day.times:
        return "Times"
    first = day.times[0].at
    return f"Times, {first:%A} {first.day} {first:%B %Y} ({zone_words(first)})"


def zone_words(time: datetime) -> str:
    """Offset of a time from UTC, "UTC+01:00"."""
    offset = f"{time:%z}"
    return f"UTC{offset[:3]}:{offset[3:5]}"


def caution_row(caution: Caution) -> tuple[str, str]:
    """Hazard, and what to do with whom it concerns and the source."""
    return caution.hazard, f"{_concerned(caution.cameras)}{caution.text} [{caution.source}]"


def _concerned(cameras: tuple[str, ...]) -> str:
    """Name the cameras that a caution concerns, where it does not concern everybody."""
    *most, last = cameras or ("",)
    return f"{', '.join(most)} and {last}: " if most else f"{last}: " if last else ""


def camera_caution_sections(day: Day) -> tuple[Section, ...]:
    """Cautions of each camera, for its own page; the key ends with its name."""
    return tuple(
        Section(
            f"cautions-{name.removeprefix('Camera ')}",
            f"Cautions, {name[:1].lower()}{name[1:]}",
            ("hazard", "caution"),
            tuple((c.hazard, f"{c.text} [{c.source}]") for c in own),
            warnings=(day.defer,),
        )
        for name, own in day.camera_cautions
    )


def kit_rows(kit: tuple[Item, ...]) -> tuple[tuple[str, ...], ...]:
    """Rows of a packing list: for whom, how many, what, why."""
    return tuple((item.group, str(item.quantity), item.name, item.why) for item in kit)


def _joint_warnings(checks: tuple[Check, ...]) -> tuple[str, ...]:
    return tuple(check.text for check in checks if check.is_met is False)


def day_document(match: Match, day: Day) -> str:
    """Write the day of a match as one JSON document."""
    return document_text(
        {
            "schema": SCHEMA,
            "sport": match.sport.key,
            "title": match.title,
            "venue": match.venue.name,
            **plain(day),
        }
    )
