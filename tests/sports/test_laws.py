"""Playing areas against the laws: every painted dimension, the published figure and its source beside it.

Feet and yards are the laws' own where they use them. Tolerance: half a centimetre, or half the last digit that the
law prints when that is coarser.
"""

from functools import cache

import numpy as np
import pytest
import shapely

from standmark.sports.library import load_sport

YD, FT, IN = 0.9144, 0.3048, 0.0254

# measure: "line_x" and "line_y": |x| or |y| of a straight line; "depth": from the end of the length to its inner edge;
# "half_width": greatest |y|; "far": greatest |x|; "near": least |x|; "radius": distance of its right half from `about`,
# a point (x, y) in which the first may be measured from the end: ("end", 11.0, 0.0)
LOTG = "Laws of the Game 2006/07, Law 1"
WA_FB = "Sports Dimensions Guide (Western Australia), football (soccer)"
P9 = "9v9 pitch line marking page: 13 x 32 yd, 4 x 14 yd, 9 yd, 7 yd"
MINI = "Mini soccer U9/U10: penalty area 10 x 18 yd, mark 8 yd"
FUT = "Futsal Laws of the Game 2009, Law 1"
IRB = "Rugby union Law 1, 2007, and line-marking guides of that law"
RL = "Sports Dimensions Guide (Western Australia), rugby league"
NFL = "Official playing rules of the professional league, 2021, Rule 1"
CFL = "Canadian rule book 2021, Rule 1"
AFL = "Laws of Australian football, line-marking guide"
GAA = "GAA Official Guide part 2, 2016, Rule 1"
FIH = "Rules of Hockey, field markings"
IIHF = "IIHF rule book and Sports Dimensions Guide, ice hockey"
WHL = "North American rule book 2019-20, rink section"
LAX = "Men's field lacrosse rule book, field section: 110 x 60 yd, goals 80 yd apart, crease 9 ft"
WL = "World Lacrosse unified field: 110 x 60 m, 12 m behind the goal, crease 3 m"
FIBA = "FIBA Official Basketball Rules, Article 2"
NBA = "Official rules of the professional league 2021-22, Rule 1"
NET = "Sports Dimensions Guide (Western Australia), netball"
IHF = "IHF Rules of the Game, Rule 1"
FIVB = "FIVB Official Volleyball Rules 2021-24, Rule 1"
ITF = "ITF Rules of Tennis, Rule 1: 78 ft x 36 ft (27 ft), service line 21 ft"
BWF = "Laws of Badminton, court: 44 x 20 ft (17 ft), 6 ft 6 in, 2 ft 6 in"
MCC = "MCC Laws 6 to 8: pitch 22 x 10 ft... creases 4 ft, 8 ft 8 in; 30 yd circle of the one-day conditions"
OBR = "Official Baseball Rules 2021, Rule 2: bases 90 ft, plate 60 ft 6 in, 127 ft 3 3/8 in"
SOFT = "Sports Dimensions Guide (Western Australia), softball: bases 18.29 m, pitching 13.11 m"
WFDF = "WFDF Rules of Ultimate 2021, section 2: 100 x 37 m, end zones 18 m, brick marks 18 m from the goal line"
POLO = "FINA facilities rules FR 7 and WP 1: marks at 2 and 5 m, boundary 0.30 m behind the goal line"

