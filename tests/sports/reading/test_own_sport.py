"""Sports of the user's: a whole one, one that extends ours, and what is said when something is wrong."""

import re
import shutil
from pathlib import Path

import pytest
from pydantic import BaseModel

from standmark.geometry.errors import InputError
from standmark.sports.library import FOLDER_VARIABLE, load_sport, sport_heads, sport_keys
from standmark.sports.reading.extend import lay_over, own_path
from standmark.sports.reading.schema import MomentTable, RateTable, SportFile
from standmark.sports.toml.file import models_in

ROOT = Path(__file__).resolve().parents[3]
SPORTS = ROOT / "examples" / "sports"
LANTERN = (SPORTS / "lantern-ball.toml").read_text(encoding="utf-8")


def load_text(folder, text, name="lantern-ball.toml"):
    (folder / name).write_text(text, encoding="utf-8")
    return load_sport(folder / name)


def test_the_invented_sport_loads_at_both_sizes():
    adult, junior = load_sport(SPORTS / "lantern-ball.toml"), load_sport(SPORTS / "lantern-ball.toml", preset="junior")
    assert adult.area.outline.area == pytest.approx(36 * 20 - (4 - 3.14159) * 3**2, rel=1e-4)
    assert [m.rate_per_match for m in junior.moments if m.key == "goal"] == [14]
    assert [p.key for p in adult.area.places] == ["end-line-plus", "end-line-minus", "side-line"]
    assert len([m for m in adult.area.markings if m.name == "shooting circle"]) == 1


def test_a_folder_of_sports_is_found(monkeypatch):
    assert {"lantern-ball", "evening-football"} <= set(sport_keys(SPORTS))
    assert load_sport("lantern-ball", sports_dir=SPORTS).name == "Lantern ball"
    monkeypatch.setenv(FOLDER_VARIABLE, str(SPORTS))
    assert load_sport("evening-football").name == "Evening football"
    assert "evening-football" in {head.key for head in sport_heads()}
    monkeypatch.setenv(FOLDER_VARIABLE, str(SPORTS / "none"))
    with pytest.raises(InputError, match="no such folder"):
        sport_keys()


