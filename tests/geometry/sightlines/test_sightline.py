"""Sightlines against shapely: single rays on integer grids, where touching is common, and random scenes."""

import numpy as np
import pytest
import shapely
from engines import ENGINES, use
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from standmark.geometry.sightlines.occluder import Occluder
from standmark.geometry.sightlines.ray import subjects_of, traced_share
from standmark.geometry.sightlines.sightline import visible_share
from standmark.geometry.sightlines.wall import walls_of

ASIDE, NEAR, ROUND = 1e-7, 1e-4, 1e-9
grid = st.integers(-4, 4)
corner = st.tuples(grid, grid)


@pytest.fixture(autouse=True, params=ENGINES)
def engine(request, monkeypatch):
    """Everything here holds in numpy and in the compiled kernel."""
    use(request.param, monkeypatch)


def one_ray(lens, point, *occluders):
    """Share of a subject that is a single point."""
    return visible_share([lens], [point], subject_m=0.0, occluders=occluders, subject_width_m=0.0, height_cells=1)[0, 0]


def contacts(ray, footprint):
    """Stretches of a ray that lie on a footprint, as distances from the lens."""
    stretches = []
    for part in filter(None, shapely.get_parts(ray.intersection(footprint))):
        s = [ray.project(shapely.Point(c)) for c in shapely.get_coordinates(part)]
        stretches.append([min(s), max(s)])
    merged = []
    for first, last in sorted(stretches):
        if merged and first <= merged[-1][1] + ROUND:
            merged[-1][1] = max(last, merged[-1][1])
        else:
            merged.append([first, last])
    return merged


def wall_layers(lens, point, wall):
    """How often a ray crosses a line wall: it must cross whichever way it is moved aside by a hair."""
    start, stop = np.asarray(lens[:2], float), np.asarray(point[:2], float)
    length = np.hypot(*(stop - start))
    unit = (stop - start) / length
    footprint = shapely.LineString(wall.footprint_m)
    layers = 0
    for first, last in contacts(shapely.LineString([start, stop]), footprint):
        if last <= ROUND or first >= length - ROUND:
            continue
        piece = np.array([start + unit * (first - NEAR), start + unit * (last + NEAR)])
        aside = ASIDE * np.array([-unit[1], unit[0]])
        crosses = all(shapely.LineString(piece + side * aside).intersects(footprint) for side in (-1, 1))
        z = lens[2] + (point[2] - lens[2]) * last / length
        layers += crosses and (wall.base_m <= 0 or z > wall.base_m + ROUND) and z < wall.top_m - ROUND
    return layers


def is_through_block(lens, point, block):
    """Whether a ray passes through the inside of a block or crosses a sheet."""
    ray = shapely.LineString([lens[:2], point[:2]])
    inside = ray.intersection(shapely.Polygon(block.footprint_m).buffer(-ROUND, join_style="mitre"))
    for part in shapely.get_parts(inside):
        if part.length <= 10 * ROUND:
            continue
        s = np.array([ray.project(shapely.Point(c)) for c in part.coords]) / ray.length
        z = np.sort(lens[2] + (point[2] - lens[2]) * s)
        base = -np.inf if block.base_m <= 0 else block.base_m
        if z[1] > base + ROUND and z[0] < block.top_m - ROUND:
            return True
    return False


@given(corner, corner, st.lists(corner, min_size=2, max_size=5))
@settings(max_examples=150, deadline=None)
def test_rays_on_a_grid_against_line_walls(lens, point, footprint):
    line = shapely.LineString(footprint)
    assume(lens != point and line.length > 0 and line.is_simple)
    assume(shapely.Point(lens).distance(line) > 0 and shapely.Point(point).distance(line) > 0)
    wall = Occluder("wall", tuple(footprint), 0.0, 2.0, see_through=0.5)
    expected = 0.5 ** wall_layers((*lens, 1.0), (*point, 1.0), wall)
    assert one_ray((*lens, 1.0), (*point, 1.0), wall) == expected


