"""The order of a match against the laws: playing time, breaks and toss, and real lengths as counted by the watch.

Published figures stand with their source; those marked memory are what the laws are remembered to say.
"""

from functools import cache

import pytest

from standmark.sports.library import load_sport, sport_keys
from standmark.sports.timeline import period_starts_min

MEMORY = "from memory"
# sport, preset, unit, parts, each, breaks by the watch between the parts [min], source
LAWS = [
    ("football", "adult", "minutes", 2, 45, (15,), MEMORY + ": Law 7"),
    ("football", "9v9", "minutes", 2, 30, (10,), MEMORY),
    ("football", "7v7", "minutes", 2, 25, (10,), MEMORY),
    ("futsal", "adult", "minutes", 2, 20, (15,), MEMORY + ": Law 7"),
    ("rugby-union", "adult", "minutes", 2, 40, (15,), MEMORY + ": Law 5, at most 15"),
    ("rugby-league", "adult", "minutes", 2, 40, (15,), MEMORY),
    ("rugby-sevens", "standard", "minutes", 2, 7, (2,), "Sevens rules pages: 7 min halves, 2 min break"),
    ("american-football", "professional", "minutes", 4, 15, (2, 15, 2), MEMORY),
    ("american-football", "high-school", "minutes", 4, 12, (2, 20, 2), MEMORY),
    ("canadian-football", "professional", "minutes", 4, 15, (2, 15, 2), MEMORY),
    ("australian-football", "adult", "minutes", 4, 20, (6, 20, 6), "Quarters of 20 min plus time on; breaks 6, 20, 6"),
    ("cricket", "t20", "overs", 2, 20, (20,), "IPL match playing conditions 2014, law 16: interval of 20 min"),
    ("cricket", "one-day", "overs", 2, 50, (40,), MEMORY),
    ("field-hockey", "adult", "minutes", 4, 15, (2, 10, 2), "Four quarters of 15 min since 2019, breaks 2 and 10 min"),
    ("gaelic-football", "adult", "minutes", 2, 35, (15,), MEMORY),
    ("gaelic-football", "club", "minutes", 2, 30, (12,), MEMORY),
    ("hurling", "adult", "minutes", 2, 35, (15,), "Hurling statistics collection: 70 min"),
    ("handball", "adult", "minutes", 2, 30, (12,), "EHF Euro 2022, 65 matches: half-time 11.9 min, median"),
    ("ice-hockey", "international", "minutes", 3, 20, (15, 15), "IIHF Official Rule Book 2023/24"),
    ("basketball", "international", "minutes", 4, 10, (2, 15, 2), MEMORY + ": FIBA article 8"),
    ("basketball", "north-american", "minutes", 4, 12, (2, 15, 2), MEMORY),
    ("lacrosse", "men", "minutes", 4, 15, (2, 10, 2), MEMORY),
    ("netball", "adult", "minutes", 4, 15, (4, 12, 4), MEMORY),
    ("water-polo", "men", "minutes", 4, 8, (2, 5, 2), "Water polo form: 4 x 8 min"),
    ("volleyball", "any-match", "sets", 1, 5, (3, 3, 3, 3), "FIVB Official Volleyball Rules 2021-2024"),
    ("beach-volleyball", "any-match", "sets", 1, 3, (1, 1), "Beach volleyball tournament rules page (2016)"),
    ("badminton", "singles", "sets", 1, 3, (2, 2), MEMORY + ": intervals of 60 s at 11, 120 s between games"),
    ("tennis", "singles", "sets", 1, 3, (2, 2), "Work and rest in tennis: 90 s changeover, 120 s set break"),
    ("baseball", "adult", "innings", 1, 9, (3, 3), MEMORY),
    ("softball", "women", "innings", 1, 7, (3,), MEMORY),
    ("ultimate", "grass", "points", 1, 15, (7,), "WFDF Rules of Ultimate 2025-2028"),
]
# Whole matches by the watch, or a part: sport, preset, what, lowest and highest [min], source.
# "play": all periods without the breaks between them; "whole": with them; else the key of a period
REAL = [
    ("football", "adult", "play", 94.5, 97, "1,941 matches: both halves 95.1 min to the last event"),
    ("handball", "adult", "first-half", 39.8, 40.8, "65 matches: 40.3 min, median"),
    ("handball", "adult", "second-half", 43, 44, "65 matches: 43.5 min, median"),
    ("hurling", "adult", "play", 77, 78, "29 matches: 77.5 min"),
    ("gaelic-football", "adult", "play", 75, 75, "ball in play 34.6 min of 75, 2011"),
    ("rugby-union", "adult", "whole", 100, 120, MEMORY),
    ("rugby-sevens", "standard", "whole", 17, 20, MEMORY),
    ("cricket", "t20", "first-innings", 85, 90, "playing conditions 2014: 85 min of play and two time-outs"),
    ("cricket", "one-day", "first-innings", 209, 211, "14.28 overs an hour"),
    ("baseball", "adult", "whole", 156, 162, "2 h 38 to 2 h 40 in 2023"),
    ("softball", "women", "whole", 80, 150, MEMORY),
    ("ice-hockey", "international", "whole", 140, 155, MEMORY),
    ("volleyball", "any-match", "whole", 66, 149, "six matches of four and five sets, first to last serve"),
    ("beach-volleyball", "any-match", "whole", 30, 64, "28,607 matches of the World Tour"),
    ("tennis", "singles", "set-1", 46, 48, "111 min over 2.37 sets"),
    ("basketball", "international", "whole", 110, 140, MEMORY),
    ("australian-football", "adult", "quarter-1", 30, 30, "quarter by the watch 30 min"),
    ("futsal", "adult", "play", 70, 80, MEMORY),
    ("water-polo", "men", "play", 55, 70, MEMORY),
]


