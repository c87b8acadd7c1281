"""Twice what docs/limits.md allows is refused at once, with the number that would do."""

import math
import time
from pathlib import Path

import pytest

from standmark.cli.main import main

ROOT = Path(__file__).resolve().parents[3]
MOST_S = 1.0  # of processor time
SOUND = (Path(__file__).parent / "sound/match.toml").read_text("utf-8")
OWN = (ROOT / "examples/sports/lantern-ball.toml").read_text("utf-8")
PERIOD = '[[period]]\nkey = "p{i}"\nname = "P"\nminutes = 1\nattack = "same"\nsource = "estimate"\n'
ZONE = '{ weight = 0.0005, shape = { kind = "circle", centre = [0, 0], radius = 1 } },'
CIRCLE = [[round(60 + math.cos(i / 640), 6), round(math.sin(i / 640), 6)] for i in range(4000)]


def areas(n):
    return "".join(f'[[venue.allowed]]\nname = "a{i}"\nline = [[{60 + i}, 0], [{60 + i}, 9]]\n' for i in range(n))


def obstacles(n):
    place = "[[60, 0], [61, 0], [61, 1], [60, 1]]"
    return "".join(f'[[venue.obstacle]]\nname = "o{i}"\npolygon = {place}\ntop_m = 2\n' for i in range(n))


def zones(n):
    last = OWN.rindex("zone = [")
    return OWN[:last] + f"zone = [{ZONE * n}]\n" + OWN[OWN.index("\n", last) + 1 :]


CASES = {
    "points of a shape": (
        SOUND + f'[[venue.allowed]]\nname = "a"\npolygon = {CIRCLE}\n',
        "(got 4000); allowed: at most 2000",
    ),
    "areas": (SOUND + areas(1000), "(got 1000); allowed: at most 500"),
    "corners of obstacles": (SOUND + obstacles(500), "2000 corners together; allowed: 1000"),
    "cameras": (SOUND + "".join(f'[[camera]]\nname = "{i}"\n' for i in range(15)), "(got 16); allowed: at most 8"),
    "lenses": (SOUND.replace('["70-200/2.8"]', str(["300/4"] * 16)), "16 lenses; allowed: 1 to 8"),
    "bytes": (SOUND + "# " + "x" * (2 << 20), "larger than 1 MiB"),
    "zones of a sport": (zones(2000), "zones in all; allowed: at most 1000"),
    "periods of a sport": (OWN + "".join(PERIOD.format(i=i) for i in range(120)), "periods; allowed: at most 60"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_twice_the_limit_is_refused_at_once_with_the_number_that_would_do(name, tmp_path, capsys):
    text, told = CASES[name]
    path = tmp_path / "file.toml"
    path.write_text(text, "utf-8")
    begin = time.process_time()
    with pytest.raises(SystemExit) as left:
        main(["brief" if "sport" in name else "check", str(path)])
    used_s = time.process_time() - begin
    said = capsys.readouterr().err
    assert left.value.code == 2
    assert told in said
    assert len(said) < 5000
    assert used_s < MOST_S
