"""Small invented leagues and books made in this process, without a pool of workers."""

import importlib.util
import sys
from concurrent.futures import Executor, Future
from pathlib import Path

import pytest

from standmark.cli.book import make
from standmark.cli.book.engine import Crew

ROOT = Path(__file__).resolve().parents[3]


def load(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module
    spec.loader.exec_module(module)
    return module


class Here(Executor):
    """Does every job at once in this process."""

    def submit(self, work, /, *args, **kwargs):
        future = Future()
        try:
            future.set_result(work(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


@pytest.fixture(scope="session")
def invent():
    return load(ROOT / "examples" / "invent_league.py")


@pytest.fixture
def in_process(monkeypatch):
    monkeypatch.setattr(make, "local_crew", lambda n: Crew(lambda: (Here(), lambda at_once: None), n))


@pytest.fixture(scope="session")
def league_book(tmp_path_factory, invent):
    """A league of three sound grounds and three faulty files, and its book."""
    folder, out = tmp_path_factory.mktemp("league"), tmp_path_factory.mktemp("made") / "book"
    invent.write_league(folder, 3, seed=5, sports=("football", "rugby-union"))
    (folder / "broken.toml").write_text("[match\n", encoding="utf-8")
    (folder / "typo.toml").write_text('[match]\nsport = "fotball"\n', encoding="utf-8")
    (folder / "no-match.toml").write_text('[venue]\nname = "Nowhere"\n', encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(make, "local_crew", lambda n: Crew(lambda: (Here(), lambda at_once: None), n))
        made = make.make_book(make.Order(folder, out, quiet=True))
    return folder, out, made
