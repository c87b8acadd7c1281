"""A standard file that is wrong is answered in one line: file, line, key, what was found, what is allowed."""

import pytest

from standmark.geometry.errors import InputError
from standmark.optimizer.standard.read_standard import read_standard

ROLE = '[[role]]\ncode = "M"\nname = "Main"\nfrom_deg = [-3, 3]\n'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", r"s\.toml: holds no \[\[role\]\]"),
        (f"{ROLE}colour = 3\n", r"s\.toml:5: role\[1\]\.colour: unknown key; allowed: aim, "),
        (f"{ROLE}size = [0.4]\n", r"s\.toml:5: role\[1\]\.size\[2\]: missing"),
        (f"{ROLE}size = [0.5, 0.2]\n", r"role\[1\]\.size: lowest first: 0\.5 is above 0\.2"),
        (f'{ROLE}aim = "end"\n', r'role\[1\]\.aim: aim = "end" needs each_end = true'),
        (f'{ROLE}aim = "centre"\n', r"role\[1\]\.aim: not known .*allowed: middle, end"),
        (f'{ROLE}lenses = ["70-20"]\n', r"role\[1\]\.lenses\[1\]: .*write the shortest first"),
        (f'{ROLE}sports = ["fotball"]\n', r'role\[1\]\.sports\[1\]: .*did you mean "football"'),
        (
            f"{ROLE}look_down_deg = [1, 120]\n",
            r"role\[1\]\.look_down_deg\[2\]: .* \(got 120\); allowed: below 90",
        ),
        (f"{ROLE}over_target = true\n", r'role\[1\]\.over_target: needs aim = "end"'),
        (ROLE.replace('"M"', '"m1"'), r"s\.toml:2: role\[1\]\.code: must be one to three capital letters"),
        (ROLE + ROLE, r'roles "Main" and "Main" would share the code M'),
        (f"[step]\nlook = 3\n{ROLE}", r"step\.look: not known; allowed: direction"),
        (f'[standard]\nmain_side = "left"\n{ROLE}', r"s\.toml:2: standard\.main_side: not known"),
        ("role = = 1\n", r"s\.toml:1: not TOML"),
    ],
)
def test_one_line_for_one_mistake(tmp_path, text, told):
    path = tmp_path / "s.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(InputError, match=told) as error:
        read_standard(path)
    assert len(str(error.value).splitlines()) == 1
