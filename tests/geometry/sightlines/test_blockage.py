import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.geometry.sightlines.blockage import clear_share, crowd_round, low_stretch_m, swept_area_m2
from standmark.geometry.view.facing import toward_lens
from standmark.geometry.view.line_of_sight import lines_of_sight

WIDTH, HEIGHT = 0.5, 1.8
R = WIDTH / 2


def clear(
    camera,
    target,
    *,
    crowd_per_m2,
    crowd_radius_m,
    beyond_per_m2=0.0,
    dtype=np.float64,
    lean=0.0,
    facing_rad=0.0,
    **given,
):
    crowd = crowd_round(crowd_per_m2, crowd_radius_m, beyond_per_m2=beyond_per_m2, lean=lean)
    sight = lines_of_sight(camera, target, dtype=dtype)
    return clear_share(sight, crowd, toward=toward_lens(sight, facing_rad), **given)


def area_m2(start, stop, radius):
    return swept_area_m2(start, stop, reach_m=np.maximum(radius, WIDTH), body_width_m=WIDTH)


def stretch(distance, lens, point):
    start, stop = low_stretch_m(
        np.atleast_2d(distance), np.atleast_2d(lens), point_z_m=np.atleast_1d(point), body_height_m=np.array(HEIGHT)
    )
    return np.zeros_like(stop) if start is None else start, stop


def region(start, stop, radius):
    """The blocking region built by shapely with arcs of 512 corners to the quarter."""
    stretch = shapely.LineString([(start, 0), (stop, 0)]).buffer(R, 512)
    disc, own = (shapely.Point(0, 0).buffer(r, 512) for r in (radius, WIDTH))
    return stretch.intersection(disc).difference(own)


@given(st.floats(0, 12), st.floats(0.001, 15), st.floats(0.1, 12))
@settings(max_examples=150, deadline=None)
def test_swept_area_matches_polygons(start, length, radius):
    expected = region(start, start + length, radius).area
    got = area_m2(start, start + length, radius)
    # inscribed corners lose at most 1e-6 of a disc's area
    assert got == pytest.approx(expected, abs=2e-6 * (1 + radius**2) * np.pi)


@pytest.mark.parametrize(
    "s", [0.0, R, np.sqrt(WIDTH**2 - R**2), WIDTH, WIDTH + R, 4 - R, np.sqrt(16 - R**2), 4.0, 4 + R]
)
def test_swept_area_where_arcs_touch(s):
    for start, stop in [(0.0, s), (s, s + 1.0), (s, 9.0)]:
        if stop > start:
            got = area_m2(start, stop, 4.0)
            assert got == pytest.approx(region(start, stop, 4.0).area, abs=2e-4)


def test_ray_over_every_head_is_never_blocked():
    start, stop = stretch(20.0, 3.0, 1.9)
    assert start == stop
    assert area_m2(start, stop, 10.0) == 0.0


@pytest.mark.parametrize(
    ("lens", "point", "expected"),
    [(1.0, 1.0, (0, 20)), (5.0, 1.0, (0, 4)), (1.0, 2.0, (4, 20)), (1.8, 1.8, (20, 20)), (0.5, 1.8, (0, 20))],
)
def test_low_stretch(lens, point, expected):
    assert np.ravel(stretch(20.0, lens, point)) == pytest.approx(expected)


