"""Spoiled files of every kind are read or refused in plain words: a share of `benchmarks/hostile.py`."""

import contextlib
import random
import time
import zipfile

import hostile_mutants as mutants
import pytest
from hostile_inputs import Kind, spoiled_bytes, spoiled_structure
from hostile_kinds import ROOT, kinds

from standmark.cli.book.editions import read_edition
from standmark.cli.ground.photo import read_photo
from standmark.cli.ground.read_map import read_map
from standmark.geometry.errors import InputError, StandmarkError

KINDS = [kind.name for kind in kinds()]


@pytest.mark.parametrize("name", KINDS)
def test_spoiled_files_are_read_or_refused_in_plain_words(name, tmp_path):
    kind, rng, refused = next(k for k in kinds() if k.name == name), random.Random(name), 0
    path = tmp_path / kind.file
    path.write_bytes(kind.content)
    kind.read(path)  # sound as it is
    for number in range(60):
        spoil = spoiled_structure if number % 4 == 0 else spoiled_bytes
        path.write_bytes(spoil(kind, rng))
        begin, words = time.process_time(), None
        try:
            kind.read(path)
        except StandmarkError as error:
            words = str(error)
        refused += words is not None
        assert words is None or mutants.is_plain(words), words[:300]
        assert time.process_time() - begin < mutants.MOST_S
    assert refused or name in ("ground", "photograph", "calendar"), "nothing that was spoiled was noticed"


def test_a_reader_that_hangs_or_dies_is_ended_and_its_file_kept(monkeypatch):
    """Three of ten files: one that never returns, one that ends the process, one that raises what is not meant."""

    def read(path):
        number = int(path.read_text())
        if number == 3:
            time.sleep(1000)
        if number == 5:
            mutants.os._exit(1)
        if number == 7:
            raise KeyError(number)
        raise InputError(f"{number} is refused")

    monkeypatch.setattr(mutants, "HUNG_S", 2.0)
    number_of = {random.Random(f"1 {number}").random(): number for number in range(10)}
    kind = Kind("number", "number.txt", b"0", read)
    _, failures = mutants._watched(kind, "1", 10, lambda _kind, rng: str(number_of[rng.random()]).encode())
    assert [content for _, _, content in failures] == [b"3", b"5", b"7"]


def test_an_archive_damaged_anywhere_is_refused_in_a_line(tmp_path):
    path = tmp_path / "map.kmz"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("doc.kml", (ROOT / "examples/grounds/gannet-bank.kml").read_bytes())
    whole = path.read_bytes()
    for at in range(len(whole) - 80, len(whole)):  # the table of contents stands at the end
        path.write_bytes(whole[:at] + whole[at + 5 :])
        with pytest.raises(InputError, match=r"map\.kmz: "):
            read_map(path)


def test_damaged_tags_of_a_photograph_are_passed_over_in_silence(tmp_path, recwarn):
    path, whole = tmp_path / "seat.jpg", (ROOT / "examples/grounds/seat.jpg").read_bytes()[:4000]
    at = whole.index(b"Exif") + 6
    for cut in range(8, 60, 2):
        path.write_bytes(whole[: at + cut] + b"\xff\xff" + whole[at + cut + 2 :])
        with contextlib.suppress(InputError):
            read_photo(path)
    assert [str(w.message) for w in recwarn] == []


def test_an_edition_whose_count_is_a_text_is_refused_without_quoting_it(tmp_path):
    (tmp_path / "book.json").write_text(
        '{"schema": "standmark.book/1", "standard": {"name": "n", "edition": 1}, "grounds": "%s", "digest": "d", '
        '"program": "p"}' % ("a" * 20_000)
    )
    (tmp_path / "codes.json").write_text('{"schema": "standmark.codes/1", "retired": [], "grounds": []}')
    (tmp_path / "standard.toml").write_bytes((ROOT / "optimizer/standard/general.toml").read_bytes())
    with pytest.raises(InputError, match="is not the record of a book") as caught:
        read_edition(tmp_path)
    assert len(str(caught.value)) < 500
