"""The ground of a match file: its tables under [venue] become a checked `Venue`."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from standmark.geometry.errors import shown
from standmark.geometry.sightlines.occluder import Occluder
from standmark.optimizer.match.match import AllowedArea, ForbiddenArea, Venue
from standmark.optimizer.match.place_shape import key_of, place_shape
from standmark.optimizer.match.read_answers import Answered, answered_places
from standmark.optimizer.match.read_furniture import read_furniture
from standmark.optimizer.match.usual_areas import default_areas, moved_area, raised_areas, side_names
from standmark.optimizer.match.venue_schema import PlaceTable, VenueTable
from standmark.sports.sport import Furniture, PlayingArea, Sport
from standmark.sports.toml.file import Problem, did_you_mean

NOWHERE = "nowhere to stand; name usual places, or give [[venue.allowed]]"
FARTHEST_M = 500.0  # from the playing area: nobody films from further away


def read_venue(table: VenueTable, sport: Sport) -> tuple[Venue, list[Problem]]:
    """Make the ground of a match, and list what is wrong between its tables."""
    reader = _VenueReader(table)
    return reader.venue(sport), reader.problems


class _VenueReader:
    """Turns checked tables into a venue, and collects what is wrong between them."""

    def __init__(self, table: VenueTable) -> None:
        self.table = table
        self.problems: list[Problem] = []

    def venue(self, sport: Sport) -> Venue:
        table = self.table
        setting = table.setting or ("indoor" if sport.setting == "indoor" else "outdoor")
        own = tuple(self._allowed(sport, index) for index in range(len(table.allowed)))
        self._check_unique([a.key for a in own])
        places = self._places(sport, own)
        return Venue(
            name=table.name,
            allowed=places.allowed,
            asked=places.asked,
            replaced=places.replaced,
            forbidden=tuple(
                ForbiddenArea(t.name, self._shape(t, sport.area, "forbidden", i), t.reason)
                for i, t in enumerate(table.forbidden)
            ),
            obstacles=tuple(
                Occluder(t.name, t.polygon or t.line or (), t.base_m, t.top_m, t.see_through, t.polygon is not None)
                for t in table.obstacle
            ),
            furniture=self._furniture(sport),
            latitude_deg=table.latitude,
            longitude_deg=table.longitude,
            bearing_deg=table.bearing_deg % 360,
            has_bearing="bearing_deg" in table.model_fields_set,
            is_indoor=setting == "indoor",
            is_floodlit=table.floodlit,
            lux=table.lux,
            mains_hz=float(table.mains_hz),
            side_names=self._side_names(sport),
            respect_keep_clear=table.respect_keep_clear,
            stand_height_m={str(side): height for side, height in table.stand_height_m.items()},
            main_side=table.main_side,
            code=table.code,
        )

    def _furniture(self, sport: Sport) -> tuple[Furniture, ...]:
        furniture, problems = read_furniture(self.table.furniture, sport.area)
        self.problems += problems
        return furniture

    def _side_names(self, sport: Sport) -> dict[str, str]:
        return side_names(sport, {str(side): name for side, name in self.table.side_names.items()})

    def _places(self, sport: Sport, own: tuple[AllowedArea, ...]) -> Answered:
        """Places that the ground allows or may be asked for."""
        table, names = self.table, self._side_names(sport)
        usual = {a.key: a for a in default_areas(sport, names)}
        elsewhere = {entry.what for entry in table.allowed}
        for index, key in enumerate(table.usual_places or ()):
            if key not in usual:
                hint = did_you_mean(key, list(usual))
                message = f'no such usual place (got "{key}"); allowed: {", ".join(usual)}{hint}'
                self._problem(message, "venue", "usual_places", index)
        named = None if table.usual_places is None else dict.fromkeys(table.usual_places)
        answered = answered_places(
            table.answers,
            usual=tuple(a for key, a in usual.items() if key not in elsewhere),
            kept=None if named is None else tuple(usual[key] for key in named if key in usual and key not in elsewhere),
            own=own,
            raised=tuple(a for a in raised_areas(sport, names) if a.key not in elsewhere),
        )
        self.problems += answered.problems
        if not answered.allowed and not self.problems:
            key = "usual_places" if table.usual_places == () else "answers"
            self._problem(NOWHERE, "venue", key)
        return answered

    def _allowed(self, sport: Sport, index: int) -> AllowedArea:
        table = self.table.allowed[index]
        known = {p.key for p in sport.periods}
        for number, period in enumerate(table.periods or ()):
            if period not in known:
                hint = did_you_mean(period, sorted(known))
                message = f'period "{shown(period)}" not known; allowed: {", ".join(sorted(known))}{hint}'
                self._problem(message, "venue", "allowed", index, "periods", number)
        shape = self._shape(table, sport.area, "allowed", index)
        area = AllowedArea(key_of(table.name), table.name, shape, table.lens_height_m, table.periods, table.max_cameras)
        return area if table.what is None else self._like(area, table.what, sport, index)

    def _like(self, area: AllowedArea, what: str, sport: Sport, index: int) -> AllowedArea:
        """Area at which a place of the sport stands."""
        known = {place.key: place for place in (*default_areas(sport), *raised_areas(sport))}
        if what not in known:
            message = (
                f'no such place (got "{shown(what)}"); allowed: {", ".join(known)}{did_you_mean(what, list(known))}'
            )
            self._problem(message, "venue", "allowed", index, "what")
            return area
        says_height = "lens_height_m" in self.table.allowed[index].model_fields_set
        return moved_area(area, known[what], lens_height_m=area.lens_height_m if says_height else None)

    def _shape(self, table: PlaceTable, area: PlayingArea, kind: str, index: int) -> BaseGeometry:
        shape = place_shape(table, area)
        if shape.is_empty:
            self._problem("is empty; check span_m, offset_m and around", "venue", kind, index)
        elif shape.distance(area.outline) > FARTHEST_M:
            self._problem(
                f"is {shape.distance(area.outline):.0f} m from the playing area; allowed: at most {FARTHEST_M:g} m",
                "venue", kind, index,
            )  # fmt: skip
        return shape

    def _check_unique(self, keys: list[str]) -> None:
        for index, key in enumerate(keys):
            if key in keys[:index]:
                self._problem("two areas have the same name; allowed: one name each", "venue", "allowed", index, "name")

    def _problem(self, message: str, *path: str | int) -> None:
        self.problems.append(Problem(path, message))