# Dead time of play: sport, which, lowest and highest [s], source
STOPS = [
    ("football", "before a throw-in", 8.3, 8.3, "1,941 matches, median"),
    ("football", "before a goal kick", 21.1, 21.1, "1,941 matches, median"),
    ("football", "before a corner", 20.6, 20.6, "1,941 matches, median"),
    ("football", "before a crossed free kick", 40.4, 40.4, "1,941 matches, median"),
    ("football", "before a free kick at goal", 60.4, 60.4, "1,941 matches, median"),
    ("football", "before a penalty kick", 67.8, 67.8, "1,941 matches, median"),
    ("american-football", "from snap to snap while the clock runs", 37, 37, "132 matches of the post-season, median"),
    ("rugby-union", "before a lineout at most", 30, 30, "law changes of 2024"),
    ("rugby-union", "from the whistle for a scrum until the ball is out", 41, 53, "tests about 2010"),
    ("rugby-union", "before a kick at goal at most", 60, 60, "law changes of 2024"),
    ("rugby-league", "at a play-the-ball", 3.6, 3.6, "164 matches of 2023, mean"),
    ("cricket", "between overs at most", 60, 60, "white-ball internationals since 2024"),
    ("baseball", "between pitches at most, bases empty", 15, 15, "timer of 2023"),
    ("baseball", "between batters at most", 30, 30, "timer of 2023"),
    ("volleyball", "from serve to serve", 26, 32, "six matches, median"),
    ("volleyball", "after a rally, time-outs and replays included", 35.3, 35.3, "2,392 phases, mean"),
    ("beach-volleyball", "after a rally", 33.8, 33.8, "2,392 phases, mean"),
    ("tennis", "between points", 18.8, 18.8, "24 matches of Wimbledon 2017"),
    ("tennis", "at a change of ends at most", 90, 90, "rest times by rule"),
    ("badminton", "from the last stroke to the next serve", 22, 23, "shuttle data, median"),
    (
        "gaelic-football",
        "before a free at goal, from the whistle to the kick",
        26,
        96,
        "one provincial final, 16 kicks",
    ),
]


@cache
def sport_of(key, preset):
    return load_sport(key, preset=preset)


def breaks_of(sport):
    """Breaks between periods and timed pauses inside them, in order of time [min]."""
    starts = dict(zip((p.key for p in sport.periods), period_starts_min(sport.periods), strict=True))
    between = [(starts[p.key] + p.minutes, p.break_after_min) for p in sport.periods[:-1]]
    inside = [(starts[p.period] + p.after_min, p.minutes) for p in sport.order.pauses if p.after_min is not None]
    return tuple(minutes for _, minutes in sorted(between + inside))


@pytest.mark.parametrize(("key", "preset", "unit", "parts", "each", "breaks", "source"), LAWS)
def test_playing_time_and_breaks_are_those_of_the_laws(key, preset, unit, parts, each, breaks, source):
    sport = sport_of(key, preset)
    clock = sport.order.clock
    assert (clock.unit, clock.parts, clock.each) == (unit, parts, each), source
    found = breaks_of(sport)
    if key == "cricket" and preset == "one-day":
        found = tuple(minutes for minutes in found if minutes > 4)  # drinks come on top
    assert found == breaks, source
    if unit == "minutes":
        assert sum(period.parts for period in sport.periods) == parts
        played_min = sum(period.minutes for period in sport.periods)
        inside_min = sum(p.minutes for p in sport.order.pauses if p.after_min is not None)
        assert played_min - inside_min >= parts * each, "by the watch no match is shorter than by its clock"


@pytest.mark.parametrize(("key", "preset", "what", "low", "high", "source"), REAL)
def test_real_lengths(key, preset, what, low, high, source):
    periods = sport_of(key, preset).periods
    minutes = {period.key: period.minutes for period in periods}
    minutes["play"] = sum(period.minutes for period in periods)
    minutes["whole"] = period_starts_min(periods)[-1] + periods[-1].minutes
    assert low <= minutes[what] <= high, source


@pytest.mark.parametrize(("key", "name", "low", "high", "source"), STOPS)
def test_dead_time_of_play(key, name, low, high, source):
    seconds = {stop.name: stop.seconds for stop in load_sport(key).order.stops}
    assert low <= seconds[name] <= high, source


@pytest.mark.parametrize("key", sport_keys())
def test_every_sport_says_its_order(key):
    sport = load_sport(key)
    assert sport.order.clock is not None
    if key not in ("ice-hockey", "baseball", "basketball"):  # the home side is named, or a ball is thrown up
        assert sport.order.toss is not None
        assert sport.order.toss.where
    for entry in (sport.order.clock, sport.order.toss, sport.order.overtime, *sport.order.pauses, *sport.order.stops):
        assert entry is None or entry.source in sport.sources
    can_be_level = key not in ("badminton", "beach-volleyball", "tennis", "volleyball", "ultimate")
    assert (sport.order.overtime is not None) == can_be_level


def test_cricket_tosses_when_its_law_says():
    # Law 13.4: not earlier than 30 and not later than 15 minutes before the start, on the field of play.
    toss = load_sport("cricket").order.toss
    assert 15 <= toss.before_min <= 30
    assert toss.where.startswith("on the field of play")
