"""The same book from a cluster of two workers as from this machine."""

from pathlib import Path

import pytest

distributed = pytest.importorskip("distributed")

from standmark.cli.book import make  # noqa: E402
from standmark.cli.book.make import Order, make_book  # noqa: E402

ROOT = Path(__file__).resolve().parents[3]


def files_of(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_two_workers_make_the_same_book(league_book, tmp_path, monkeypatch):
    folder, out, _ = league_book
    monkeypatch.setenv("PYTHONPATH", str(ROOT / ".import"))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
    ) as cluster:
        order = Order(folder, tmp_path / "book", scheduler=cluster.scheduler_address, quiet=True)
        made = make_book(order)
    assert len(made.contents.lines) == 3
    assert files_of(tmp_path / "book") == files_of(out)
    assert make.local_crew is not None