MARKS = [
    ("football", "adult", "penalty area", "depth", 16.5, LOTG),
    ("football", "adult", "penalty area", "half_width", 7.32 / 2 + 16.5, LOTG),
    ("football", "adult", "goal area", "depth", 5.5, WA_FB),
    ("football", "adult", "goal area", "half_width", 7.32 / 2 + 5.5, WA_FB),
    ("football", "adult", "penalty mark", "depth", 11.0, LOTG),
    ("football", "adult", "centre circle", "radius", 9.15, LOTG, (0, 0)),
    ("football", "adult", "penalty arc", "radius", 9.15, LOTG, ("end", 11.0, 0)),
    ("football", "adult", "penalty arc", "depth", 11.0 + 9.15, LOTG),
    ("football", "9v9", "penalty area", "depth", 13 * YD, P9),
    ("football", "9v9", "penalty area", "half_width", 16 * YD, P9),
    ("football", "9v9", "goal area", "depth", 4 * YD, P9),
    ("football", "9v9", "goal area", "half_width", 7 * YD, P9),
    ("football", "9v9", "penalty mark", "depth", 9 * YD, P9),
    ("football", "9v9", "centre circle", "radius", 7 * YD, P9, (0, 0)),
    ("football", "7v7", "penalty area", "depth", 10 * YD, MINI),
    ("football", "7v7", "penalty area", "half_width", 9 * YD, MINI),
    ("football", "7v7", "penalty mark", "depth", 8 * YD, MINI),
    ("futsal", "adult", "centre circle", "radius", 3.0, FUT, (0, 0)),
    ("futsal", "adult", "penalty area line", "depth", 6.0, FUT),
    ("futsal", "adult", "penalty area line", "half_width", 3.16 / 2 + 6.0, FUT),
    ("futsal", "adult", "penalty mark", "depth", 6.0, FUT),
    ("futsal", "adult", "second penalty mark", "depth", 10.0, FUT),
    ("futsal", "adult", "corner arc", "depth", 0.25, FUT),
    ("rugby-union", "adult", "22 m line", "depth", 22.0, IRB),
    ("rugby-union", "adult", "10 m line", "line_x", 10.0, IRB),
    ("rugby-union", "adult", "5 m line", "line_y", 35.0 - 5.0, IRB),
    ("rugby-union", "adult", "15 m line", "line_y", 35.0 - 15.0, IRB),
    ("rugby-union", "adult", "5 m line before goal", "depth", 5.0, IRB),
    ("rugby-union", "adult", "touchlines and dead-ball lines", "far", 50.0 + 10.0, IRB),
    ("rugby-sevens", "standard", "22 m line", "depth", 22.0, IRB),
    ("rugby-league", "adult", "ten-metre lines", "far", 40.0, RL),
    ("rugby-league", "adult", "scrum line 10 m", "line_y", 34.0 - 10.0, RL),
    ("rugby-league", "adult", "scrum line 20 m", "line_y", 34.0 - 20.0, RL),
    ("rugby-league", "adult", "touchlines and dead-ball lines", "far", 50.0 + 8.0, RL),
    ("american-football", "professional", "goal line", "line_x", 50 * YD, NFL),
    ("american-football", "professional", "boundary lines", "far", 60 * YD, NFL),
    ("american-football", "professional", "boundary lines", "half_width", 80 * FT, NFL),
    ("american-football", "professional", "hash marks", "line_y", 9.25 * FT, NFL + ": 70 ft 9 in from the sideline"),
    ("american-football", "college", "hash marks", "line_y", 20 * FT, "College rules 2021: 60 ft from each side"),
    ("american-football", "high-school", "hash marks", "line_y", 160 * FT / 6, "High-school field: in thirds"),
    ("canadian-football", "professional", "goal line", "line_x", 55 * YD, CFL),
    ("canadian-football", "professional", "boundary lines", "far", 75 * YD, CFL),
    ("canadian-football", "amateur", "hash marks", "line_y", 65 / 2 * YD - 24 * YD, CFL + ": 24 yd from the sideline"),
    ("canadian-football", "from-2027", "boundary lines", "far", 65 * YD, "Announced in 2025: 100 yd, 15 yd end zones"),
    ("australian-football", "adult", "centre square", "far", 25.0, AFL),
    ("australian-football", "adult", "centre square", "half_width", 25.0, AFL),
    ("australian-football", "adult", "centre circle, inner", "radius", 1.5, AFL, (0, 0)),
    ("australian-football", "adult", "centre circle, outer", "radius", 5.0, AFL, (0, 0)),
    ("australian-football", "adult", "goal square", "depth", 9.0, AFL),
    ("australian-football", "adult", "goal square", "half_width", 3.2, AFL),
    ("australian-football", "adult", "fifty-metre arc", "radius", 50.0, AFL, ("end", 0, 0)),
    ("gaelic-football", "adult", "13 m line", "depth", 13.0, GAA),
    ("gaelic-football", "adult", "20 m line", "depth", 20.0, GAA),
    ("gaelic-football", "adult", "45 m line", "depth", 45.0, GAA),
    ("gaelic-football", "adult", "small rectangle", "depth", 4.5, GAA),
    ("gaelic-football", "adult", "small rectangle", "half_width", 14.0 / 2, GAA),
    ("gaelic-football", "adult", "large rectangle", "depth", 13.0, GAA),
    ("gaelic-football", "adult", "large rectangle", "half_width", 19.0 / 2, GAA),
    ("gaelic-football", "adult", "penalty mark", "depth", 11.0, GAA),
    ("gaelic-football", "adult", "semicircle", "radius", 13.0, GAA, ("end", 20.0, 0)),
    ("gaelic-football", "adult", "40 m arc", "radius", 40.0, "Newspaper, 10 January 2025", ("end", 0, 0)),
    ("hurling", "adult", "65 m line", "depth", 65.0, GAA),
    ("hurling", "adult", "20 m line", "depth", 20.0, GAA),
    ("hurling", "adult", "small rectangle", "half_width", 14.0 / 2, GAA),
    ("field-hockey", "adult", "23 m line", "depth", 22.9, FIH),
    ("field-hockey", "adult", "shooting circle", "depth", 14.63, FIH),
    ("field-hockey", "adult", "shooting circle", "half_width", 3.66 / 2 + 14.63, FIH),
    ("field-hockey", "adult", "broken line", "depth", 14.63 + 5.0, FIH),
    ("field-hockey", "adult", "penalty spot", "depth", 6.4, FIH),
    ("field-hockey", "adult", "penalty corner mark", "line_y", 3.66 / 2 + 10.0, FIH),
    ("ice-hockey", "international", "blue line", "line_x", 30.0 - 22.86, IIHF),
    ("ice-hockey", "international", "goal line", "depth", 4.0, IIHF),
    ("ice-hockey", "international", "centre circle", "radius", 4.5, IIHF, (0, 0)),
    ("ice-hockey", "international", "end-zone face-off spot", "depth", 4.0 + 6.0, IIHF),
    ("ice-hockey", "international", "end-zone face-off spot", "half_width", 7.0, IIHF),
    ("ice-hockey", "international", "goal crease", "radius", 1.83, IIHF, ("end", 4.0, 0)),
    ("ice-hockey", "north-american", "blue line", "line_x", 25 * FT, WHL),
    ("ice-hockey", "north-american", "goal line", "depth", 11 * FT, WHL),
    ("ice-hockey", "north-american", "centre circle", "radius", 15 * FT, WHL, (0, 0)),
    ("ice-hockey", "north-american", "end-zone face-off spot", "depth", 31 * FT, WHL),
    ("ice-hockey", "north-american", "end-zone face-off spot", "half_width", 22 * FT, WHL),
    ("ice-hockey", "north-american", "neutral-zone spot", "near", 20 * FT, WHL),
    ("lacrosse", "men", "goal line", "line_x", 40 * YD, LAX),
    ("lacrosse", "men", "crease", "radius", 9 * FT, LAX, ("end", 15 * YD, 0)),
    ("lacrosse", "men", "restraining line", "line_x", 20 * YD, LAX),
    ("lacrosse", "men", "goal area", "half_width", 20 * YD, LAX),
    ("lacrosse", "men", "wing line", "line_y", 20 * YD, LAX),
    ("lacrosse", "world", "goal line", "depth", 12.0, WL),
    ("lacrosse", "world", "crease", "radius", 3.0, WL, ("end", 12.0, 0)),
    ("basketball", "international", "restricted area", "depth", 5.8, FIBA),
    ("basketball", "international", "restricted area", "half_width", 4.9 / 2, FIBA),
    ("basketball", "international", "centre circle", "radius", 1.8, FIBA, (0, 0)),
    ("basketball", "international", "three-point arc", "radius", 6.75, FIBA, ("end", 1.575, 0)),
    ("basketball", "international", "three-point straight", "line_y", 7.5 - 0.9, FIBA),
    ("basketball", "international", "no-charge semicircle", "radius", 1.25, FIBA, ("end", 1.575, 0)),
    ("basketball", "north-american", "restricted area", "depth", 19 * FT, NBA),
    ("basketball", "north-american", "restricted area", "half_width", 8 * FT, NBA),
    ("basketball", "north-american", "three-point arc", "radius", 23.75 * FT, NBA, ("end", 5.25 * FT, 0)),
    ("basketball", "north-american", "three-point straight", "line_y", 22 * FT, NBA),
    ("basketball", "north-american", "no-charge semicircle", "radius", 4 * FT, NBA, ("end", 5.25 * FT, 0)),
    ("netball", "adult", "transverse line", "line_x", 30.5 / 6, NET),
    ("netball", "adult", "goal circle", "radius", 4.9, NET, ("end", 0, 0)),
    ("netball", "adult", "centre circle", "radius", 0.45, NET, (0, 0)),
    ("handball", "adult", "goal-area line, 6 m", "depth", 6.0, IHF),
    ("handball", "adult", "goal-area line, 6 m", "half_width", 1.5 + 6.0, IHF),
    ("handball", "adult", "free-throw line, 9 m", "depth", 9.0, IHF),
    ("handball", "adult", "7 m line", "depth", 7.0, IHF),
    ("handball", "adult", "7 m line", "half_width", 0.5, IHF),
    ("handball", "adult", "goalkeeper line, 4 m", "depth", 4.0, IHF),
    ("handball", "adult", "substitution line", "line_x", 4.5, IHF),
    ("volleyball", "any-match", "attack line", "line_x", 3.0, FIVB),
    ("volleyball", "any-match", "attack line, dashes outside", "half_width", 4.5 + 1.75, FIVB),
    ("tennis", "singles", "service line", "line_x", 21 * FT, ITF),
    ("tennis", "singles", "singles sideline", "line_y", 13.5 * FT, ITF),
    ("badminton", "singles", "short service line", "line_x", 1.98, BWF),
    ("badminton", "singles", "long service line, doubles", "depth", 0.76, BWF),
    ("badminton", "singles", "singles sideline", "line_y", 5.18 / 2, BWF),
    ("cricket", "t20", "pitch", "far", 11 * YD, MCC),
    ("cricket", "t20", "pitch", "half_width", 5 * FT, MCC),
    ("cricket", "t20", "popping crease", "line_x", 11 * YD - 4 * FT, MCC),
    ("cricket", "t20", "bowling crease", "half_width", 4 * FT + 4 * IN, MCC),
    ("cricket", "t20", "return crease", "line_y", 4 * FT + 4 * IN, MCC),
    ("cricket", "t20", "inner circle, 30 yd", "half_width", 30 * YD, MCC),
    ("cricket", "t20", "inner circle, 30 yd", "far", 41 * YD, MCC),
    ("baseball", "adult", "first base", "half_width", 90 * FT / 2**0.5, OBR),
    ("baseball", "adult", "second base", "near", 127 * FT + 3.375 * IN, OBR),
    ("baseball", "adult", "pitcher's plate", "near", 60.5 * FT, OBR),
    ("baseball", "adult", "mound", "radius", 9 * FT, OBR, (59 * FT, 0)),
    ("softball", "women", "first base", "half_width", 60 * FT / 2**0.5, SOFT),
    ("softball", "women", "pitcher's plate", "near", 13.11, SOFT),
    ("softball", "women", "pitcher's circle", "radius", 8 * FT, "Fastpitch circle of 8 ft", (13.11, 0)),
    ("ultimate", "grass", "goal line", "depth", 18.0, WFDF),
    ("ultimate", "grass", "brick mark", "depth", 36.0, WFDF),
    ("water-polo", "men", "two-metre line", "depth", 2.0, POLO),
    ("water-polo", "men", "five-metre line", "depth", 5.0, POLO),
    ("water-polo", "men", "field end rope", "line_x", 15.3, POLO),
]  # fmt: skip

