"""Positions as KML 2.2 placemarks (OGC 12-007r2), for maps on a phone or a desk."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Sequence

from standmark.cli.exports.earth import place_on_earth
from standmark.cli.exports.gpx import wanted_places
from standmark.cli.words.naming import place_words
from standmark.optimizer.picture.stretch import WHOLE, Stretch, plan_stretches
from standmark.optimizer.planning import Plan

NAMESPACE = "http://www.opengis.net/kml/2.2"


def kml_bytes(plan: Plan, stretches: Sequence[Stretch] | None = None) -> bytes:
    """Write a placemark for every camera and place it takes, and one for each fallback; a place once.

    Parameters
    ----------
    stretches : of the plan, if they are known already
    """
    stretches = plan_stretches(plan) if stretches is None else stretches
    root = ET.Element("kml", xmlns=NAMESPACE)
    document = ET.SubElement(root, "Document")
    ET.SubElement(document, "name").text = _plain(plan.match.title)
    for (label, spot, lens), names in wanted_places(plan, stretches).items():
        when = WHOLE if len(names) == len(stretches) else ", ".join(names)
        latitude, longitude = place_on_earth(plan.match.venue, spot.x_m, spot.y_m)
        mark = ET.SubElement(document, "Placemark")
        ET.SubElement(mark, "name").text = _plain(f"{label}, {when.lower()}")
        ET.SubElement(mark, "description").text = _plain(f"{place_words(spot, plan.match)}; {lens}")
        point = ET.SubElement(mark, "Point")
        ET.SubElement(point, "coordinates").text = f"{longitude:.7f},{latitude:.7f}"
    ET.indent(root)
    return bytes(ET.tostring(root, encoding="utf-8", xml_declaration=True)) + b"\n"


def _plain(text: str) -> str:
    """Leave out what XML 1.0 does not allow in a text."""
    return "".join(
        c for c in text if c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c > "\uffff"
    )