def simulated(camera, target, subject, density, radius, n_worlds, seed, *, lean=0.0, facing_rad=0.0):
    """Throw bodies, cut rays with shapely discs: the model without any of its formulas."""
    rng = np.random.default_rng(seed)
    feet = target[2] - subject / 2
    free = 0
    for _ in range(n_worlds):
        n = rng.poisson(density * (1 + abs(lean)) * np.pi * radius**2)
        r, a = radius * np.sqrt(rng.uniform(size=n)), rng.uniform(0, 2 * np.pi, n)
        kept = rng.uniform(size=n) * (1 + abs(lean)) < 1 + lean * np.cos(a - facing_rad)
        r, a = r[kept], a[kept]
        xy = np.column_stack([r * np.cos(a), r * np.sin(a)])[r >= WIDTH] + target[:2]
        z = feet + subject * rng.uniform()
        s = np.array([0.0, 1.0])
        if z > HEIGHT or camera[2] > HEIGHT:
            cut = (HEIGHT - z) / (camera[2] - z)
            s = np.array([0.0, cut]) if z < HEIGHT else np.array([cut, 1.0])
        line = shapely.LineString(np.asarray(target[:2]) + s[:, None] * (np.asarray(camera[:2]) - target[:2]))
        never_low = z > HEIGHT and camera[2] > HEIGHT
        free += never_low or not shapely.intersects(shapely.points(xy).reshape(-1), line.buffer(R)).any()
    return free / n_worlds


@pytest.mark.parametrize(
    ("camera", "target", "subject", "density", "radius"),
    [
        ((25, 10, 1.2), (0, 0, 0.9), 1.8, 0.12, 6.0),  # low lens, outside the crowd
        ((25, 10, 8.0), (0, 0, 0.9), 1.8, 0.30, 6.0),  # high lens
        ((3, 1, 1.6), (0, 0, 0.9), 1.8, 0.20, 6.0),  # lens inside the crowd
        ((12, 0, 1.0), (0, 0, 2.4), 1.8, 0.30, 4.0),  # jumping subject, low lens
    ],
)
def test_clear_share_matches_simulation(camera, target, subject, density, radius):
    n = 2500
    got = clear(
        [camera],
        [target],
        subject_m=subject,
        crowd_per_m2=density,
        crowd_radius_m=radius,
        feet_m=target[2] - subject / 2,
    )[0, 0]
    expected = simulated(camera, target, subject, density, radius, n, seed=7)
    assert got == pytest.approx(expected, abs=4 * np.sqrt(expected * (1 - expected) / n) + 2e-3)


@pytest.mark.parametrize(
    ("lean", "facing_deg", "lens_z", "feet"),
    [(0.4, 0, 1.7, 0.0), (1.0, 30, 1.2, 0.0), (1.0, 180, 1.7, 0.0), (-0.7, 60, 5.0, 0.0), (1.0, 20, 1.2, 1.0)],
)
def test_a_crowd_that_leans_matches_simulation(lean, facing_deg, lens_z, feet):
    """Defenders before the subject, or people behind it, seen from ahead, aside and behind."""
    camera, facing, n = (22.0, 5.0, lens_z), np.radians(facing_deg), 3000
    told = clear(
        [camera], [(0, 0, feet + 0.9)], subject_m=1.8, crowd_per_m2=0.2, crowd_radius_m=6.0,
        lean=lean, facing_rad=facing, feet_m=feet,
    )[0, 0]  # fmt: skip
    found = simulated(camera, (0, 0, feet + 0.9), 1.8, 0.2, 6.0, n, seed=3, lean=lean, facing_rad=facing)
    # the strip is narrow but not a line: near the subject its people stand a little aside of the lens
    assert found == pytest.approx(told, abs=4 * np.sqrt(told * (1 - told) / n) + 0.01)


def test_a_lean_only_turns_people_round_the_subject():
    angle = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    ring = np.column_stack([20 * np.cos(angle), 20 * np.sin(angle), np.full(72, 1.2)])
    given = {"subject_m": 1.8, "crowd_per_m2": 0.1, "crowd_radius_m": 6.0}
    even = clear(ring, [(0, 0, 0.9)], **given)[:, 0]
    leaning = clear(ring, [(0, 0, 0.9)], lean=0.6, facing_rad=0.5, **given)[:, 0]
    assert np.log(leaning).mean() == pytest.approx(np.log(even).mean())
    assert abs(angle[leaning.argmin()] - 0.5) < 0.06


