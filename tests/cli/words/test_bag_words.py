"""Whose kit was assumed, and what to hire, in words."""

from dataclasses import replace

from small_match import small_match

from standmark.cli.words.bag_words import assumed_words
from standmark.geometry.optics.camera import Lens
from standmark.optimizer.match.match import camera_copies
from standmark.optimizer.match.read_match import default_match


def test_the_kit_of_cameras_that_were_made_up_is_told():
    told = assumed_words(default_match("football", cameras=3))
    assert told == "Kit assumed: full frame 4K, 24-70 mm and 70-200 mm, tripod."
    own = small_match()
    own = replace(own, cameras=(replace(own.cameras[0], lenses=(Lens("70-200", (70.0, 200.0)),), kit_of=None),))
    assert assumed_words(own) == ""
    three = assumed_words(replace(own, cameras=camera_copies(own.cameras, 3)))
    assert three == "Kit of cameras B and C assumed to be that of camera A: full frame 4K, 70-200 mm, tripod."
