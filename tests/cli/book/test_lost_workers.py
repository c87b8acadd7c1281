"""A worker that is killed or has no memory costs its ground only; `hostile.py --workers` does the same for real."""

from concurrent.futures.process import BrokenProcessPool

import pytest
from hostile_runs import GROUND, STANDARD

from standmark.cli.book import job, make
from standmark.cli.book.engine import DIED, NO_MEMORY
from standmark.cli.main import main

pytestmark = pytest.mark.usefixtures("in_process")


@pytest.fixture
def league(tmp_path):
    """Three small grounds."""
    (tmp_path / "in").mkdir()
    (tmp_path / "standard.toml").write_text(STANDARD)
    for index in range(3):
        (tmp_path / f"in/g{index}.toml").write_text(GROUND.format(index=index))
    return tmp_path


def kill(path, patch, *, times):
    """Let the pool break when the ground of a file is worked on."""
    done, left = make.do_job, [times]

    def do_job(given):
        if given.path == path and left[0]:
            left[0] -= 1
            raise BrokenProcessPool
        return done(given)

    patch.setattr(make, "do_job", do_job)


def starve(name, patch):
    """Let a ground need more memory than there is."""
    apply = job.apply_standard

    def apply_standard(match, standard, *, steps):
        if match.venue.name == name:
            raise MemoryError
        return apply(match, standard, steps=steps)

    patch.setattr(job, "apply_standard", apply_standard)


def book(folder, capsys):
    words = ["book", folder / "in", "--standard", folder / "standard.toml", "--out", folder / "book", "--quiet"]
    with pytest.raises(SystemExit) as left:
        main([*map(str, words)])
    return left.value.code, capsys.readouterr().err.splitlines()


def grounds_in(folder):
    return [path.name for path in (folder / "book/grounds").glob("*.json")]


def test_other_grounds_are_finished_the_culprits_named_and_the_next_run_makes_them(league, monkeypatch, capsys):
    with monkeypatch.context() as patch:
        kill("g0.toml", patch, times=2)
        starve("Court 1", patch)
        code, told = book(league, capsys)
    assert code == 6
    assert sorted(told) == [f"g0.toml: {DIED}", f"g1.toml: {NO_MEMORY}"]
    assert len(grounds_in(league)) == 1
    with monkeypatch.context() as patch:
        kill("g0.toml", patch, times=1)  # which is forgiven
        assert book(league, capsys) == (0, [])
    assert len(grounds_in(league)) == 3