def test_ray_through_the_joint_of_a_ring():
    ring = Occluder("ring", ((1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (1.0, 0.0)), 0.0, 2.0, see_through=0.5)
    assert one_ray((-1, 0, 1), (2, 0, 1), ring) == 0.25
    assert one_ray((1, -2, 1), (1, 2, 1), ring) == 1.0


@given(corner, corner, corner, corner, *[st.integers(0, 4)] * 4)
@settings(max_examples=150, deadline=None)
def test_heights_on_a_grid(lens, point, start, stop, lens_z, point_z, base, height):
    assume(lens != point and start != stop)
    wall = Occluder("wall", (start, stop), float(base), float(base + height))
    lens3, point3 = (*lens, float(lens_z)), (*point, float(point_z))
    assert one_ray(lens3, point3, wall) == (0.0 if wall_layers(lens3, point3, wall) else 1.0)


def star(corners):
    """A polygon through the corners, sorted by direction from their middle: mostly a simple one, often not convex."""
    middle = np.mean(corners, axis=0) + 1e-3
    return sorted(corners, key=lambda c: np.arctan2(c[1] - middle[1], c[0] - middle[0]))


footprints = st.lists(corner, min_size=3, max_size=6, unique=True).map(star)


@example((0, 0), (2, 0), [(0, -1), (0, 0), (1, 0), (-2, 1)], 0, 0, 0, 1)  # from a corner along a face, and on past it
@example((0, 0), (3, 0), [(-1, 0), (1, 0), (2, -2), (4, 3)], 0, 0, 0, 1)  # from a face along it, and into the block
@given(corner, corner, footprints, *[st.integers(0, 4)] * 3, st.integers(1, 4))
@settings(max_examples=150, deadline=None)
def test_rays_on_a_grid_against_blocks(lens, point, footprint, lens_z, point_z, base, height):
    polygon = shapely.Polygon(footprint)
    assume(lens != point and polygon.is_valid and polygon.area > 0)
    block = Occluder("block", tuple(footprint), float(base), float(base + height), 0.25, is_closed=True)
    lens3, point3 = (*lens, float(lens_z)), (*point, float(point_z))
    assert one_ray(lens3, point3, block) == (0.25 if is_through_block(lens3, point3, block) else 1.0)


SQUARE = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))


@pytest.mark.parametrize(
    ("lens", "point", "expected"),
    [
        ((-3, 0, 1), (3, 0, 1), 0.0),  # straight through
        ((-3, -3, 1), (3, 3, 1), 0.0),  # corner to corner
        ((-3, 1, 1), (3, 1, 1), 1.0),  # along a face
        ((-3, -1, 1), (1, 3, 1), 1.0),  # past a corner
        ((0, 0, 1), (3, 0, 1), 0.0),  # lens inside
        ((-3, 0, 1), (0, 0, 1), 0.0),  # subject inside
        ((-1, 0, 1), (1, 0, 1), 0.0),  # from face to face, both touched
        ((-1, 0, 1), (-3, 0, 1), 1.0),  # lens against the block, looking away
        ((-1, 0, 1), (3, 0, 1), 0.0),  # lens against the block, looking through
        ((0, 0, 2), (3, 0, 1), 0.0),  # lens on the roof, low view
        ((1, 0, 2), (3, 0, 1), 1.0),  # lens at the edge of the roof
        ((0, 0, 3), (5, 0, 1), 1.0),  # lens over the roof, past its edge: 3 - 2 x 1/5 at x = 1
        ((0, 0, 2.1), (1.1, 0, 0), 0.0),  # lens over the roof, steeply down
        ((-3, 0, 2), (3, 0, 2), 1.0),  # along the roof
        ((-3, 0, 1), (3, 0, 3), 0.0),  # in by a face, out by the roof
        ((0, 0, 1), (0, 0, 5), 0.0),  # straight up out of it
    ],
)
def test_block_cases(lens, point, expected):
    assert one_ray(lens, point, Occluder("hut", SQUARE, 0.0, 2.0, is_closed=True)) == expected


@pytest.mark.parametrize(
    ("lens", "point", "expected"),
    [
        ((-3, 0, 4), (3, 0, 1), 0.0),  # down through the roof and out underneath
        ((-3, 0, 1), (3, 0, 1), 1.0),  # below it
        ((-3, 0, 2), (3, 0, 2), 1.0),  # along its underside
        ((-3, 0, 2.25), (3, 0, 2.25), 0.0),
        ((-3, 0, 3), (3, 0, 3), 1.0),
    ],
)
def test_raised_roof(lens, point, expected):
    assert one_ray(lens, point, Occluder("roof", SQUARE, 2.0, 2.5, is_closed=True)) == expected


def test_sheet_is_crossed_from_one_side_to_the_other():
    net = Occluder("roof net", SQUARE, 2.0, 2.0, see_through=0.8, is_closed=True)
    assert one_ray((-3, 0, 4), (3, 0, 0), net) == pytest.approx(0.8)
    assert one_ray((-3, 0, 4), (3, 0, 3), net) == 1.0
    assert one_ray((-3, 0, 2), (3, 0, 2), net) == 1.0
    assert one_ray((-3, 0, 4), (0, 0, 2), net) == 1.0


