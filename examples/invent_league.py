"""Invent a league: ground files for tests, demonstrations and benchmarks; the same seed gives the same files.

Usage: python examples/invent_league.py FOLDER --grounds 12 --seed 1

Names, places and people are made up; stands, strips, dugouts and clutter are drawn at random within what grounds of
that size could have.
"""

from __future__ import annotations

import argparse
import math
import random
from collections.abc import Iterator
from pathlib import Path

FIRST = ("Alder", "Bram", "Cold", "Dun", "Elm", "Fal", "Grey", "Hart", "Iron", "Kel", "Lark", "Mar", "Nether", "Osk",
         "Penn", "Quarr", "Rush", "Sel", "Thorn", "Under", "Vel", "Wick", "Yar", "Zenn")  # fmt: skip
SECOND = ("beck", "brook", "by", "combe", "dale", "ford", "garth", "holm", "ley", "low", "mere", "moor", "ness",
          "stead", "thwaite", "wold")  # fmt: skip
PLACE = ("Lane", "Meadow", "Field", "Park Road", "Green", "Bank", "Common", "Wharf", "Hill", "Cross", "Yard", "Paddock")
ENDS = (("mill", "church"), ("river", "road"), ("school", "railway"), ("quarry", "chapel"), ("orchard", "harbour"))
REGIONS = ("north", "south", "east", "west")
SIZES = {
    "football": ((95, 110), (60, 74)),
    "rugby-union": ((94, 100), (66, 70)),
    "gaelic-football": ((130, 145), (80, 90)),
}
BENCHES = {  # what the sports' definitions call them
    **dict.fromkeys(("rugby-union", "rugby-league", "rugby-sevens"), "bench"),
    **dict.fromkeys(("gaelic-football", "hurling"), "dugouts"),
    **dict.fromkeys(("field-hockey", "lacrosse"), "benches"),
    "football": "dugout",
}
FIXED = {  # areas that the rules fix, as the sports' definitions say
    "american-football": (109.7, 48.8),
    "basketball": (28, 15),
    "field-hockey": (91.4, 55),
    "futsal": (40, 20),
    "handball": (40, 20),
    "ice-hockey": (60, 30),
    "netball": (30.5, 15.25),
    "tennis": (23.77, 10.97),
    "volleyball": (18, 9),
}
HALL_M = 65  # shorter areas have neither dugouts nor a way for ambulances
CENTRE = (52.6, -1.2)  # an invented league has to lie somewhere; fields are where they fall


def league(grounds: int, *, seed: int = 1, sports: tuple[str, ...] = ("football",)) -> Iterator[tuple[str, str]]:
    """Give path and text of every ground file of an invented league.

    Parameters
    ----------
    grounds : how many
    sports : which sports, one after the other

    Raises
    ------
    ValueError : no size is known for a sport
    """
    for sport in sports:
        if sport not in SIZES | FIXED:
            raise ValueError(f'sports: "{sport}" has no size here; allowed: {", ".join(sorted(SIZES | FIXED))}')
    used: dict[str, int] = {}
    for index in range(grounds):
        rng = random.Random(f"{seed}/{index}")  # a ground does not depend on how many there are
        sport = sports[index % len(sports)]
        name = f"{rng.choice(FIRST)}{rng.choice(SECOND)} {rng.choice(PLACE)}"
        used[name] = used.get(name, 0) + 1
        if used[name] > 1:
            name = f"{name} {used[name]}"
        stem = name.lower().replace(" ", "-")
        yield f"{rng.choice(REGIONS)}/{stem}.toml", ground_text(name, sport, rng)


def ground_text(name: str, sport: str, rng: random.Random) -> str:
    """Write one ground."""
    lengths, widths = SIZES.get(sport, SIZES["football"])
    length, width = FIXED.get(sport, (round(rng.uniform(*lengths)), round(rng.uniform(*widths))))
    main = rng.choice(("+y", "-y"))
    other = "-y" if main == "+y" else "+y"
    ends = rng.choice(ENDS)
    bearing = rng.randrange(360)
    away_km, turn = 90 * math.sqrt(rng.random()), rng.uniform(0, 2 * math.pi)
    latitude = CENTRE[0] + away_km * math.cos(turn) / 111.2
    longitude = CENTRE[1] + away_km * math.sin(turn) / (111.2 * math.cos(math.radians(CENTRE[0])))
    size = f"length_m = {length}\nwidth_m = {width}\n" if sport in SIZES else ""
    side = f'main_side = "{main}"\n' if rng.random() < 0.7 else ""
    place = f"latitude = {latitude:.5f}\nlongitude = {longitude:.5f}\nbearing_deg = {bearing}\n"
    names = f'"+x" = "{ends[0]} end", "-x" = "{ends[1]} end", "{main}" = "stand side", "{other}" = "far side"'
    agreed = "respect_keep_clear = false  # the strips below were agreed with the ground\n"
    parts = [
        f'# {name}, an invented ground.\n\n[match]\nsport = "{sport}"\ntitle = "{name}"\n',
        f'[venue]\nname = "{name}"\n{size}{place}{side}{agreed}side_names = {{ {names} }}\n',
        *_areas(length, width, main, other, rng),
        *(_clutter(sport, width, main, other, rng) if length > HALL_M else ()),
        '[[camera]]\nname = "A"\nlenses = ["24-70", "70-200"]\nsupport = "tripod"\n',
    ]
    return "\n".join(parts)


