"""The same book from a cluster of two workers, of two threads each, as from this machine."""

from pathlib import Path

import pytest

from standmark.cli.book.make import Order, make_book

ROOT = Path(__file__).resolve().parents[3]
GROUND = (
    '[match]\nsport = "football"\n[venue]\nname = "Ground"\nlength_m = {}\nwidth_m = 60\nusual_places = ["halfway"]\n'
)
STANDARD = '[[role]]\ncode = "C"\nname = "Close"\nfrom_deg = [-20, 20]\n'


def files_of(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.mark.usefixtures("in_process")
def test_two_workers_make_the_same_book(tmp_path, monkeypatch):
    distributed = pytest.importorskip("distributed")  # comes with the extra "cluster"
    folder = tmp_path / "in"
    folder.mkdir()
    for length in (95, 100, 105):
        (folder / f"{length}.toml").write_text(GROUND.format(length))
    (tmp_path / "standard.toml").write_text(STANDARD)
    here = Order(folder, tmp_path / "here", standard=tmp_path / "standard.toml", quiet=True)
    make_book(here)
    monkeypatch.setenv("PYTHONPATH", str(ROOT / ".import"))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=2, dashboard_address=None, host="127.0.0.1", silence_logs=50
    ) as cluster:
        there = Order(
            folder, tmp_path / "there", standard=here.standard, scheduler=cluster.scheduler_address, quiet=True
        )
        assert len(make_book(there).contents.lines) == 3
    assert files_of(there.out) == files_of(here.out)
