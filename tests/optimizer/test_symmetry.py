"""A ground turned, moved, mirrored or on the other hemisphere scores alike: a share of `hostile.py --symmetries`."""

import math
import random
from dataclasses import replace

import hostile_symmetry
from hostile_symmetry import faults_of, random_scene, symmetries

N_SCENES = 40  # 200 would take 7 s of processor time; before a release it is 5,000


def test_scenes_made_by_chance_hold_what_must_hold():
    told = list(symmetries(N_SCENES, random.Random(1), math.inf))
    assert len(told) == N_SCENES
    assert [words for words in told if words] == []


def test_a_value_that_depends_on_where_north_is_would_be_noticed(monkeypatch):
    scene = next(s for s in map(random_scene, map(random.Random, range(50))) if s.sky_deg and s.sky_deg[0][1] > 5)
    turned = replace(scene, sky_deg=tuple((0.0, elevation) for _, elevation in scene.sky_deg))
    monkeypatch.setattr(hostile_symmetry, "on_other_hemisphere", lambda scene: replace(scene, bearing_deg=17.0))
    assert any("hemisphere" in words for words in faults_of(turned, random.Random(1)))
