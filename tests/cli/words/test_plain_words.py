"""Words that people read: no form of ours that a reader would stumble over, in sentences, briefs, lists or pages."""

import re
from pathlib import Path

import pytest
from drawn_plans import content_of, placed_plan

from standmark.cli.drawing.marks import Words
from standmark.cli.sheet.operator_page import operator_page
from standmark.cli.sheet.paper import PAPERS
from standmark.cli.sheet.paper_sheet import sheet_pages
from standmark.cli.words.brief_text import brief_text
from standmark.cli.words.summary import plan_summary
from standmark.sports.library import load_sport, sport_keys

ROOT = Path(__file__).resolve().parents[3]
BANNED = (
    r"what matters",
    r"\bat no loss\b",
    r"\bis told\b",
    r"\bof ours\b",
    r"\bmends?\b",
    r"\bit pays\b",
    r"\bno \w+ exceeds\b",
    r"\breckoned with\b",
    r"\bas far as the area goes\b",
    r"\bcandidates?\b",
    r"\b\d+(\.\d+)? points\b(?! (are|for|make|worth|win))",
    r"[+-][xy] (side|end)\b",
    r"\bwill not be had\b",
    r"\bif it comes\b",
)


def stumbles(text):
    """Banned forms in a text, each with a few words round it."""
    plain = re.sub(r"\s+", " ", text)
    return [plain[max(m.start() - 25, 0) : m.end() + 25] for form in BANNED for m in re.finditer(form, plain)]


def test_the_list_finds_what_it_bans():
    assert stumbles("Coverage 48 % of what matters")
    assert stumbles("for 1.1 points less")
    assert stumbles("on the -y side")
    assert not stumbles("You'll get about half of the match.")


def test_terminal_and_paper_keep_to_plain_words():
    plan, content = placed_plan(), content_of(placed_plan())
    assert stumbles(plan_summary(plan, more=True)) == []
    pages = [*sheet_pages(content), *(operator_page(content, a, PAPERS["a4"]) for a in content.answers)]
    for page in pages:
        said = " ".join(mark.text for mark in page.marks if isinstance(mark, Words))
        assert stumbles(said) == [], page.title


@pytest.mark.parametrize("sport", sport_keys())
def test_briefs_keep_to_plain_words_and_say_everything(sport):
    loaded = load_sport(sport)
    found = stumbles(" ".join(line for _, line in brief_text(loaded, width=96)))
    assert [words for words in found if "points" not in words] == []
    brief = loaded.brief
    assert len(brief.watch) == 10
    assert len(brief.signals) >= 4
    assert len(brief.heard) >= 5
    for moment in loaded.moments:
        words = brief.moments[moment.key]
        assert len(words.how_to_frame) <= 40, moment.key
        assert words.plural
        assert words.meanwhile
    assert "benchmarks/" not in " ".join(line for _, line in brief_text(loaded, width=96))


def test_phone_page_keeps_to_plain_words():
    page = (ROOT / "cli" / "sheet" / "page" / "sheet.html").read_text("utf-8")
    script = (ROOT / "cli" / "sheet" / "page" / "sheet.js").read_text("utf-8")
    assert stumbles(re.sub(r"\{[%{].*?[%}]\}", "", page)) == []
    assert stumbles(script) == []


EVERYWHERE = (
    *(form for form in BANNED if not form.startswith(("[+-]", r"\bcandidate", r"\b\d"))),
    r"\b(is|are|was|were|be) told\b",
    r"\breckon",
    r"\bminded\b",
    r"\bforetell",
    r"\bexposes rightly\b",
    r"\bparted by\b",
    r"\bput right\b",
    r"\b(will|would|could|can) (not )?be had\b",
    r"\bto be had\b",
    r"\bas far as [^.]{0,30} goes?\b",
    r"\bit is looked for\b",
    r"\bnothing much\b",
    r"\bA no is a no\b",
    r"\bA bug of ours\b",
    r"\b(by|without|with|for|written) leave (of|from|to film)\b",
    r"\bleave to film\b",
    r"\bno \w+ is reckoned\b",
    r"\bwas not seen\b",
    r"\bis left to be seen\b",
    r"\bon the way of\b",
    r"\bas good as none\b",
    r"\bstays? to be\b",
    r"\btwo times the same\b",
    r"\bhas (it|them) then\b",
    r"\bgoes? before (this|everything else)\b",
)


def test_no_document_string_or_docstring_uses_them():
    paths = [*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")]
    for floor in ("cli", "optimizer", "sports", "geometry"):
        paths += [path for kind in ("py", "html", "js", "toml") for path in (ROOT / floor).rglob(f"*.{kind}")]
    forms = re.compile("|".join(EVERYWHERE).replace(" ", r"\s+"))
    found = {}
    for path in paths:
        text = path.read_text("utf-8")
        said = [text[max(m.start() - 30, 0) : m.end() + 30] for m in forms.finditer(text)]
        if said:
            found[path.relative_to(ROOT).as_posix()] = said
    assert found == {}
