"""From a match file, or from nothing but a sport, to a checked `Match`."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import shapely

from standmark.geometry.errors import InputError, shown
from standmark.optimizer.match.competition_rules import under_profile
from standmark.optimizer.match.crew import Person
from standmark.optimizer.match.crew_schema import read_crew
from standmark.optimizer.match.match import (
    MOST_CAMERAS,
    Camera,
    Match,
    Rules,
    Venue,
    camera_copies,
)
from standmark.optimizer.match.match_schema import MatchFile, MatchTable
from standmark.optimizer.match.operator_file import OperatorProfile, read_operator, with_rates, with_wishes
from standmark.optimizer.match.presets import (
    DEFAULT_LENSES,
    DEFAULT_MODE,
    DEFAULT_SUPPORT,
    HIRE,
    MODES,
    SUPPORTS,
    deliverable_for,
    lens_from_words,
)
from standmark.optimizer.match.read_filming import filming
from standmark.optimizer.match.read_furniture import usual_furniture
from standmark.optimizer.match.read_kit import camera_of, lens_of
from standmark.optimizer.match.read_venue import FARTHEST_M, read_venue
from standmark.optimizer.match.usual_areas import default_areas, raised_areas, side_names
from standmark.optimizer.match.venue_schema import VenueTable
from standmark.sports.competition import load_profile
from standmark.sports.library import PresetError, SizeError, is_path, load_sport
from standmark.sports.sport import PlayingArea, Sport
from standmark.sports.toml.file import (
    Problem,
    ProblemsError,
    TomlFile,
    did_you_mean,
    problems_error,
    read_toml,
    validate,
)


def read_match(path: Path | str, *, cameras: int | None = None) -> Match:
    """Read and check a match file.

    Parameters
    ----------
    cameras : number of cameras to plan for, in place of the file's; further ones copy the first

    Raises
    ------
    InputError : one line a problem, with file, line, key and what is allowed

    >>> from standmark.optimizer import read_match
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder, "match.toml")
    ...     _ = path.write_text('match = { sport = "netball", title = "Final" }')
    ...     read_match(path)
    <Match 'Final' at 'Default ground': netball, cameras A, highlights>
    """
    path = Path(path)
    return match_of(read_toml(path), folder=path.parent, cameras=cameras)


def match_of(file: TomlFile, *, folder: Path, cameras: int | None = None) -> Match:
    """Check freshly read TOML and make the match of it.

    Parameters
    ----------
    folder : where a `sport_file` is looked for

    Raises
    ------
    InputError : as `read_match`
    """
    tables = validate(MatchFile, file.data, text=file.text, file=file.name)
    return _MatchReader(file, tables, folder).match(cameras)


def default_match(sport_key: str, *, preset: str | None = None, cameras: int = 1) -> Match:
    """Build the match that is planned when nothing but a sport is known: default ground, two zooms, a tripod.

    >>> from standmark.optimizer import default_match
    >>> default_match("netball", cameras=2)
    <Match 'Netball' at 'Default ground': netball, cameras A, B, highlights>
    """
    sport = load_sport(sport_key, preset=preset)
    return Match(
        sport=sport,
        title=sport.name,
        venue=Venue(
            "Default ground",
            default_areas(sport),
            asked=raised_areas(sport),
            furniture=usual_furniture(sport.area),
            is_indoor=sport.setting == "indoor",
            side_names=side_names(sport),
        ),
        cameras=camera_copies((default_camera(),), cameras),
        deliverable=deliverable_for("highlights", sport.area),
        hire=HIRE,
    )


def default_camera(name: str = "A") -> Camera:
    """One full-frame camera with two zooms on a tripod."""
    lenses = tuple(lens for words in DEFAULT_LENSES if (lens := lens_from_words(words)))
    return Camera(name, MODES[DEFAULT_MODE], lenses, SUPPORTS[DEFAULT_SUPPORT], kit_of="")


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a circle of links, or a name that no file can have
        return False


class _MatchReader:
    """Turns checked tables into a match, and collects what is wrong between them."""

    def __init__(self, file: TomlFile, tables: MatchFile, folder: Path) -> None:
        self.file, self.tables, self.folder = file, tables, folder
        self.problems: list[Problem] = []

    def match(self, cameras: int | None) -> Match:
        table = self.tables.match
        sport = self._sport(table, self.tables.venue)
        venue, problems = read_venue(self.tables.venue, sport)
        self.problems += problems
        kits = self._cameras(venue, sport.area) or (default_camera(),)
        profiles = self._profiles()
        kits = tuple(replace(k, operator=profiles[k.name].operator) if k.name in profiles else k for k in kits)
        start = self._start(table)
        visit = self._visit(start)
        self._check_moments(sport)
        crew = self._crew(kits)
        if self.problems:
            raise problems_error(self.problems, text=self.file.text, file=self.file.name)
        match = Match(
            sport=_reweighted(with_rates(sport, profiles), self.tables.weights),
            title=table.title or sport.name,
            venue=venue,
            cameras=kits if cameras is None else camera_copies(kits, cameras),
            deliverable=with_wishes(
                deliverable_for(table.deliverable, sport.area, faces=self.tables.film.faces), profiles
            ),
            rules=self._rules(),
            start=start,
            cover=table.cover,
            first_attack=table.first_attack,
            other_side_weight=table.other_side_weight,
            hire=HIRE if self.tables.advice.hire is None else tuple(map(lens_of, self.tables.advice.hire)),
            filming=filming(
                self.tables.film, self.tables.light, weather=self.tables.weather, day=self.tables.day, visit=visit
            ),
            crew=crew,
        )
        return self._under_rules(match, table)

    def _under_rules(self, match: Match, table: MatchTable) -> Match:
        """Keep to the rules of the competition that the file names, if any."""
        if table.rules is None and table.rules_file is None:
            return match
        key = "rules" if table.rules is not None else "rules_file"
        path = None if table.rules_file is None else self.folder / table.rules_file
        if table.rules is not None and path is not None:
            self._problem("give rules or rules_file, not both", "match", "rules_file")
        elif path is not None and not path.is_file():
            missing = f'no such file (got "{table.rules_file}"); it must be beside the match file'
            self._problem(missing, "match", "rules_file")
        if not self.problems:
            try:
                kept = under_profile(match, load_profile(path or table.rules or "", match.sport))
            except InputError as error:
                if path is not None and str(path) in str(error):
                    raise
                self._problem(f"{error}", "match", key)
        if not self.problems and not kept.venue.allowed:
            reasons = "; ".join(f"{r.name}: {r.reason}" for r in kept.venue.removed[:4])
            asked = ", ".join(a.key for a in kept.venue.asked)
            hint = f'; answer "yes" under [venue.answers] for one of {asked}' if asked else "; allow other areas"
            self._problem(f"they leave nowhere to stand on this ground ({reasons}){hint}", "match", key)
        if self.problems:
            raise problems_error(self.problems, text=self.file.text, file=self.file.name)
        return kept

    def _problem(self, message: str, *path: str | int) -> None:
        self.problems.append(Problem(path, message))

    def _sport(self, table: MatchTable, venue: VenueTable) -> Sport:
        wanted = self._wanted_sport(table)
        try:
            return load_sport(
                wanted, preset=table.preset, length_m=venue.actual_m("length"), width_m=venue.actual_m("width")
            )
        except SizeError as error:
            raise self._told(f"{error}", "venue", venue.size_key(error.size)) from None
        except PresetError as error:
            raise self._told(f"{error}", "match", "preset") from None
        except InputError as error:
            if table.sport_file is not None and str(wanted) in str(error):
                raise
            raise self._told(f"{error}", "match", "sport") from None

    def _told(self, message: str, *path: str | int) -> ProblemsError:
        return problems_error([Problem(path, message)], text=self.file.text, file=self.file.name)

    def _wanted_sport(self, table: MatchTable) -> str | Path:
        own = None if table.sport_file is None else self.folder / table.sport_file
        if own is None and table.sport is not None and is_path(table.sport):
            self._problem(
                f'names a file (got "{shown(table.sport)}"); write sport_file for your own',
                "match",
                "sport",
            )
        if own is not None and not _is_file(own):
            self._problem(
                f'no such file (got "{shown(table.sport_file)}"); it must be beside the match file',
                "match",
                "sport_file",
            )
        if own is None and table.sport is None:
            self._problem("missing; name a sport, or a sport_file of your own", "match", "sport")
        if self.problems:
            raise problems_error(self.problems, text=self.file.text, file=self.file.name)
        return own or table.sport or ""

    def _start(self, table: MatchTable) -> datetime | None:
        if table.start is not None and table.start.tzinfo is None and table.timezone is None:
            message = 'has no time zone; add timezone = "Area/City", or an offset such as +02:00 to start'
            self._problem(message, "match", "start")
        if table.start is None or table.timezone is None:
            return table.start
        try:
            zone = None if table.timezone == "localtime" else ZoneInfo(table.timezone)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            zone = None
        if zone is None:
            self._problem(
                f'time zone not known (got "{shown(table.timezone)}"); write "Area/City"', "match", "timezone"
            )
            return None
        if table.start.tzinfo is not None:
            self._problem("start has its own offset; give that or timezone, not both", "match", "timezone")
            return None
        return self._told_apart(table.start, zone)

    def _visit(self, start: datetime | None) -> datetime | None:
        visit = self.tables.day.visit
        if visit is None:
            return None
        if visit.tzinfo is None and start is None:
            self._problem("needs the start of the match, whose time zone it takes", "day", "visit")
            return None
        aware = visit if visit.tzinfo is not None else visit.replace(tzinfo=start.tzinfo if start else None)
        if start is not None and aware >= start:
            self._problem(f"{visit:%Y-%m-%d %H:%M} is not before the start of the match", "day", "visit")
        return aware

    def _told_apart(self, start: datetime, zone: ZoneInfo) -> datetime | None:
        first, second = (start.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
        if first.utcoffset() == second.utcoffset():
            return first
        readings = " or ".join(t.isoformat() for t in (first, second))
        self._problem(
            f"the clocks change in this hour; write start = {readings} and leave timezone out", "match", "start"
        )
        return None

    def _check_spot(self, index: int, area: PlayingArea) -> None:
        at_m = self.tables.camera[index].at_m
        away_m = 0.0 if at_m is None else area.outline.distance(shapely.Point(at_m[0], at_m[1]))
        if away_m > FARTHEST_M:
            message = f"is {away_m:.0f} m from the playing area; allowed: at most {FARTHEST_M:g} m"
            self._problem(message, "camera", index, "at_m")

    def _cameras(self, venue: Venue, playing_area: PlayingArea) -> tuple[Camera, ...]:
        places = (*venue.asked, *venue.allowed)
        known = {a.key: a for a in places} | {a.name: a for a in places}
        names = [c.name for c in self.tables.camera]
        for index, table in enumerate(self.tables.camera):
            if table.name in names[:index]:
                self._problem("two cameras have the same name; allowed: one name each", "camera", index, "name")
            self._check_spot(index, playing_area)
            walked = () if isinstance(table.roam, bool) else table.roam.areas or ()
            named: list[tuple[str, tuple[str | int, ...]]] = [
                *((area, ("areas", number)) for number, area in enumerate(table.areas or ())),
                *((area, ("roam", "areas", number)) for number, area in enumerate(walked)),
            ]
            for area, path in named:
                if area not in known:
                    allowed = ", ".join(f'"{a.name}"' for a in venue.allowed)
                    hint = did_you_mean(area, [a.name for a in places])
                    self._problem(f'area "{shown(area)}" not known; allowed: {allowed}{hint}', "camera", index, *path)
        if self.problems:
            return ()
        return tuple(camera_of(table, {name: area.key for name, area in known.items()}) for table in self.tables.camera)

    def _profiles(self) -> dict[str, OperatorProfile]:
        """What operators learned of themselves, by camera."""
        profiles: dict[str, OperatorProfile] = {}
        for index, table in enumerate(self.tables.camera):
            if table.operator_file is None:
                continue
            path = self.folder / table.operator_file
            if _is_file(path):
                profiles[table.name] = read_operator(path)
            else:
                message = f'no such file (got "{shown(table.operator_file)}"); it must be beside the match file'
                self._problem(message, "camera", index, "operator_file")
        return profiles

    def _crew(self, kits: tuple[Camera, ...]) -> tuple[Person, ...]:
        names = [camera.name for camera in camera_copies(kits, MOST_CAMERAS)]
        crew, problems = read_crew(self.tables.crew, contact=self.tables.day.contact, cameras=names)
        self.problems += problems
        return crew

    def _rules(self) -> Rules:
        table = self.tables.rules
        return Rules(
            separation_m=table.separation_m,
            must_cover=dict(table.must_cover),
            same_side=table.same_side,
            moves=table.moves,
            move_cost=table.move_cost_points / 100,
            second_angle_give=table.second_angle_points / 100,
            eye_height_give=table.eye_height_points / 100,
            fallback_m=self.tables.advice.fallback_m,
        )

    def _check_moments(self, sport: Sport) -> None:
        known = [m.key for m in sport.moments]
        must_cover = self.tables.rules.must_cover
        for path, keys in ((("weights",), self.tables.weights), (("rules", "must_cover"), must_cover)):
            for key in keys:
                if key not in known:
                    hint = did_you_mean(key, known)
                    self._problem(f"no such key moment; allowed: {', '.join(known)}{hint}", *path, key)
        if self.tables.weights and not any(
            self.tables.weights.get(m.key, m.importance) * m.rate_per_match > 0 for m in sport.moments
        ):
            self._problem("every key moment has weight 0; leave at least one above 0", "weights")


def _reweighted(sport: Sport, weights: dict[str, float]) -> Sport:
    """Replace the importance of key moments by what the match file says."""
    if not weights:
        return sport
    return replace(sport, moments=tuple(replace(m, importance=weights.get(m.key, m.importance)) for m in sport.moments))
