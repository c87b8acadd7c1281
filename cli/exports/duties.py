"""Who does what as a table for a spreadsheet: a row for each period, kind of moment and end."""

from __future__ import annotations

from standmark.cli.exports.spreadsheet import csv_rows
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.work.assignment import PeriodPlan
from standmark.optimizer.work.duty import Duty

COLUMNS = (
    "period", "moment", "name", "must", "toward", "weight", "captured", "faces", "camera", "second", "second_angle",
    "angle_deg", "wide", "tight", "crosses_line",
)  # fmt: skip


def duties_csv(plan: Plan) -> bytes:
    """Write the duties of every period; shares are numbers from 0 to 1."""
    rows = [_row(plan.match, period, duty) for period in plan.periods for duty in period.duties]
    return csv_rows([COLUMNS, *rows])


def _row(match: Match, period: PeriodPlan, duty: Duty) -> tuple[object, ...]:
    moment = next(m for m in match.sport.moments if m.key == duty.moment)
    return (
        period.period.name,
        duty.moment,
        moment.name,
        moment.must,
        None if duty.attack is None else match.venue.side_names[duty.attack],
        round(duty.weight, 6),
        round(duty.seen, 6),
        round(duty.faces, 6),
        duty.primary,
        duty.second,
        round(duty.second_angle, 6),
        None if duty.angle_deg is None else round(duty.angle_deg, 1),
        duty.wide,
        duty.tight,
        duty.crosses_line,
    )
