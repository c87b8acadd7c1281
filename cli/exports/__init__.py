"""Plans in the formats of other programs: maps, waypoints, spreadsheets, calendars.

For Python: `plan_bytes` (plan.json), `spots_csv`, `duties_csv`, `geojson_bytes` and `gpx_bytes`. A name is imported
when it is first asked for.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from standmark.cli.exports.advice_json import spots_csv
    from standmark.cli.exports.duties import duties_csv
    from standmark.cli.exports.geojson import geojson_bytes
    from standmark.cli.exports.gpx import gpx_bytes
    from standmark.cli.exports.plan_json import plan_bytes

__all__ = ["duties_csv", "geojson_bytes", "gpx_bytes", "plan_bytes", "spots_csv"]

HOMES = {
    "duties_csv": "duties",
    "geojson_bytes": "geojson",
    "gpx_bytes": "gpx",
    "plan_bytes": "plan_json",
    "spots_csv": "advice_json",
}


def __getattr__(name: str) -> Any:
    if name not in HOMES:
        raise AttributeError(f"module {__name__} has no attribute {name}; it has {', '.join(__all__)}")
    return getattr(import_module(f"{__name__}.{HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *HOMES})
