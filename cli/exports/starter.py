"""Text of a starter match file: every key that people change most, with what it means."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from standmark.cli.input.wishes import NO_WISHES, Wishes, stand_place
from standmark.optimizer.match.match import CAMERA_NAMES
from standmark.optimizer.match.presets import DEFAULT_LENSES, DEFAULT_MODE, DELIVERABLES, MODES, SUPPORTS
from standmark.sports.sport import Place, Sport

TEMPLATE = """\
# {name}: a match file for standmark. Every key but sport may be left out.
# Frame: metres from the middle of the playing area; x along its length, y to the left
# when you look along +x; heights above the ground.

[match]
sport = "{key}"{preset}
title = "{name} match"
{start}
cover = "both"                     # "ours": side A, which attacks first_attack first, matters most
first_attack = "+x"                # or "-x", or "unknown" before the toss
deliverable = "highlights"         # {deliverables}

[venue]
name = "Home ground"
length_m = {length:g}{length_pad}# the actual {noun}; typical size of the preset
width_m = {width:g}
# latitude = 39.00                 # with longitude, bearing_deg and start: sun through the match
# longitude = -12.00
# bearing_deg = 340                # compass direction of +x, clockwise from true north
{setting}
# floodlit = true                  # lamps, no sun
# side_names = {{ "+x" = "road end", "-x" = "river end", "+y" = "bench side", "-y" = "stand side" }}

# Where you may stand: usual places of the sport; take out what the ground refuses, its word comes first.
usual_places = [
{places}
]

# Raised places that such grounds may have. Ask, then write "yes" or "no"; until then no plan uses them, but says
# what each would add. The usual places above can be answered here too.
[venue.answers]
{raised}

# And areas of your own: a strip along one side (side, span_m, offset_m), a band round the playing
# area (around = [from, to] degrees, offset_m), a polygon or a line.
{own}

# [[venue.forbidden]]
# name = "press bench"
# polygon = [[-10, 40], [10, 40], [10, 44], [-10, 44]]

# What the sport's benches, tables and officials' stands hide is planned round; take away what is not there:
# [[venue.furniture]]
# what = "{thing}"
# there = false                    # or mirror = "y": on the other side

# [[venue.obstacle]]
# name = "dugout"
# polygon = [[5, 37], [12, 37], [12, 39], [5, 39]]
# base_m = 0
# top_m = 2.4

{cameras}
# lens_height_m = [1.2, 1.8]       # what the support reaches
# at_m = [57.5, 12.0, 1.6]         # fix the camera to a spot
# body = {{ iso = [100, 1600, 6400], nd_stops = [2, 4, 6], bit_rate_mbit_s = 100, card_gb = 128, battery_min = 90 }}

[rules]
separation_m = 2                   # between cameras
moves = "free"                     # "never": one place for the whole match
same_side = "warn"                 # "forbid": no two cameras on opposite sides of the line of action

# For settings and day; without these lines standmark chooses and says so.
# [film]
# faces = 0.7                      # how much you wish for faces, 0 to 1
# fps = 50                         # least frame rate to record with
# shutter = "1/200"                # or degrees: 180
# [light]
# lamp = "metal halide"            # under floodlights or in a hall; how much light there is: lux in [venue]
# [weather]                        # the forecast, typed in
# sky = "overcast"
# temperature_c = 8
# rain = "showers"                 # "none", "rain", "heavy"
# gust_m_s = 9
# [day]
# minors = true
# lead_min = {{ arrive = 90 }}
# ask_days = 5                     # permission to film has to be asked for so many days before
# travel_min = 40                  # on the road to the ground

# Names and telephones for the sheets; what is left out stays a line to write on.
# [crew]
# "Wren Tarn" = {{ role = "lead", camera = "A", phone = "01632 960001" }}
# "Groundkeeper" = {{ role = "ground", phone = "01632 960002" }}

# Worth of one moment to the finished film, a goal where goals are few being 10. Change the ones you care about:
[weights]
{weights}
"""


START = """\
# start = 2027-05-08T15:00:00      # local time; with a place below it brings in the sun
# timezone = "Europe/Lisbon\""""
OWN = """\
# [[venue.allowed]]
# name = "main stand"
# side = "-y"
# span_m = [-20, 20]
# offset_m = [12, 16]
# lens_height_m = [5, 6]"""
SIDE_STAND_M = (10.0, 16.0)  # outside the side line, where the sport knows of no stand


