"""Files that are wrong, kept by hand: each with the exact line that answers it.

A case in one of the texts beside this file:

    == what is wrong
    match.toml                                   a file, and what it holds, four spaces in
        [match]
        sport = "footbal"
    own.toml = examples/sports/lantern-ball.toml   a file of ours with lines taken out (-), put in their place or,
        - key = "lantern-ball"                     where none was taken out, at the end (+)
        + key = "lantern"
    $ check match.toml                           what was typed
    ! match.toml:2: match.sport: ...             what it answers, without "standmark: "; the exit code is 2, or
    exit 3                                       another one

\\xNN stands for a byte and {digest} for the digest of the plan.json beside the file. A name without contents takes
those of the last file of that name.
"""

import re
import shlex
import textwrap
from pathlib import Path

import pytest

from standmark.cli.input.logged_plan import plan_digest
from standmark.cli.main import main

HERE = Path(__file__).parent
ROOT = HERE.parents[2]
TEXTS = sorted(HERE.glob("*.txt"))
LEAST_CASES = 120


def cases_of(text):
    """Blocks of a text: title, files, what was typed, what is answered."""
    for block in re.split(r"^(?=== )", text, flags=re.MULTILINE)[1:]:
        lines = block.rstrip("\n").split("\n")
        typed = [n for n, line in enumerate(lines) if line.startswith("$ ")]
        assert len(typed) == 1, f"one line to type, please: {lines[0]}"
        yield lines[0][3:], lines[1 : typed[0]], lines[typed[0]][2:], lines[typed[0] + 1 :]


def files_in(lines, known):
    """Name and contents of the files of a case; whatever they hold is known to later cases under that name."""
    for part in re.split(r"^(?=\S)", "\n".join(lines), flags=re.MULTILINE)[1:]:
        head, _, inner = part.partition("\n")
        name, _, taken = head.partition(" = ")
        inner = textwrap.dedent(inner).rstrip("\n")
        if taken:
            source = (HERE if taken.startswith("sound/") else ROOT) / taken
            known[name] = changed(source.read_bytes().decode("utf-8", "surrogateescape"), inner)
        elif inner:
            known[name] = inner + "\n"
        yield name, known[name]


def changed(text, change):
    """Text with lines taken out and put in."""
    for out, put in re.findall(r"((?:^-.*\n?)*)((?:^\+.*\n?)*)", change, flags=re.MULTILINE):
        old, new = (re.sub(r"^[-+] ?", "", lines, flags=re.MULTILINE).rstrip("\n") for lines in (out, put))
        if out:
            assert text.count(f"{old}\n") == 1, f"taken out must be there once:\n{old}"
            text = text.replace(f"{old}\n", f"{new}\n" if put else "")
        elif put:
            text += f"{new}\n"
    return text


def bytes_of(text):
    """Contents of a file, \\xNN as that byte."""
    parts = re.split(r"\\x([0-9a-f]{2})", text)
    return b"".join(bytes.fromhex(p) if n % 2 else p.encode("utf-8", "surrogateescape") for n, p in enumerate(parts))


def write(name, text, folder):
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    plan = path.parent / "plan.json"
    digest = plan_digest(plan.read_bytes()) if "{digest}" in text else ""
    path.write_bytes(bytes_of(text.replace("{digest}", digest)))


def answer(typed, capsys):
    """What the program says when this is typed, as the texts write it."""
    with pytest.raises(SystemExit) as left:
        main(shlex.split(typed))
    said = capsys.readouterr().err.rstrip("\n").removeprefix("standmark: ").split("\n")
    return [*(f"! {line}" for line in said), *([f"exit {left.value.code}"] if left.value.code != 2 else [])]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_every_wrong_file_is_answered_with_its_very_line(path, tmp_path, monkeypatch, capsys):
    known, wrong = {}, []
    for number, (title, files, typed, expected) in enumerate(cases_of(path.read_text("utf-8"))):
        folder = tmp_path / str(number)
        folder.mkdir()
        monkeypatch.chdir(folder)
        for name, text in files_in(files, known):
            write(name, text, folder)
        told = answer(typed, capsys)
        expected = [line for line in expected if line.strip()]
        if told != expected:
            wrong.append("\n".join([f"== {title}", f"$ {typed}", "expected", *expected, "told", *told]))
    assert not wrong, "\n\n".join(wrong)


def test_the_texts_hold_as_many_cases_as_they_should():
    titles = [title for path in TEXTS for title, *_ in cases_of(path.read_text("utf-8"))]
    assert len(titles) >= LEAST_CASES
    assert len(titles) == len(set(titles)), "every title once"