AREAS = [
    ("football", "adult", 105.0, 68.0, (90, 120), (45, 90), LOTG),
    ("football", "international", 105.0, 68.0, (100, 110), (64, 75), LOTG),
    ("football", "9v9", 80 * YD, 50 * YD, None, None, "FA Handbook 2016-17: 80 x 50 yd"),
    ("football", "7v7", 60 * YD, 40 * YD, (45.75, 54.9), (27.45, 36.6), MINI),
    ("futsal", "adult", 40.0, 20.0, (25, 42), (15, 25), FUT),
    ("futsal", "international", 40.0, 20.0, (38, 42), (18, 25), FUT),
    ("rugby-union", "adult", 100.0, 70.0, (94, 100), (68, 70), "World Rugby Law 1"),
    ("american-football", "professional", 360 * FT, 160 * FT, None, None, NFL),
    ("canadian-football", "professional", 110 * YD, 65 * YD, None, None, CFL),
    ("australian-football", "adult", 165.0, 135.0, (135, 185), (110, 155), AFL),
    ("gaelic-football", "adult", 140.0, 88.0, (130, 145), (80, 90), GAA),
    ("hurling", "adult", 140.0, 88.0, (130, 145), (80, 90), GAA),
    ("field-hockey", "adult", 91.4, 55.0, None, None, FIH),
    ("ice-hockey", "north-american", 200 * FT, 85 * FT, None, None, WHL),
    ("lacrosse", "men", 110 * YD, 60 * YD, None, None, LAX),
    ("lacrosse", "world", 110.0, 60.0, None, None, WL),
    ("basketball", "international", 28.0, 15.0, (26, 28), (14, 15), FIBA),
    ("basketball", "north-american", 94 * FT, 50 * FT, None, None, NBA),
    ("netball", "adult", 30.5, 15.25, None, None, NET),
    ("handball", "adult", 40.0, 20.0, None, None, IHF),
    ("volleyball", "any-match", 18.0, 9.0, None, None, FIVB),
    ("beach-volleyball", "any-match", 16.0, 8.0, None, None, "FIVB Beach Volleyball Rules, Rule 1"),
    ("tennis", "singles", 78 * FT, 36 * FT, None, None, ITF),
    ("badminton", "singles", 13.4, 6.1, None, None, BWF),
    ("cricket", "t20", 150.0, 140.0, (140 * YD, 180 * YD), None, "ICC playing conditions 19.1: 65 to 90 yd"),
    ("baseball", "adult", 400 * FT, None, None, None, OBR),
    ("softball", "women", 220 * FT, None, None, None, "Fastpitch women: fence 220 ft (67.06 m)"),
    ("ultimate", "grass", 100.0, 37.0, None, None, WFDF),
    ("water-polo", "men", 30.0, 20.0, (20, 30), (10, 20), "World Aquatics 2023, 1.2"),
    ("water-polo", "women", 25.0, 20.0, (20, 25), (10, 20), "World Aquatics 2023, 1.2"),
]  # fmt: skip

