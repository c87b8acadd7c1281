"""Lines of action on a drawing of the ground: the one along it, and those of moments that differ or are crossed."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from standmark.cli.drawing.ground import Ground
from standmark.cli.drawing.labels import Label
from standmark.cli.drawing.marks import Line, Mark
from standmark.cli.words.moments import moment_words
from standmark.optimizer.match.match import Match
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.optimizer.work.line_of_action import NEUTRAL_DEG, ActionLine, Course

LABEL_MM = 3.2  # 9 points
REACH_SHARE = 0.055  # of the length of the ground: half a moment's own line
MIDDLE_SHARE = 0.15  # of its width: a line along the ground this near to the middle is the one through it
MOST_NAMED = 2


def has_lines(match: Match) -> bool:
    """Are lines of action drawn: several cameras, and the match asks to keep to one side or to say so."""
    return len(match.cameras) > 1 and match.rules.same_side != "off"


def action_marks(period: PeriodPlan, match: Match, ground: Ground) -> Iterator[Mark]:
    """Draw the line along the ground that most moments share, and each moment's own where it runs another way.

    Moments that two cameras take from opposite sides have theirs in a stronger line, whichever way it runs.
    """
    if not has_lines(match):
        return
    low_x, low_y, high_x, high_y = match.sport.area.outline.bounds
    ends = np.array([[low_x, (low_y + high_y) / 2], [high_x, (low_y + high_y) / 2]])
    if any(_is_along(course, match) for line in period.lines for course in line.courses):
        yield Line("action", (ground.place(ends),))
    for line in period.lines:
        style = "crossed" if line.crossed_by else "action"
        for course in line.courses:
            is_inside = match.sport.area.outline.intersects(shapely.Point(course.middle_m))
            if is_inside and (line.crossed_by or not _is_along(course, match)):
                yield Line(style, (ground.place(_ends(course, match)),))


def action_labels(period: PeriodPlan, match: Match, ground: Ground) -> list[Label]:
    """Name the weightiest moments that cameras take from opposite sides, each once."""
    if not has_lines(match):
        return []
    named: dict[str, ActionLine] = {}
    for line in sorted(period.lines, key=lambda line: -line.weight):
        inside = [match.sport.area.outline.intersects(shapely.Point(c.middle_m)) for c in line.courses]
        if line.crossed_by and all(inside):
            named.setdefault(line.moment, line)
    moments = {moment.key: moment for moment in match.sport.moments}
    labels = []
    for line in list(named.values())[:MOST_NAMED]:
        pairs = " and ".join(f"{a}, {b}" for a, b in line.crossed_by)
        said = f"{moment_words(match.sport, moments[line.moment]).plural}: {pairs}"
        x, y = ground.point(*line.courses[len(line.courses) // 2].middle_m)
        labels.append(Label(x, y, (("quiet", said), ("quiet", "on opposite sides")), LABEL_MM, 1.0))
    return labels


def _is_along(course: Course, match: Match) -> bool:
    _, low_y, _, high_y = match.sport.area.outline.bounds
    off_m = abs(course.middle_m[1] - (low_y + high_y) / 2)
    return abs(math.sin(course.way_rad)) < math.sin(math.radians(NEUTRAL_DEG)) and off_m < MIDDLE_SHARE * (
        high_y - low_y
    )


def _ends(course: Course, match: Match) -> np.ndarray:
    reach = REACH_SHARE * match.sport.area.length_m * np.array([math.cos(course.way_rad), math.sin(course.way_rad)])
    return np.array([np.array(course.middle_m) - reach, np.array(course.middle_m) + reach])