def test_a_sport_that_extends_ours_says_only_what_differs():
    ours, evening = load_sport("football"), load_sport("evening-football", sports_dir=SPORTS)
    changed = {m.key: m.importance for m in evening.moments}
    assert changed["corner-contest"] == 4
    assert {m.key for m in ours.moments} - set(changed) == {"line-up", "warm-up"}
    assert set(changed) - {m.key for m in ours.moments} == {"bench-party"}
    assert {p.key for p in evening.area.places} - {p.key for p in ours.area.places} == {"mound"}
    assert evening.area.outline.equals(ours.area.outline)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('key = "lantern-ball"', 'key = "Lantern Ball"', r"lantern-ball.toml:10: key: must be lower-case"),
        ('name = "Lantern ball"', "", r"lantern-ball.toml: name: missing"),
        ('side_line = "side line"', 'sideline = "x"', r'area.sideline: unknown key; .*did you mean "side_line"'),
        ("weight = 0.6", "weight = 0.7", r"moment\[1\].zone: weights sum to 1.1; they must sum to 1"),
        ("weight = 0.6", "weight = -0.6", r"moment\[1\].zone\[1\].weight: out of range \(got -0.6\); allowed: above 0"),
        ('kind = "sector"', 'kind = "secter"', r'zone\[1\].shape: kind "secter" not known; .*did you mean "sector"'),
        ("end - post_in", "end - postin", r'size "postin" not known; allowed: .*did you mean "post_in"'),
        ("end - post_in", "end minus 3", r"cannot be read as a sum of sizes"),
        ("lens_height_m = [0.5, 1.8]", "lens_height_m = [0.5, inf]", r"lens_height_m\[2\]: must be a finite number"),
        ('source = "house-rules"\n\n[[target]]', 'source = "rules"\n\n[[target]]', r'source "rules" not known'),
        ("minutes = 20", "minutes = 0", r"period\[1\].minutes: out of range \(got 0\); allowed: above 0"),
        ('attack = "swapped"', 'attack = "other"', r'period\[2\].attack: not known \(got "other"\); allowed: first'),
        ("toward = [", "towards = [", r'facing.towards: unknown key; .*did you mean "toward"'),
        ("direction_deg = 180, spread_deg = 70", "spread_deg = 70", r"facing: needs either direction_deg or toward"),
        ("action_height_m = [0.5, 3.0]", "action_height_m = [3.0, 0.5]", r"lowest first: 3 is above 0.5"),
        ('x = ["end + 2.2", "end + 4"]', 'x = ["end + 4", "end + 2.2"]', r"place\[1\].shape: has no inside"),
        ('kind = "rect", x = ["-0.2 end", "end - 2"], y = ["-0.8 side", "0.8 side"]',
         'kind = "polygon", points = [[0, 0], [8, 8], [8, 0], [0, 8]]', r"shape: its edges cross at 4, 4"),
        ("radius = 3 }", "radius = 30 }", r"area.outline: corner radius 30 m is too large"),
        ("after_min = 10", "after_min = 19.5", r"order.pauses\[1\].after_min: the pause ends after its period, .* 20"),
        ('period = "first-half", after', 'period = "one", after', r'period "one" not known; allowed: first-half'),
        ("after_min = 10, ", "", r"order.pauses\[1\]: needs either after_min \(with period\) or how_often"),
        ("grow = 2 }\nreason", "grow = 1e7 }\nreason", r"keep_clear\[1\].shape.grow: must be a finite number of"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_file_and_key(tmp_path, old, new, message):
    assert old in LANTERN
    with pytest.raises(InputError, match=message):
        load_text(tmp_path, LANTERN.replace(old, new))


def test_two_mistakes_are_told_with_their_lines(tmp_path):
    text = LANTERN.replace("minutes = 20", "minutes = 0", 1).replace("weight = 0.4", 'weight = "much"')
    with pytest.raises(InputError) as error:
        load_text(tmp_path, text)
    lines = text.splitlines()
    numbers = [int(line.split(":")[1]) for line in str(error.value).splitlines()]
    assert [lines[n - 1].split("=")[0].strip() for n in numbers] == ["minutes", "{ weight"]


def test_a_definition_must_be_called_like_its_key(tmp_path):
    shutil.copy(SPORTS / "lantern-ball.toml", tmp_path / "lamp.toml")
    with pytest.raises(InputError, match=r'key is "lantern-ball"; it must be the name of the file, "lamp"'):
        load_sport("lamp", sports_dir=tmp_path)


def test_mistakes_in_an_extension_are_told_at_its_own_lines(tmp_path):
    text = (SPORTS / "evening-football.toml").read_text(encoding="utf-8")
    with pytest.raises(InputError, match=r'x.toml:7: without.moment.*"lineup".*did you mean "line-up"'):
        load_text(tmp_path, text.replace('"line-up"', '"lineup"'), "x.toml")
    with pytest.raises(InputError, match=r"x.toml:11: moment\[1\].importance: .* \(got 40\); allowed: at most 20"):
        load_text(tmp_path, text.replace("importance = 4", "importance = 40"), "x.toml")
    with pytest.raises(
        InputError, match=r'x.toml:3: extends: unknown sport \(got "footbal"\).*did you mean "football"'
    ):
        load_text(tmp_path, text.replace('"football"', '"footbal"'), "x.toml")


def test_sports_of_ones_own_cannot_extend_each_other(tmp_path):
    (tmp_path / "one.toml").write_text('extends = "two"\n', encoding="utf-8")
    (tmp_path / "two.toml").write_text('extends = "one"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r'one.toml:1: extends: a sport of your own cannot be extended \(got "two"\)'):
        load_sport("one", sports_dir=tmp_path)


def test_laying_over_merges_tables_and_named_entries():
    base = {"a": {"b": 1, "c": 2}, "row": [{"key": "x", "v": 1, "w": 1}, {"key": "y", "v": 2}], "list": [1, 2]}
    own = {"a": {"c": 3}, "row": [{"key": "y", "v": 5}, {"key": "z"}], "list": [3], "without": {"row": ["x"]}}
    merged, problems = lay_over(base, own)
    assert merged == {"a": {"b": 1, "c": 3}, "row": [{"key": "y", "v": 5}, {"key": "z"}], "list": [3]}
    assert problems == []
    assert own_path(("row", 0, "v"), merged, own) == ("row", 0, "v")
    assert own_path(("row", 1, "key"), merged, own) == ("row", 1, "key")
    assert own_path(("a", "b"), merged, own) == ("a",)
    assert base["row"][0]["key"] == "x"  # what was given is not changed


def test_same_name_with_other_presets_is_another_entry():
    base = {"marking": [{"name": "line", "only": ["a"], "v": 1}, {"name": "line", "only": ["b"], "v": 2}]}
    merged, _ = lay_over(base, {"marking": [{"name": "line", "only": ["b"], "v": 3}]})
    assert [entry["v"] for entry in merged["marking"]] == [1, 3]


def test_every_key_is_documented():
    page = (ROOT / "docs" / "sport-file.md").read_text(encoding="utf-8")
    words = set(re.findall(r"[a-z_0-9]+", page))
    missing = {name for model in models(SportFile) for name in model.model_fields} - words
    assert not missing


def models(model, seen=None):
    seen = {RateTable, MomentTable} if seen is None else seen
    seen.add(model)
    for field in model.model_fields.values():
        for inner in models_in(field.annotation):
            if inner not in seen:
                models(inner, seen)
    return {entry for entry in seen if issubclass(entry, BaseModel)}


def own_football(folder, text):
    path = folder / "park-football.toml"
    path.write_text(f'extends = "football"\nkey = "park-football"\n{text}')
    return path


def test_a_crowd_of_more_people_than_play_is_refused_with_the_most_that_fits(tmp_path):
    # 0.2 per m2 within 8 m are 0.2 x 201.06 = 40.2 people; 21 others play: 21 / 201.06 = 0.104.
    crowd = '[[moment]]\nkey = "shot"\ncrowd_per_m2 = {}\n[[preset]]\nkey = "7v7"\nplayers_per_side = 11\n'
    message = (
        r":7: moment\[1\].crowd_per_m2: 0.2 a square metre .* makes 40.2 people, but only 21 others .* at most 0.104"
    )
    with pytest.raises(InputError, match=message):
        load_sport(own_football(tmp_path, "[without]\npreset = []\n" + crowd.format(0.2)))
    with pytest.raises(InputError, match=r"only 17 others play \(9v9\)"):
        load_sport(own_football(tmp_path, crowd.format(0.104).split("[[preset]]")[0]))


def test_moments_that_count_an_event_more_often_than_it_happens_are_refused(tmp_path):
    text = '[[moment]]\nkey = "save"\nrate_per_match = 20\n'
    with pytest.raises(
        InputError, match=r"23.6 shot in a match, but its moments count 38.1 \(adult: .*save 20"
    ) as told:
        load_sport(own_football(tmp_path, text))
    assert str(told.value).count("23.6 shot in a match") == 1  # adult and international are alike
    assert load_sport(own_football(tmp_path, text + "second_view = true\n"))
    with pytest.raises(InputError, match=r'event "kicks" not known; allowed: corner, shot'):
        load_sport(own_football(tmp_path, '[[moment]]\nkey = "duel"\nevent = "kicks"\n'))


def test_a_preset_that_changes_a_rate_must_change_what_follows(tmp_path):
    text = '[[preset]]\nkey = "adult"\nmoments = {{ goal = {{ rate_per_match = 3 }}{} }}\n{}'
    with pytest.raises(InputError) as caught:
        load_sport(own_football(tmp_path, text.format("", "")))
    for missing in ("celebration", "kick-off", "save", "shot", "events.shot.per_match"):
        assert missing in str(caught.value)
    rest = ("celebration", "kick-off", "save", "shot", "penalty-kick", "free-kick")
    more = "".join(f", {key} = {{ rate_per_match = 1 }}" for key in rest)
    events = 'events = { shot = { per_match = 24, source = "estimate" } }\n'
    assert load_sport(own_football(tmp_path, text.format(more, events)))


def test_more_zones_or_periods_than_a_plan_could_hold_are_refused(tmp_path):
    zone = re.search(r"zone = \[\n(.*?)\n\]", LANTERN, re.DOTALL)
    many = "".join(f'  {{ weight = 0.0005, shape = {{ kind = "circle", centre = [{k % 9}, 0], radius = 1 }} }},\n'
                   for k in range(2000))  # fmt: skip
    with pytest.raises(InputError, match=r"moment: 20\d\d zones in all; allowed: at most 1000"):
        load_text(tmp_path, LANTERN.replace(zone.group(1), many, 1))
    period = re.search(r"\[\[period\]\]\n.*?\n\n", LANTERN, re.DOTALL).group()
    with pytest.raises(InputError, match=r"period: 8\d periods; allowed: at most 60"):
        load_text(tmp_path, LANTERN.replace(period, 80 * period, 1))
