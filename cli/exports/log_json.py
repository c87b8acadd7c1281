"""A log beside its plan as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from standmark.optimizer.scoring.logs.held_to_promise import Outcome
from standmark.optimizer.scoring.logs.promise import PlannedMatch

SCHEMA = "standmark.log/1"


def log_document(outcomes: Sequence[Outcome], planned: PlannedMatch) -> dict[str, Any]:
    """Lay out what was promised and got; shares are numbers from 0 to 1."""
    return {
        "schema": SCHEMA,
        "plan": planned.digest,
        "sport": planned.match.sport.key,
        "outcomes": [
            {
                "camera": o.camera,
                "moment": o.moment,
                "happened": o.happened,
                "got": o.got,
                "promised": None if o.promised is None else round(o.promised, 6),
                "interval": [round(limit, 6) for limit in o.interval],
                "as_promised": o.is_as_promised if o.promised is not None else None,
                "why": dict(o.why),
                "cause": o.cause,
            }
            for o in outcomes
        ],
    }
