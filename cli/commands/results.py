"""Every picture and sheet that a plan becomes, as bytes; the same plan gives the same bytes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from standmark.cli.commands.plan import FILES
from standmark.cli.drawing.follow_card import cards_picture
from standmark.cli.drawing.height import height_picture
from standmark.cli.drawing.map_page import maps_picture
from standmark.cli.drawing.marks import Picture
from standmark.cli.drawing.paint import png_bytes
from standmark.cli.drawing.plan import plan_picture
from standmark.cli.drawing.svg import svg_document
from standmark.cli.exports.advice_json import spots_csv
from standmark.cli.exports.duties import duties_csv
from standmark.cli.exports.earth import has_place
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.sheet.content import sheet_content
from standmark.cli.sheet.html_sheet import sheet_html
from standmark.cli.sheet.paper_sheet import sheet_files
from standmark.cli.terminal.write_files import write_all
from standmark.cli.words.plan_sections import day_of, planned_cards_in
from standmark.cli.words.units import Units
from standmark.optimizer.picture.stretch import Stretch, plan_stretches
from standmark.optimizer.planning import Plan


def write_plan(
    plan: Plan, out: Path, *, units: Units = Units.METRIC, paper: str = "a4", force: bool = False
) -> list[str]:
    """Write everything that a plan becomes into a folder; files of an earlier plan that this one has not go.

    Returns
    -------
    names of the files
    """
    contents = {"plan.json": plan_bytes(plan), **drawn_files(plan, units=units, paper=paper, before=_old_calendar(out))}
    if plan.advice is not None:
        contents["spots.csv"] = spots_csv(plan.advice)
    write_all(out, contents, force=force, stale=(*FILES, *(path.name for path in out.glob("sheet-*.pdf"))))
    return list(contents)


def _old_calendar(out: Path) -> bytes | None:
    """Calendar file of an earlier plan in the folder; None where there is none."""
    path = out / "times.ics"
    return path.read_bytes() if path.is_file() else None


def drawn_files(
    plan: Plan, *, units: Units = Units.METRIC, paper: str = "a4", before: bytes | None = None
) -> dict[str, bytes]:
    """Draw a plan as pictures and sheets, and write it for maps, spreadsheets and calendars as far as it is known.

    Parameters
    ----------
    paper : "a4" or "letter"
    before : calendar file that is replaced, so that its entries are changed rather than doubled
    """
    stretches = plan_stretches(plan)
    content = sheet_content(plan, stretches, units=units)
    height, cards = height_picture(plan, units=units), cards_picture(plan, units=units)
    return {
        **picture_files({"plan": plan_picture(plan, stretches, units=units)}),
        "maps.svg": svg_document(maps_picture(plan, stretches)),
        **({} if height is None else {"height.svg": svg_document(height)}),
        **({} if cards is None else {"follow.svg": svg_document(cards)}),
        "sheet.html": sheet_html(content),
        **sheet_files(content, paper=paper),
        **export_files(plan, stretches, units=units, before=before),
    }


def export_files(
    plan: Plan, stretches: Sequence[Stretch], *, units: Units = Units.METRIC, before: bytes | None = None
) -> dict[str, bytes]:
    """Write duties, and positions and times where place and start are known."""
    files = {"duties.csv": duties_csv(plan)}
    if has_place(plan.match.venue):
        from standmark.cli.exports.geojson import geojson_bytes
        from standmark.cli.exports.gpx import gpx_bytes
        from standmark.cli.exports.kml import kml_bytes

        files |= {
            "positions.geojson": geojson_bytes(plan, stretches),
            "positions.gpx": gpx_bytes(plan, stretches),
            "positions.kml": kml_bytes(plan, stretches),
        }
    if plan.match.start is not None:
        from standmark.cli.exports.calendar_file import calendar_bytes

        cards = planned_cards_in(plan, units=units)
        day = day_of(plan, cards, units=units)
        files["times.ics"] = calendar_bytes(plan.match, (*day.deadlines, *day.times), before=before)
    return files


def picture_files(pictures: Mapping[str, Picture]) -> dict[str, bytes]:
    """Every picture as `NAME.png` and `NAME.svg`."""
    files: dict[str, bytes] = {}
    for name, picture in pictures.items():
        files |= {f"{name}.png": png_bytes(picture), f"{name}.svg": svg_document(picture)}
    return files