def _areas(length: float, width: float, main: str, other: str, rng: random.Random) -> Iterator[str]:
    reach = rng.uniform(0.25, 0.45) * length
    if rng.random() < 0.8:
        near, low = rng.uniform(7, 14), rng.uniform(4, 8)
        yield _area(
            "stand gantry", main, (-reach, reach), (near, near + rng.uniform(1.5, 4)), (low, low + rng.uniform(0.5, 5))
        )
    yield _area(
        "touchline strip", main, (-length / 2, length / 2), (3.2, rng.uniform(4, 6)), (0.5, rng.uniform(1.8, 2.4))
    )
    if rng.random() < 0.6:
        near = rng.uniform(5, 12)
        yield _area("far bank", other, (-reach, reach), (near, near + 4), (1.2, rng.uniform(2, 8)))
    for side, label in (("+x", "plus"), ("-x", "minus")):
        near = rng.uniform(3.5, 6)
        top = rng.uniform(1.6, 2.2)
        yield _area(
            f"behind the {label} end", side, (-width / 2, width / 2), (near, near + rng.uniform(1.5, 4)), (0.5, top)
        )
        if rng.random() < 0.35:
            half = min(14, width / 2)
            yield _area(f"terrace {label}", side, (-half, half), (9, rng.uniform(11, 16)), (3, rng.uniform(4, 9)))


def _clutter(sport: str, width: float, main: str, other: str, rng: random.Random) -> Iterator[str]:
    sign = 1 if other == "+y" else -1
    benches = BENCHES.get(sport)
    if benches is not None:
        yield f'[[venue.furniture]]\nwhat = "{benches}"\nthere = false  # measured at this ground, see below\n'
    for label, x in (("home", 4), ("away", -11)):
        a, b = sorted((sign * (width / 2 + 2.5), sign * (width / 2 + 4.5)))
        corners = f"[[{x}, {a:g}], [{x + 7}, {a:g}], [{x + 7}, {b:g}], [{x}, {b:g}]]"
        yield f'[[venue.obstacle]]\nname = "{label} dugout"\npolygon = {corners}\nbase_m = 0\ntop_m = 2.4\n'
    if rng.random() < 0.4:
        start = rng.uniform(10, 20)
        yield (
            f'[[venue.forbidden]]\nname = "ambulance way"\nside = "{main}"\n'
            f'span_m = [{start:.1f}, {start + 6:.1f}]\noffset_m = [0, 20]\nreason = "kept free for an ambulance"\n'
        )  # fmt: skip


def _area(
    name: str, side: str, span: tuple[float, float], offset: tuple[float, float], height: tuple[float, float]
) -> str:
    return (
        f'[[venue.allowed]]\nname = "{name}"\nside = "{side}"\nspan_m = [{span[0]:.1f}, {span[1]:.1f}]\n'
        f"offset_m = [{offset[0]:.1f}, {offset[1]:.1f}]\nlens_height_m = [{height[0]:.1f}, {height[1]:.1f}]\n"
    )


def write_league(folder: Path, grounds: int, *, seed: int = 1, sports: tuple[str, ...] = ("football",)) -> None:
    """Write an invented league into a folder."""
    for path, text in league(grounds, seed=seed, sports=sports):
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text, encoding="utf-8")


def main() -> None:
    """Write a league as the command line asks."""
    parser = argparse.ArgumentParser(description="Invent a league of grounds.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--grounds", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--sports", nargs="+", default=["football"])
    options = parser.parse_args()
    try:
        write_league(options.folder, options.grounds, seed=options.seed, sports=tuple(options.sports))
    except ValueError as error:
        parser.error(str(error))


if __name__ == "__main__":
    main()
