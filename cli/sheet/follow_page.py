"""The page of a camera that walks with play: its card to cut out, and what each way to work gets."""

from __future__ import annotations

import numpy as np

from standmark.cli.drawing.follow_card import card_picture
from standmark.cli.drawing.marks import Line, box_ring
from standmark.cli.sheet.blocks import SMALL_MM, Block, bullets, heading, space, table
from standmark.cli.sheet.content import SheetContent
from standmark.cli.sheet.paper import Paper, Part
from standmark.cli.words.roam_words import follow_section, told_scenes
from standmark.optimizer.roam.follow import FollowPlan, SceneFollow

WIDTHS = (3.0, 1.0, 1.0, 1.2)


def follow_parts(content: SheetContent, paper: Paper) -> list[Part]:
    """Lay out a page for each card of each camera that walks."""
    return [
        Part(f"Camera {follow.camera.name}, walking with play", _blocks(content, follow, scene, paper))
        for follow in content.plan.follow
        for scene in told_scenes(follow)
    ]


def _blocks(content: SheetContent, follow: FollowPlan, scene: SceneFollow, paper: Paper) -> list[Block]:
    card = card_picture(content.plan, follow, scene, units=content.units)
    edge = Line("thin", (np.asarray(box_ring(0.0, 0.0, card.width_mm, card.height_mm)),))
    section, width = follow_section(follow), paper.inner_mm
    return [
        Block(card.width_mm, card.height_mm, (*card.marks, edge)),
        space(4.0),
        heading("What each way to work gets", width_mm=width),
        *table(section.columns, section.rows, widths=WIDTHS, width_mm=width, size_mm=SMALL_MM),
        space(2.0),
        *bullets(section.notes, width_mm=width),
    ]
