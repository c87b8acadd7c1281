"""`standmark frame` at the command line: numbers, files, and one plain line for what is wrong."""

import pytest
from click.testing import CliRunner

from standmark.cli.commands.frame import command
from standmark.geometry.errors import InputError, OutputError

GOOD = ["--sport", "football", "--at", "57.5,12", "--lens", "70-200", "--look", "41.5,0"]


def run(*arguments):
    result = CliRunner().invoke(command, list(arguments))
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def with_option(name, value):
    arguments = list(GOOD)
    arguments[arguments.index(name) + 1] = value
    return arguments


@pytest.mark.parametrize("suffix", [".png", ".svg", ".pdf"])
def test_numbers_and_a_picture(tmp_path, suffix):
    result = run(*GOOD, "--moment", "penalty-kick", "--out", str(tmp_path / f"frame{suffix}"))
    assert "Penalty kick, 20 m away" in result.output
    assert "angle of view" in result.output
    assert (tmp_path / f"frame{suffix}").stat().st_size > 5_000
    with pytest.raises(OutputError, match="already exists"):
        run(*GOOD, "--out", str(tmp_path / f"frame{suffix}"))


def test_focal_length_can_be_fixed_and_feet_shown():
    assert "at 135 mm" in run(*with_option("--lens", "70-200@135mm")).output
    assert "66 ft away" in run(*GOOD, "--moment", "penalty-kick", "--units", "imperial").output


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (with_option("--at", "57"), r'--at: wrong place \(got "57"\); write X,Y or X,Y,Z'),
        (with_option("--at", "nan,3"), "--at: wrong place"),
        (with_option("--at", "1,2,500"), "lens height is out of range"),
        (with_option("--look", "1,2,3"), "--look: wrong place"),
        (with_option("--lens", "big"), "--lens: not a lens"),
        (with_option("--lens", "70-200@20"), "allowed: 70 to 200 mm"),
        ([*GOOD, "--moment", "penalty-kik"], 'no such key moment .* did you mean "penalty-kick"'),
        ([*GOOD, "--camera", "Z"], "no such camera"),
        ([*GOOD, "--out", "frame.gif"], "unknown kind of picture"),
        (["--at", "1,2", "--lens", "50", "--look", "0,0"], "either a match file or --sport"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(arguments, message):
    with pytest.raises(InputError, match=message) as caught:
        run(*arguments)
    assert "\n" not in str(caught.value)