TARGETS = [  # width between the outermost uprights, height of the highest level bar (None: no bar), or of the top
    ("football", "adult", 7.32, 2.44, LOTG),
    ("football", "9v9", 16 * FT, 7 * FT, "FA Handbook 2016-17: 16 x 7 ft"),
    ("football", "7v7", 12 * FT, 6 * FT, "FA Handbook 2016-17: 12 x 6 ft"),
    ("futsal", "adult", 3.0, 2.0, FUT),
    ("rugby-union", "adult", 5.6, None, "World Rugby Law 1: posts 5.6 m apart, bar 3.0 m"),
    ("rugby-league", "adult", 5.5, None, RL),
    ("american-football", "professional", 18.5 * FT, None, NFL),
    ("american-football", "high-school", 23 * FT + 4 * IN, None, "High-school rules: 23 ft 4 in"),
    ("canadian-football", "professional", 18.5 * FT, None, CFL),
    ("australian-football", "adult", 3 * 6.4, None, AFL),
    ("gaelic-football", "adult", 6.5, None, GAA),
    ("field-hockey", "adult", 3.66, 2.14, FIH),
    ("ice-hockey", "international", 1.83, 1.22, IIHF),
    ("lacrosse", "men", 6 * FT, 6 * FT, LAX),
    ("handball", "adult", 3.0, 2.0, IHF),
    ("water-polo", "men", 3.0, 0.9, POLO),
    ("tennis", "singles", 36 * FT + 6 * FT, 1.07, ITF + ": posts 3 ft outside, 1.07 m"),
    ("badminton", "singles", 6.1, 1.55, BWF),
    ("cricket", "t20", 9 * IN, 28 * IN, "MCC Law 8: wicket 9 in wide, 28 in high"),
]  # fmt: skip