@given(st.floats(0, 7), st.floats(0, 7), st.floats(0.6, 5))
@settings(max_examples=200, deadline=None)
def test_short_cuts_for_whole_strips_are_the_swept_area(start, length, reach):
    """A lens under heads that sight past them at a subject in the air: the low stretch begins away from the subject."""
    # the ray from (0, z) to the lens at the far end falls under the heads after `start` metres
    stop = start + length + 1e-3
    subject_z, lens_z = HEIGHT + 1.0, HEIGHT - length / max(start, 1e-6) if start > 0.05 else 1.0
    if start <= 0.05 or lens_z < -50:
        return
    told = clear(
        [(stop, 0.0, lens_z)], [(0, 0, subject_z)], subject_m=1e-9, feet_m=subject_z,
        crowd_per_m2=0.2, crowd_radius_m=reach, beyond_per_m2=0.03,
    )[0, 0]  # fmt: skip
    crossing = stop * 1.0 / (subject_z - lens_z)
    inside = area_m2(crossing, stop, reach)
    every = area_m2(crossing, stop, stop + 2.0)
    assert told == pytest.approx(np.exp(-0.2 * inside - 0.03 * (every - inside)), abs=1e-9)


def test_a_leaping_subject_is_seen_over_heads():
    given = {"subject_m": 1.8, "crowd_per_m2": 0.3, "crowd_radius_m": 5.0}
    camera = [(12, 3, 1.6), (12, 3, 4.0)]
    standing, leaping, flying = (clear(camera, [(0, 0, 0.9)], feet_m=feet, **given)[:, 0] for feet in (0.0, 0.6, 1.81))
    assert np.all(leaping > standing + 0.05)
    assert np.all(flying > leaping)
    assert flying[1] == pytest.approx(1.0)  # all of it over the heads, and the lens as well


def test_height_quadrature_is_fine_enough():
    camera, target = np.array([[30.0, 0.0, z] for z in (0.5, 1.7, 2.5, 6.0, 15.0)]), np.array([[0.0, 0.0, 0.9]])
    crowd = {"crowd_per_m2": 0.4, "crowd_radius_m": 5.0}
    got = clear(camera, target, subject_m=1.8, **crowd)[:, 0]
    slices = (np.arange(2000) + 0.5) / 2000 * 1.8
    start, stop = stretch(np.full((5, 1), 30.0), camera[:, 2, None], slices)
    area = area_m2(start, stop, 5.0)
    np.testing.assert_allclose(got, np.exp(-0.4 * area).mean(axis=1), atol=2e-3)


def test_height_quadrature_on_average_and_at_worst():
    rng = np.random.default_rng(4)
    camera = np.column_stack([rng.uniform(-60, 60, (60, 2)), rng.uniform(1.9, 20, 60)])
    target = np.column_stack([rng.uniform(-50, 50, (40, 2)), np.full(40, 0.9)])
    crowd = {"crowd_per_m2": rng.uniform(0, 0.5, 40), "crowd_radius_m": rng.uniform(2, 10, 40)}
    got = clear(camera, target, subject_m=1.8, **crowd)
    slices = (np.arange(300) + 0.5)[:, None, None] / 300 * 1.8
    distance = np.hypot(*(camera[:, None, :2] - target[:, :2]).transpose(2, 0, 1))
    start, stop = stretch(distance, camera[:, 2, None], slices)
    free = np.exp(-crowd["crowd_per_m2"] * area_m2(start, stop, crowd["crowd_radius_m"])).mean(axis=0)
    assert np.abs(got - free).mean() < 0.002
    assert np.abs(got - free).max() < 0.02


