"""The presets are data with sources, and the defaults in code are among them."""

import tomllib
from pathlib import Path

from standmark.optimizer.match import presets
from standmark.optimizer.match.match import PRACTISED

FILE = tomllib.loads(Path(presets.__file__).with_name("presets.toml").read_text("utf-8"))


def test_every_preset_names_its_source():
    for kind in ("mode", "support", "operator", "deliverable", "hire"):
        assert FILE[kind]
        assert all(entry["source"] for entry in FILE[kind])


def test_defaults_are_presets():
    assert presets.OPERATORS["practised"] == PRACTISED
    assert presets.DEFAULT_MODE in presets.MODES
    assert presets.DEFAULT_SUPPORT in presets.SUPPORTS
    assert all(presets.lens_from_words(words) for words in presets.DEFAULT_LENSES)


def test_figures_are_of_their_kind():
    for mode in presets.MODES.values():
        shape = (mode.width_mm / mode.height_mm) / (mode.width_px / mode.height_px)
        assert abs(shape - 1) < 0.01, mode.name  # pixels are square
        assert all(isinstance(rate, float) for rate in mode.fps)
    for deliverable in presets.DELIVERABLES.values():
        assert 0 < deliverable.smallest_share < deliverable.wanted_share < 1
        assert 0 <= deliverable.faces <= 1
    assert [key for key, share in presets.LEAST_WIDTH_SHARES.items() if share] == ["analysis"]