@cache
def sport_at(key, preset):
    return load_sport(key, preset=preset)


def measured(sport, name, measure, about=None):
    shapes = [m.shape for m in sport.area.markings if m.name == name]
    assert shapes, f"{sport.key}: no marking {name!r}"
    xy = np.abs(shapely.get_coordinates(shapes))
    end = sport.area.length_m / 2
    match measure:
        case "depth":
            return end - xy[:, 0].min()
        case "far":
            return xy[:, 0].max()
        case "near":
            return xy[:, 0].min()
        case "half_width":
            return xy[:, 1].max()
        case "line_x" | "line_y":
            values = xy[:, "xy".index(measure[-1])]
            assert np.ptp(values) < 1e-6
            return values[0]
        case "radius":
            centre = (end - about[1], about[2]) if about[0] == "end" else about
            distances = np.hypot(xy[:, 0] - centre[0], xy[:, 1] - centre[1])
            assert np.ptp(distances) < 0.005
            return distances.mean()


@pytest.mark.parametrize("row", MARKS, ids=lambda row: f"{row[0]}-{row[1]}-{row[2]}-{row[3]}")
def test_marking_is_as_the_laws_print_it(row):
    key, preset, name, measure, expected, _source, *about = row
    assert measured(sport_at(key, preset), name, measure, *about) == pytest.approx(expected, abs=0.0051)