def test_more_people_a_lower_lens_or_a_wider_crowd_never_help():
    target = np.array([[0.0, 0.0, 0.9]])
    camera = np.array([[20.0, 5.0, z] for z in np.linspace(0.5, 20.0, 30)])
    by_height = clear(camera, target, subject_m=1.8, crowd_per_m2=0.2, crowd_radius_m=5.0)[:, 0]
    assert np.all(np.diff(by_height) >= -1e-12)
    many = np.repeat(target, 20, axis=0)
    for crowd in (
        {"crowd_per_m2": np.linspace(0, 2, 20), "crowd_radius_m": 5.0},
        {"crowd_per_m2": 0.2, "crowd_radius_m": np.linspace(0, 30, 20)},
    ):
        row = clear(camera[:1], many, subject_m=1.8, **crowd)[0]
        assert row[0] == pytest.approx(1.0, abs=1e-15)
        assert np.all(np.diff(row) <= 1e-12)


def test_nobody_about_or_lens_straight_above():
    target = np.array([[0.0, 0.0, 0.9]])
    assert clear([(9, 0, 1)], target, subject_m=1.8, crowd_per_m2=0.0, crowd_radius_m=5.0) == pytest.approx(
        1.0, abs=1e-15
    )
    assert clear([(0, 0, 9)], target, subject_m=1.8, crowd_per_m2=0.5, crowd_radius_m=5.0) == pytest.approx(
        1.0, abs=1e-15
    )


@pytest.mark.parametrize("beyond", [0.0, 0.01])
def test_single_precision_is_close(beyond):
    rng = np.random.default_rng(3)
    camera = np.column_stack([rng.uniform(-60, 60, (40, 2)), rng.uniform(0.3, 15, 40)])
    target = np.column_stack([rng.uniform(-50, 50, (60, 2)), np.full(60, 0.9)])
    crowd = {"subject_m": 1.8, "crowd_per_m2": 0.2, "crowd_radius_m": rng.uniform(1, 8, 60), "beyond_per_m2": beyond}
    double = clear(camera, target, **crowd)
    single = clear(camera, target, dtype=np.float32, **crowd)
    assert single.dtype == np.float32
    np.testing.assert_allclose(single, double, atol=1e-5)


def test_players_further_off_block_a_long_low_look_and_not_a_high_one():
    # nobody near the subject; 0.002 people per m2 from 8 m on: a strip 0.5 m wide, 92 m long, round at the lens
    near = {"subject_m": 1.8, "crowd_per_m2": 0.0, "crowd_radius_m": 8.0}
    target = np.array([[0.0, 0.0, 0.9]])
    low = clear(np.array([[100.0, 0.0, 1.2]]), target, beyond_per_m2=0.002, **near)
    assert low[0, 0] == pytest.approx(np.exp(-0.002 * (0.5 * 92.0 + np.pi * R**2 / 2)), rel=1e-5)
    high = clear(np.array([[100.0, 0.0, 25.0]]), target, beyond_per_m2=0.002, **near)
    assert high[0, 0] == pytest.approx(1.0, abs=1e-3)  # the look is under 1.8 m high within 8 m of the subject only
    inside = clear(np.array([[7.0, 0.0, 1.2]]), target, beyond_per_m2=0.002, **near)
    assert inside[0, 0] == 1.0


def test_players_further_off_agree_with_a_simulation():
    rng = np.random.default_rng(11)
    density, reach, radius = 0.004, 60.0, 6.0
    free = 0
    for _ in range(4000):
        n = rng.poisson(density * (reach + 1) * 2)
        x, y = rng.uniform(-0.5, reach + 0.5, n), rng.uniform(-1, 1, n)
        outside = np.hypot(x, y) > radius
        nearest = np.hypot(x - np.clip(x, 0, reach), y)  # from the look, a stretch along x
        free += not (outside & (nearest < 0.25)).any()
    told = clear(
        np.array([[reach, 0.0, 1.0]]), np.array([[0.0, 0.0, 0.9]]),
        subject_m=1.8, crowd_per_m2=0.0, crowd_radius_m=radius, beyond_per_m2=density,
    )[0, 0]  # fmt: skip
    assert free / 4000 == pytest.approx(told, abs=3 * np.sqrt(told * (1 - told) / 4000))