def test_layers_of_net_multiply_and_a_block_counts_once():
    u_shape = ((2.0, 3.0), (0.0, 3.0), (0.0, -3.0), (2.0, -3.0))
    net = Occluder("goal net", u_shape, 0.0, 2.44, see_through=0.85)
    other = Occluder("fence", ((-1.0, -5.0), (-1.0, 5.0)), 0.0, 3.0, see_through=0.6)
    assert one_ray((-4, 0, 1), (1, 0, 1), net) == pytest.approx(0.85)
    assert one_ray((1, 6, 1), (1, -6, 1), net) == pytest.approx(0.85**2)
    assert one_ray((-4, 0, 1), (1, 0, 1), net, other) == pytest.approx(0.85 * 0.6)
    notched = ((-1.0, -1.0), (1.0, -1.0), (1.0, 2.0), (0.5, 2.0), (0.5, 0.0), (-0.5, 0.0), (-0.5, 2.0), (-1.0, 2.0))
    hedge = Occluder("hedge", notched, 0.0, 2.0, see_through=0.5, is_closed=True)
    assert one_ray((-4, 1, 1), (4, 1, 1), hedge) == 0.5


def test_subject_under_a_bar():
    bar = Occluder("crossbar", ((0.0, -3.66), (0.0, 3.66)), 2.44, 2.56)
    low, level = one_ray((-5, 0, 1.0), (5, 0, 1.0), bar), one_ray((-5, 0, 2.5), (5, 0, 2.5), bar)
    assert (low, level) == (1.0, 0.0)
    assert one_ray((-5, 0, 2.44), (5, 0, 2.44), bar) == 1.0  # touching its underside
    assert one_ray((-5, 0, 4.88), (5, 0, 0.0), bar) == 1.0  # exactly at it
    assert one_ray((-5, 0, 4.90), (5, 0, 0.0), bar) == 0.0


def test_lens_on_a_fence_sees_both_ways():
    fence = Occluder("fence", ((0.0, -5.0), (0.0, 5.0)), 0.0, 3.0)
    for point in [(4, 1, 1), (-4, 1, 1), (0, 4, 1)]:
        assert one_ray((0, 0, 1), point, fence) == 1.0


# Part of an upright subject left over a board or person in front, from similar triangles:
# lens height, blocker height and distance, subject distance and height, visible share.
@pytest.mark.parametrize(
    ("lens", "blocker", "near", "far", "subject", "visible"),
    [
        (1.6, 1.0, 3.0, 20.0, 1.8, 1.0),
        (1.6, 1.0, 3.0, 5.0, 1.8, 0.66667),
        (1.2, 1.0, 1.0, 4.0, 1.8, 0.77778),
        (0.5, 1.0, 2.0, 20.0, 1.8, 0.0),
        (6.0, 1.85, 5.0, 7.0, 1.8, 0.89444),
        (1.7, 1.85, 4.0, 30.0, 1.8, 0.0),
    ],
)
def test_visible_height_over_a_board(lens, blocker, near, far, subject, visible):
    board = Occluder("board", ((near, -50.0), (near, 50.0)), 0.0, blocker)
    share = visible_share(
        [(0, 0, lens)],
        [(far, 0, subject / 2)],
        subject_m=subject,
        occluders=[board],
        subject_width_m=0.0,
        height_cells=1000,
    )
    assert share[0, 0] == pytest.approx(visible, abs=0.001)


def test_lines_of_a_body_spread_like_its_breadth_from_every_side():
    line = subjects_of(np.zeros((1, 3)), np.array(1.8), width_m=0.5, height_cells=1).line_m
    for angle in np.linspace(0, np.pi, 7):
        across = line @ [np.cos(angle), np.sin(angle)]
        assert across.mean() == pytest.approx(0.0, abs=1e-12)
        assert across.var() == pytest.approx(0.5**2 / 12)  # of a uniform breadth


def test_visible_width_beside_a_post():
    """A 0.12 m post 10 m away hides 0.24 m at 20 m: on average over all directions 48 % of a breadth of 0.5 m."""
    shares = []
    for angle in np.linspace(0, np.pi / 2, 90, endpoint=False):
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        post = Occluder("post", tuple(tuple(turn @ p) for p in ((10.0, -0.06), (10.0, 0.06))), 0.0, 3.0)
        subject = (*(turn @ (20.0, 0.0)), 0.9)
        shares.append(visible_share([(0, 0, 1.5)], [subject], subject_m=1.8, occluders=[post])[0, 0])
    assert np.mean(shares) == pytest.approx(1 - 0.24 / 0.5, abs=0.15)