@pytest.mark.parametrize("row", AREAS, ids=lambda row: f"{row[0]}-{row[1]}")
def test_size_and_range_are_as_the_laws_print_them(row):
    key, preset, length, width, lengths, widths, _source = row
    sport = sport_at(key, preset)
    assert sport.area.length_m == pytest.approx(length, abs=0.0051)
    assert width is None or sport.area.width_m == pytest.approx(width, abs=0.0051)
    assert lengths is None or sport.length_range_m == pytest.approx(lengths, abs=0.06)
    assert widths is None or sport.width_range_m == pytest.approx(widths, abs=0.06)


@pytest.mark.parametrize("row", TARGETS, ids=lambda row: f"{row[0]}-{row[1]}")
def test_target_is_as_the_laws_print_it(row):
    key, preset, width, height, _source = row
    points = np.concatenate([np.array(bar) for target in sport_at(key, preset).area.targets for bar in target.bars])
    assert np.ptp(points[:, 1]) == pytest.approx(width, abs=0.0051)
    assert height is None or points[:, 2].max() == pytest.approx(height, abs=0.0051)


@pytest.mark.parametrize(
    ("key", "preset", "bar_height"),
    [
        ("rugby-union", "adult", 3.0), ("rugby-league", "adult", 3.0),  # World Rugby Law 1; rugby league guide
        ("american-football", "professional", 10 * FT),  # rule books of 2021
        ("canadian-football", "professional", 10 * FT),
        ("gaelic-football", "adult", 2.5), ("hurling", "adult", 2.5),  # GAA Official Guide 2016, Rule 1
    ],
)  # fmt: skip
def test_crossbar_height(key, preset, bar_height):
    bars = [np.array(bar) for target in sport_at(key, preset).area.targets for bar in target.bars]
    level = [bar[0, 2] for bar in bars if np.ptp(bar[:, 2]) == 0 and np.ptp(bar[:, 1]) > 3]
    assert level
    assert level == pytest.approx([bar_height] * len(level), abs=0.0051)


@pytest.mark.parametrize(
    ("key", "preset", "ring_height", "out"),
    [
        ("basketball", "international", 3.05, 1.575),  # FIBA Official Basketball Rules, Basketball Equipment
        ("basketball", "north-american", 10 * FT, 5.25 * FT),  # professional rules 2021-22, Rule 1
        ("netball", "adult", 3.05, 0.15 + 0.38 / 2),  # netball: ring of 380 mm, 150 mm out from the post
    ],
)
def test_ring(key, preset, ring_height, out):
    sport = sport_at(key, preset)
    rings = [np.array(bar) for target in sport.area.targets for bar in target.bars if len(bar) > 20]
    assert len(rings) == 2
    for ring in rings:
        assert ring[:, 2] == pytest.approx(ring_height, abs=0.0051)
        assert sport.area.length_m / 2 - abs(ring[:-1, 0].mean()) == pytest.approx(out, abs=0.0051)


def test_three_point_arc_meets_its_straight():
    # FIBA Official Basketball Rules, court diagram: 2.99 m from the end line; they meet at a shallow angle
    assert measured(sport_at("basketball", "international"), "three-point straight", "depth") == pytest.approx(
        2.99, abs=0.01
    )


def test_oval_and_fan_are_true_shapes():
    oval = sport_at("australian-football", "adult").area
    # the boundary meets both behind posts (9.6 m off the middle of the goal line); Laws of Australian football
    assert shapely.Point(82.5, 9.6).distance(oval.outline.boundary) < 0.05
    assert oval.outline.area == pytest.approx(np.pi * 82.5 * 67.5, rel=0.01)
    park = sport_at("baseball", "adult").area.outline
    # fence 320 ft along the foul lines and 400 ft to centre field: Official Baseball Rules 2.01
    for angle, reach in ((45, 320 * FT), (0, 400 * FT), (-45, 320 * FT)):
        tip = (reach * np.cos(np.radians(angle)), reach * np.sin(np.radians(angle)))
        assert shapely.Point(tip).distance(park.boundary) < 0.01
    rink = sport_at("ice-hockey", "international").area.outline
    assert rink.area == pytest.approx(60 * 30 - (4 - np.pi) * 8.5**2, rel=1e-3)  # corners of 8.5 m radius