def starter_text(sport: Sport, wishes: Wishes = NO_WISHES) -> str:
    """Write the starter match file of a sport at its present preset and size, with what is known of the match."""
    length = f"{sport.area.length_m:g}"
    return TEMPLATE.format(
        name=sport.name,
        key=sport.key,
        preset=f'\npreset = "{sport.preset}"' if sport.preset else "",
        deliverables=", ".join(f'"{key}"' for key in DELIVERABLES),
        length=sport.area.length_m,
        length_pad=" " * max(1, 24 - len(length)),
        noun="playing area",
        width=sport.area.width_m,
        places="\n".join(place_line(place, refused=place.key in wishes.refused) for place in sport.area.places),
        start=_start_lines(wishes),
        setting='setting = "indoor"' if wishes.is_indoor else '# setting = "outdoor"              # or "indoor"',
        own=OWN if wishes.stand_m is None else _stand_lines(sport, wishes.stand_m),
        raised="\n".join(_answer_line(place) for place in sport.area.raised),
        thing=sport.area.furniture[0].key if sport.area.furniture else "table",
        cameras="\n\n".join(
            f"[[camera]]\n{camera_text(name, wishes.lenses or DEFAULT_LENSES)}".rstrip()
            for name in CAMERA_NAMES[: wishes.n_cameras]
        ),
        weights="\n".join(f"{m.key} = {m.importance:g}".ljust(34) + f" # {m.name}" for m in sport.moments),
    )


def _start_lines(wishes: Wishes) -> str:
    if wishes.start is None:
        return START
    zone = "" if wishes.timezone is None else f'\ntimezone = "{wishes.timezone}"'
    return f"start = {wishes.start}{zone}"


def _stand_lines(sport: Sport, height_m: float) -> str:
    """An allowed area on a stand: where such grounds of the sport have one, or else along the far side."""
    place = stand_place(sport)
    head = '[[venue.allowed]]\nname = "stand"'
    if place is None:
        near, far = SIDE_STAND_M
        third = sport.area.length_m / 6
        where = f'side = "-y"\nspan_m = [{-third:.1f}, {third:.1f}]\noffset_m = [{near:g}, {far:g}]'
    else:
        corners = shapely.get_coordinates(place.shape)[:-1].round(2) + 0.0
        where = "polygon = [" + ", ".join(f"[{x:g}, {y:g}]" for x, y in corners.tolist()) + "]"
        where += f"\n# taken to be: {place.name}; write down where yours is"
    return f"{head}\n{where}\nlens_height_m = [{height_m:g}, {height_m:g}]"


def camera_text(name: str = "A", own: Sequence[str] = DEFAULT_LENSES) -> str:
    """Lines of a camera with the usual kit or its own lenses, below its header, with what else there is to choose."""
    modes, supports = (", ".join(f'"{key}"' for key in known) for known in (MODES, SUPPORTS))
    lenses = ", ".join(f'"{lens}"' for lens in own)
    return (
        f'name = "{name}"\n'
        f'mode = "{DEFAULT_MODE}"          # {modes}\n'
        f"lenses = [{lenses}]     # or {{ focal_mm = [70, 200], f = 2.8 }}\n"
        f'support = "tripod"                 # {supports}\n'
        '# operator = "practised"           # "new", "expert" or { delay_s = 0.25 }: how late the frame follows play\n'
    )


def _answer_line(place: Place) -> str:
    low, high = place.lens_height_m
    return f'{place.key} = "ask"'.ljust(34) + f" # {place.name}, lens {low:g} to {high:g} m up"


def place_line(place: Place, *, refused: bool = False) -> str:
    """Line of `usual_places` for a place of the sport, with what it is; one that is refused is a comment."""
    low, high = place.lens_height_m
    mark = "# " if refused else ""
    return (
        f'  {mark}"{place.key}",'.ljust(34)
        + (" # refused:" if refused else " #")
        + f" {place.name}, lens {low:g} to {high:g} m up"
    )
