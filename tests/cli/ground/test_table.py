"""Tables of grounds: a match file for each sound row, each faulty one named."""

import time
import tomllib

import pytest

from standmark.cli.book.tree import ground_paths, read_source
from standmark.cli.ground.table import FaultyRow, GroundRow, table_grounds
from standmark.geometry.errors import InputError


def table(tmp_path, text, *, encoding="utf-8", **more):
    path = tmp_path / "grounds.csv"
    path.write_bytes(text.encode(encoding))
    return list(table_grounds(path, sport=more.get("sport")))


def test_a_row_becomes_a_match_file(tmp_path):
    (made,) = table(
        tmp_path,
        "Name,Sport,Lat,Lon,Bearing,Length,Width,Lamps,Stand -y\n"
        "Auk Sands,soccer,55.26,3.04,nnw,110 yd,64,metal halide,5.5\n",
    )
    data = tomllib.loads(made.text)
    assert made.stem == "auk-sands"
    assert data["match"] == {"sport": "football", "title": "Auk Sands"}
    assert data["light"] == {"lamp": "metal halide"}
    assert data["venue"] == {
        "name": "Auk Sands", "length_m": 100.584, "width_m": 64, "latitude": 55.26, "longitude": 3.04,
        "bearing_deg": 337.5, "floodlit": True, "stand_height_m": {"-y": 5.5},
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        ("name;latitude;longitude;length ft\nA;55,5;-3,25;330\n", "utf-8"),
        ("NAME\tlat\tlng\tLength (ft)\nA\t55.5\t-3.25\t330\n", "utf-16"),
        ("ground,latitude,longitude,length_ft\nA,55° 30' N,3° 15' W,330\n", "utf-8-sig"),
    ],
)
def test_dialects_and_angles(tmp_path, text, encoding):
    (made,) = table(tmp_path, text, encoding=encoding, sport="football")
    venue = tomllib.loads(made.text)["venue"]
    assert (venue["latitude"], venue["longitude"]) == (55.5, -3.25)
    assert venue["length_m"] == pytest.approx(100.584)


FAULTY = {
    ",football,,,,,\n": "name: empty",
    "B,fotball,,,,,\n": "did you mean football",
    "B,,,,,,\n": "sport: empty",
    "B,football,140,-30,,,\n": "look swapped",
    "B,football,3.1 E,55 N,,,\n": "look swapped",
    "B,football,55,,,,\n": "longitude: empty",
    "B,football,,,left,,\n": "bearing",
    "B,football,,,,12 parsecs,\n": "length",
    "B,football,,,,9000,\n": "length",
    "B,football,,,,,perhaps\n": "lamps",
}


@pytest.mark.parametrize("row", FAULTY)
def test_a_faulty_row_is_named_and_passed_over(tmp_path, row):
    head = "name,sport,latitude,longitude,bearing,length,lamps\n"
    before, faulty, after = table(tmp_path, f"{head}A,football,,,,,\n{row}C,football,,,,,\n")
    assert isinstance(before, GroundRow)
    assert isinstance(after, GroundRow)
    assert isinstance(faulty, FaultyRow)
    assert "row 3: " in faulty.reason
    assert FAULTY[row] in faulty.reason
    assert "\n" not in faulty.reason


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sport,length\nfootball,1\n", 'column "name" is missing'),
        ("name,latitud\nA,1\n", 'did you mean "latitude"'),
        ("name,lat,latitude\nA,1,1\n", "two columns for latitude"),
    ],
)
def test_a_header_that_cannot_be_used_is_refused(tmp_path, text, words):
    with pytest.raises(InputError, match=words):
        table(tmp_path, text)


def test_grounds_of_one_name_get_files_of_their_own_and_make_a_tree(tmp_path):
    made = table(tmp_path, "name\n" + "Ground\n" * 3, sport="handball")
    assert [row.stem for row in made] == ["ground", "ground-2", "ground-3"]
    folder = tmp_path / "grounds"
    folder.mkdir()
    for row in made:
        (folder / f"{row.stem}.toml").write_text(row.text, encoding="utf-8")
    sources = [read_source(path, file, root=folder) for path, file in ground_paths(folder)]
    assert [source.venue_name for source in sources] == ["Ground"] * 3


def test_names_cannot_leave_the_folder_or_the_text(tmp_path):
    (made,) = table(tmp_path, 'name,sport\n"../../x\ty"" ]\n[weights]",football\n')
    assert "/" not in made.stem
    assert ".." not in made.stem
    assert "weights" not in tomllib.loads(made.text)


def test_hundreds_of_grounds_take_seconds(tmp_path):
    rows = "".join(f"Ground {i},{100 + i * 0.1:.1f},{i}\n" for i in range(40))
    start = time.process_time()
    made = table(tmp_path, "name,length,bearing\n" + rows, sport="football")
    assert all(isinstance(row, GroundRow) for row in made)
    assert time.process_time() - start < 4.0  # 500 in less than 50 s even on a slow machine
