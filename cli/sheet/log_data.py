"""What the page needs to count after the match: the moments that the plan speaks of, worth most first."""

from __future__ import annotations

from typing import Any

from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.input.logged_plan import plan_digest
from standmark.optimizer.planning import Plan


def log_data(plan: Plan) -> dict[str, Any]:
    """Lay out moments, periods, ends and cameras; the digest ties the counts to this plan."""
    match = plan.match
    told = {key for period in plan.periods for a in period.assignments for key in a.seen_by_moment}
    moments = [m for m in match.sport.moments if m.key in told]
    moments.sort(key=lambda m: -m.rate_per_match * m.importance)
    return {
        "digest": plan_digest(plan_bytes(plan)),
        "cameras": [camera.name for camera in match.cameras],
        "periods": [period.period.name for period in plan.periods],
        "ends": [match.venue.side_names["+x"], match.venue.side_names["-x"]],
        "moments": [{"name": m.name, "sided": m.sided} for m in moments],
    }
