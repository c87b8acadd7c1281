"""Plans in the formats of other programs: maps, waypoints, spreadsheets, calendars.

For Python: `plan_bytes` (plan.json), `spots_csv`, `duties_csv`, `geojson_bytes` and `gpx_bytes`. A name is imported
when it is first asked for.
"""

from typing import TYPE_CHECKING

from standmark.geometry.lazy_names import lazy_names

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

__getattr__, __dir__ = lazy_names(__name__, HOMES)
