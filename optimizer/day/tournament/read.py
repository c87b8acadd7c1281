"""From a tournament file to a checked `Tournament`: every mistake in one line with file, line and key."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from standmark.geometry.errors import InputError, shown
from standmark.geometry.optics.camera import Support
from standmark.optimizer.day.tournament.schema import FixtureTable, KitTable, TournamentFile, minutes_of
from standmark.optimizer.day.tournament.tournament import (
    Fixture,
    Kit,
    Member,
    PeopleRules,
    Pitch,
    Slot,
    Tournament,
)
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.presets import SUPPORTS
from standmark.optimizer.match.read_filming import body
from standmark.optimizer.match.read_kit import lens_of, mode_of, operator_of
from standmark.optimizer.match.read_match import default_match, read_match
from standmark.sports.library import PresetError
from standmark.sports.timeline import period_starts_min
from standmark.sports.toml.file import Problem, did_you_mean, problems_error, read_toml, validate

BASE = "base"  # name of the place of rest in [[walk]]


def read_tournament(path: Path | str) -> Tournament:
    """Read and check a tournament file.

    Raises
    ------
    InputError : one line a problem, with file, line, key and what is allowed
    """
    file = read_toml(Path(path))
    tables = validate(TournamentFile, file.data, text=file.text, file=file.name)
    reader = _Reader(tables, Path(path).parent)
    tournament = reader.tournament()
    if reader.problems or tournament is None:
        raise problems_error(reader.problems, text=file.text, file=file.name)
    return tournament


class _Reader:
    """Looks up names and collects what is wrong between the tables."""

    def __init__(self, tables: TournamentFile, folder: Path) -> None:
        self.tables, self.folder = tables, folder
        self.problems: list[Problem] = []
        self.file_match = cache(self._read_match)

    def tournament(self) -> Tournament | None:
        """Put everything together; None where something is wrong."""
        tables = self.tables
        zone = self._zone()
        pitches = tuple(Pitch(pitch.name, pitch.at_m) for pitch in tables.pitch)
        slots = self._slots()
        for kind in ("pitch", "kit", "crew"):
            self._once(kind, [entry.name for entry in getattr(tables, kind)])
        self._once("slot", [slot.name for slot in slots], key="name" if tables.slot[0].name else "start")
        names = [pitch.name for pitch in pitches]
        fixtures = self._fixtures(names, slots)
        members = self._members()
        ways = self._ways(names)
        if self.problems or zone is None:
            return None
        order = sorted(range(len(slots)), key=lambda i: slots[i].start_min)
        place = {old: new for new, old in enumerate(order)}
        people = tables.people
        return Tournament(
            title=tables.tournament.title,
            date=tables.tournament.date,
            zone=zone,
            pitches=pitches,
            slots=tuple(slots[i] for i in order),
            fixtures=tuple(
                sorted(
                    (Fixture(**{**vars(f), "slot": place[f.slot]}) for f in fixtures), key=lambda f: (f.slot, f.pitch)
                )
            ),
            kits=tuple(Kit(kit.name, _camera(kit)) for kit in tables.kit),
            members=members,
            rules=PeopleRules(
                changeover_min=people.changeover_min,
                overrun_min=people.overrun_min,
                longest_work_min=people.longest_work_min,
                rest_min=people.rest_min,
                meal_min=people.meal_min,
                meal_window_min=(minutes_of(people.meal[0]), minutes_of(people.meal[1])),
            ),
            base_at_m=tables.tournament.base_at_m,
            ways_min=ways,
        )

    def _problem(self, message: str, *path: str | int) -> None:
        self.problems.append(Problem(path, message))

    def _known(self, word: str, known: Sequence[str], *path: str | int) -> int:
        """Place of a name in a list of names; 0 and a problem where it is not there."""
        if word in known:
            return known.index(word)
        allowed = ", ".join(dict.fromkeys(known))
        self._problem(f'not known (got "{shown(word)}"); allowed: {allowed}{did_you_mean(word, known)}', *path)
        return 0

    def _once(self, kind: str, names: Sequence[str], *, key: str = "name") -> None:
        for index, name in enumerate(names):
            if name in names[:index]:
                self._problem(f'"{name}" is used twice', kind, index, key)

    def _zone(self) -> ZoneInfo | None:
        words = self.tables.tournament.timezone
        try:
            return ZoneInfo(words)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            self._problem(f'not known (got "{shown(words)}"); write "Area/City"', "tournament", "timezone")
            return None

    def _slots(self) -> list[Slot]:
        slots = [Slot(s.name or s.start, minutes_of(s.start), minutes_of(s.end)) for s in self.tables.slot]
        for index, slot in enumerate(slots):
            if slot.end_min <= slot.start_min:
                start, end = self.tables.slot[index].start, self.tables.slot[index].end
                self._problem(f"{end} is not after the start, {start}; slots end on the same day", "slot", index, "end")
            for other in slots[:index]:
                if slot.start_min < other.end_min and other.start_min < slot.end_min:
                    own, old = self.tables.slot[index], self.tables.slot[slots.index(other)]
                    self._problem(
                        f'{own.start} to {own.end} overlaps slot "{other.name}", {old.start} to {old.end}; let one end '
                        "before the next starts",
                        "slot",
                        index,
                        "start",
                    )
        return slots

    def _fixtures(self, pitches: Sequence[str], slots: Sequence[Slot]) -> list[Fixture]:
        fixtures: list[Fixture] = []
        taken: dict[tuple[int, int], str] = {}
        for index, table in enumerate(self.tables.match):
            pitch = self._known(table.pitch, pitches, "match", index, "pitch")
            slot = self._known(table.slot, [s.name for s in slots], "match", index, "slot")
            if (slot, pitch) in taken and not self.problems:
                self._problem(
                    f'"{table.title}" is on {table.pitch} at {table.slot}, where "{taken[slot, pitch]}" is already',
                    "match",
                    index,
                    "slot",
                )
            taken.setdefault((slot, pitch), table.title)
            match = self._match(index, table)
            if match is None:
                continue
            periods = match.sport.periods
            usual_min = period_starts_min(periods)[-1] + periods[-1].minutes
            minutes = usual_min if table.minutes is None else table.minutes
            if minutes > slots[slot].minutes + 1e-9 and slots[slot].minutes > 0:
                own = "its sport takes" if table.minutes is None else "it takes"
                key = "slot" if table.minutes is None else "minutes"
                self._problem(
                    f'{own} {minutes:g} minutes, slot "{slots[slot].name}" has {slots[slot].minutes:g}; make the slot '
                    "longer, or give minutes for a shorter match",
                    "match",
                    index,
                    key,
                )
            source = table.file or " ".join(filter(None, (table.sport, table.preset)))
            fixtures.append(Fixture(table.title, pitch, slot, source, match, minutes, table.worth, table.most_cameras))
        return fixtures

    def _match(self, index: int, table: FixtureTable) -> Match | None:
        if (table.file is None) == (table.sport is None):
            self._problem("needs either file or sport", "match", index, "title")
            return None
        if table.file is not None and table.preset is not None:
            self._problem("goes with sport; in a match file write preset under [match]", "match", index, "preset")
            return None
        match = self.file_match(table.file, table.sport, table.preset)
        if isinstance(match, InputError):
            key = "file" if table.file is not None else "preset" if isinstance(match, PresetError) else "sport"
            self._problem(str(match).splitlines()[0], "match", index, key)
            return None
        return match

    def _read_match(self, file: str | None, sport: str | None, preset: str | None) -> Match | InputError:
        """Match of a file or a sport; what is wrong with it as a value, so that it is read once."""
        try:
            return read_match(self.folder / file) if file is not None else default_match(sport or "", preset=preset)
        except InputError as error:
            return error

    def _members(self) -> tuple[Member, ...]:
        kits = [kit.name for kit in self.tables.kit]
        members = []
        for index, who in enumerate(self.tables.crew):
            kit = 0
            if who.kit is None:
                names = f"one: {', '.join(kits)}" if kits else "a [[kit]] of the file; there is none yet"
                self._problem(f'"{who.name}" has no kit; name {names}', "crew", index, "kit")
            else:
                kit = self._known(who.kit, kits, "crew", index, "kit")
            if minutes_of(who.to) <= minutes_of(who.from_):
                self._problem(f"{who.to} is not after from, {who.from_}", "crew", index, "to")
            members.append(
                Member(
                    name=who.name,
                    kit=kit,
                    from_min=minutes_of(who.from_),
                    to_min=minutes_of(who.to),
                    n_cards=who.cards,
                    n_batteries=who.batteries,
                    phone=who.phone or "",
                    is_lead=who.lead,
                )
            )
            if who.lead and any(member.is_lead for member in members[:-1]):
                self._problem("only one person leads", "crew", index, "lead")
        return tuple(members)

    def _ways(self, pitches: Sequence[str]) -> dict[tuple[int, int], float]:
        known = [*pitches, BASE]
        ways = {}
        for index, walk in enumerate(self.tables.walk):
            one, other = (self._known(name, known, "walk", index, "between", k) for k, name in enumerate(walk.between))
            ways[one, other] = walk.minutes
        return ways


def _camera(kit: KitTable) -> Camera:
    support: Any = kit.support
    return Camera(
        name="A",
        mode=mode_of(kit.mode),
        lenses=tuple(lens_of(lens) for lens in kit.lenses),
        support=SUPPORTS[support] if isinstance(support, str) else Support(**support.model_dump()),
        operator=operator_of(kit.operator),
        lens_height_m=kit.lens_height_m or (0.0, 200.0),
        body=body(kit.body),
    )
