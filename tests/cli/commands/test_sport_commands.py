"""`standmark sports` and `standmark brief`: list, words, page and paper."""

import json
import re
import shutil
from html.parser import HTMLParser

import pytest
from click.testing import CliRunner

from standmark.cli.commands.brief import command as brief
from standmark.cli.commands.sports import command as sports
from standmark.sports.library import DEFINITIONS, sport_keys

HEADINGS = ["How it scores", "Rhythm", "Where to look", "Faces and sides", "Where people usually stand",
            "Raised places to ask for", "What stands in the way", "Where not to stand", "Rules of competitions",
            "Dangers and cautions",
            "Missed most often", "What to film in play", "What to film besides play",
            "Ten things to watch at a training session", "What the officials show", "Words on the field", "Ten words",
            "The figures"]  # fmt: skip


def run(command, *args):
    return CliRunner().invoke(command, list(args), catch_exceptions=False)


def test_list_as_json_holds_every_sport():
    heads = json.loads(run(sports, "--json").output)
    assert [head["key"] for head in heads] == list(sport_keys())
    assert {"football", "rugby-union", "field-hockey", "basketball", "netball", "tennis"} <= {h["key"] for h in heads}
    assert all(head["name"] and head["presets"] for head in heads)


def test_own_folder_adds_to_the_list(tmp_path):
    text = (DEFINITIONS / "netball.toml").read_text(encoding="utf-8").replace('key = "netball"', 'key = "hoopball"', 1)
    (tmp_path / "hoopball.toml").write_text(text.replace('name = "Netball"', 'name = "Hoopball"', 1), encoding="utf-8")
    assert "hoopball" in run(sports, "--sports-dir", str(tmp_path)).output
    assert run(brief, "hoopball", "--sports-dir", str(tmp_path)).output.startswith("Hoopball\n")


@pytest.mark.parametrize("key", sport_keys())
def test_brief_says_everything(key):
    text = run(brief, key).output
    assert [line for line in text.splitlines() if line in HEADINGS] == HEADINGS
    assert max(len(line) for line in text.splitlines()) <= 96


def test_page_fetches_nothing_and_escapes(tmp_path):
    shutil.copy(DEFINITIONS / "netball.toml", tmp_path / "netball.toml")
    own = tmp_path / "netball.toml"
    own.write_text(own.read_text(encoding="utf-8").replace('name = "Netball"', 'name = "<b>Net</b> & \\"ball\\""', 1))
    run(brief, str(own), "--html", str(tmp_path / "page.html"))
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    tags = []
    parser = HTMLParser()
    parser.handle_starttag = lambda tag, attrs: tags.append((tag, dict(attrs)))
    parser.feed(page)
    assert "<b>Net</b>" not in page
    assert not {"script", "img", "link", "iframe"} & {tag for tag, _ in tags}
    assert not [attrs for _, attrs in tags if {"href", "src"} & set(attrs)]
    assert "default-src 'none'" in page
    assert [re.sub(r"<[^>]+>", "", h) for h in re.findall(r"<h2>.*?</h2>", page)] == HEADINGS


def test_paper_is_a4_with_embedded_type(tmp_path):
    run(brief, "tennis", "--pdf", str(tmp_path / "tennis.pdf"))
    raw = (tmp_path / "tennis.pdf").read_bytes()
    boxes = [[float(v) for v in box.split()] for box in re.findall(rb"/MediaBox \[ ?([\d. ]+?) ?\]", raw)]
    assert 1 <= len(boxes) <= 3
    for box in boxes:
        assert box == pytest.approx([0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01)
    assert b"/Type3" not in raw


def test_nothing_is_overwritten(tmp_path):
    page = tmp_path / "page.html"
    page.write_text("mine")
    result = CliRunner().invoke(brief, ["tennis", "--html", str(page)])
    assert "already exists" in str(result.exception)
    assert page.read_text() == "mine"


def test_brief_of_a_variant_says_whose_game_its_words_tell():
    usual, youth = (" ".join(run(brief, "football", *more).output.split()) for more in ((), ("--preset", "7v7")))
    assert "the text describes adult; where the two differ, trust these figures" in youth
    assert "7 a side" in youth
    assert "the text describes" not in usual


def test_halves_of_two_quarters_are_told_by_the_watch():
    assert "First half 36 min in 2 parts, break 10" in " ".join(run(brief, "field-hockey").output.split())
