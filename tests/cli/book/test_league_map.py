"""The map of a league: distances true, north up, also across the 180th meridian and for a single ground."""

import math

import pytest
from geographiclib.geodesic import Geodesic

from standmark.cli.book.league_map import Pin, chart_html, league_chart


def pin(code, latitude, longitude):
    return Pin(code, code, latitude, longitude, False)


@pytest.mark.parametrize(("latitude", "longitude"), [(52, -1), (-17, 179.9), (-17, -179.9), (0, 0), (65, 25)])
def test_distances_are_to_scale(latitude, longitude):
    """Against geodesics on WGS 84, within half a per cent and the flattening of the ellipsoid."""
    away = [Geodesic.WGS84.Direct(latitude, longitude, azimuth, 30_000) for azimuth in (0, 90, 180, 270)]
    pins = [pin("MID", latitude, longitude)] + [pin(f"P{i}", d["lat2"], d["lon2"]) for i, d in enumerate(away)]
    chart = league_chart(pins, width_mm=100.0)
    placed = {p.code: (x, y) for p, x, y in chart.pins}
    x0, y0 = placed["MID"]
    mm = [math.hypot(placed[f"P{i}"][0] - x0, placed[f"P{i}"][1] - y0) for i in range(4)]
    assert max(mm) / min(mm) == pytest.approx(1, abs=0.012)
    assert placed["P0"][1] < y0 < placed["P2"][1]  # north is up
    assert placed["P3"][0] < x0 < placed["P1"][0]  # east is right


def test_scale_bar_tells_the_truth():
    chart = league_chart([pin("A", 50.0, 5.0), pin("B", 51.0, 5.0)], width_mm=100.0)
    (_, ax, ay), (_, bx, by) = chart.pins
    mm_per_km = math.hypot(ax - bx, ay - by) / (Geodesic.WGS84.Inverse(50, 5, 51, 5)["s12"] / 1000)
    words = next(m.text for m in chart.picture.marks if hasattr(m, "text") and "km" in m.text)
    bar = next(m for m in chart.picture.marks if m.style == "scale-dark")
    length_mm = bar.rings[0][:, 0].max() - bar.rings[0][:, 0].min()
    assert length_mm / float(words.split()[0]) == pytest.approx(mm_per_km, rel=0.005)


def test_one_ground_is_a_map_too():
    chart = league_chart([pin("ONE01", 40.0, 10.0)], width_mm=100.0)
    (_, x, y) = chart.pins[0]
    assert 0 < x < 100
    assert 0 < y < chart.picture.height_mm


def test_links_are_escaped():
    html = chart_html(league_chart([Pin("ABC01", '<b>"&', 40.0, 10.0, True)], width_mm=100.0))
    assert "<b>" not in html
    assert 'href="grounds/abc01.html"' in html
