"""What a camera's role asks of its pictures, in place of what the film asks."""

from __future__ import annotations

from dataclasses import replace

from standmark.optimizer.match.match import Camera, Deliverable, Match
from standmark.optimizer.match.presets import deliverable_for

SHAPE = "analysis"  # the deliverable that holds the shape of play: its own extent and wanted size, from height
SIZE_SHARE = 0.7  # of the wanted size that a camera for faces asks for; common practice, no source


def shape_wish(match: Match) -> Deliverable:
    """Pictures that hold the shape of play, in the frame that is delivered."""
    return replace(deliverable_for(SHAPE, match.sport.area), aspect=match.deliverable.aspect)


def role_wish(match: Match, camera: Camera) -> Deliverable:
    """What a camera's own pictures are asked for: the shape of play, faces before size, or what the film asks."""
    film = match.deliverable
    if camera.role == "wide":
        return shape_wish(match)
    if camera.role == "faces":
        size, density = SIZE_SHARE * film.wanted_share, SIZE_SHARE * film.wanted_px_per_m
        return replace(film, faces=1.0, wanted_share=size, wanted_px_per_m=density)
    return film