def random_scene(rng, n_lenses, n_points, n_occluders, step):
    """Lenses, subjects and occluders of every kind; with a step they stand on a grid, where contact is common."""

    def place(*shape):
        xy = rng.uniform(-30, 30, (*shape, 2))
        return np.round(xy / step) * step if step else xy

    occluders = []
    for _ in range(n_occluders):
        closed, base = rng.random() < 0.3, float(rng.choice([0.0, 0.0, 1.0, 2.0]))
        n = 4 if closed else int(rng.integers(2, 5))
        middle, size = place(), rng.uniform(1, 10)
        turn = np.sort(rng.uniform(0, 2 * np.pi, n))
        corners = middle + size * np.column_stack([np.cos(turn), np.sin(turn)])
        corners = np.round(corners / step) * step if step else corners
        if shapely.LineString(corners).length == 0 or (closed and not shapely.Polygon(corners).is_valid):
            continue
        see = float(rng.choice([0.0, 0.0, 0.5, 0.85]))
        top = base + float(rng.choice([0.5, 1.0, 2.0, 3.0]))
        occluders.append(Occluder("thing", tuple(map(tuple, corners.tolist())), base, top, see, closed))
    lens = np.column_stack([place(n_lenses), np.round(rng.uniform(0.5, 6, n_lenses), 1)])
    point = np.column_stack([place(n_points), np.round(rng.uniform(0.5, 2, n_points), 1)])
    return lens, point, occluders


@pytest.mark.parametrize("step", [0.0, 1.0, 5.0])
@pytest.mark.parametrize("seed", range(3))
def test_fast_and_traced_shares_agree(seed, step):
    lens, point, occluders = random_scene(np.random.default_rng(seed), 20, 100, 20, step)
    fast = visible_share(lens, point, subject_m=1.6, occluders=occluders)
    subjects = subjects_of(point, np.array(1.6), width_m=0.5, height_cells=5)
    pairs = np.indices(fast.shape).reshape(2, -1)
    traced = traced_share(
        lens[pairs[0]], pairs[1], subjects=subjects, walls=walls_of(occluders), occluders=occluders
    ).reshape(fast.shape)
    np.testing.assert_allclose(fast, traced, atol=1e-6)
    assert 0.05 < np.mean(fast < 1.0) < 0.95


@pytest.mark.parametrize("step", [0.0, 1.0])
def test_random_scenes_match_shapely(step):
    """Thousands of single rays past a dozen occluders of every kind."""
    lens, point, occluders = random_scene(np.random.default_rng(11), 25, 35, 12, step)
    got = visible_share(lens, point, subject_m=0.0, occluders=occluders, subject_width_m=0.0, height_cells=1)
    for i, j in np.ndindex(got.shape):
        if np.array_equal(lens[i, :2], point[j, :2]):
            continue
        expected = 1.0
        for o in occluders:
            layers = is_through_block(lens[i], point[j], o) if o.is_closed else wall_layers(lens[i], point[j], o)
            expected *= o.see_through**layers
        assert got[i, j] == pytest.approx(expected, abs=1e-6), (lens[i], point[j])


@pytest.mark.parametrize("turn", [[[0, 1], [-1, 0]], [[-1, 0], [0, -1]], [[1, 0], [0, -1]], [[-1, 0], [0, 1]]])
def test_mirroring_or_turning_the_scene_changes_nothing(turn):
    lens, point, occluders = random_scene(np.random.default_rng(5), 20, 100, 15, 0.0)
    shift = np.array([13.0, -7.0])

    def move(xyz):
        return np.column_stack([xyz[:, :2] @ turn + shift, xyz[:, 2]])

    moved = [
        Occluder(o.name, tuple(map(tuple, np.asarray(o.footprint_m) @ turn + shift)), o.base_m, o.top_m, *rest)
        for o, rest in ((o, (o.see_through, o.is_closed)) for o in occluders)
    ]
    before = visible_share(lens, point, subject_m=1.8, occluders=occluders)
    after = visible_share(move(lens), move(point), subject_m=1.8, occluders=moved)
    np.testing.assert_allclose(after, before, atol=1e-6)


def test_nothing_in_the_way():
    assert np.all(visible_share(np.zeros((3, 3)), np.ones((4, 3)), subject_m=1.8, occluders=[]) == 1.0)
    assert visible_share(np.zeros((0, 3)), np.ones((4, 3)), subject_m=1.8, occluders=[]).shape == (0, 4)


def test_lens_straight_above_a_subject():
    wall = Occluder("wall", ((-1.0, 0.3), (1.0, 0.3)), 0.0, 2.0)
    assert visible_share([(0, 0, 10)], [(0, 0, 0.9)], subject_m=1.8, occluders=[wall])[0, 0] == 1.0
