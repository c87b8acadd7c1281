"""What to look at before the day: at a training session of the side, and on a visit to the ground."""

from __future__ import annotations

from standmark.optimizer.day.outing import Outing, is_raised

# Recce lists of film courses, 2011 to 2014: owner, power, light, noise, access, photographs of each spot; the rest is
# common practice without a published source.


def training_list(outing: Outing) -> tuple[str, ...]:
    """List what to watch at a training session: what the brief of the sport has, and what the crew needs to know."""
    return (
        *outing.watch,
        "Film ten minutes with the kit of the day, from the side you'll film from; look at it at home for focus and "
        "smear.",
        "Note shirt numbers and faces of those who matter, and who takes set pieces or serves.",
        *(("Ask who looks after consent, and who must not be shown.",) if outing.has_minors else ()),
    )


def ground_list(outing: Outing) -> tuple[str, ...]:
    """List what to look at on a visit to the ground, with a photograph of each."""
    raised = any(is_raised(camera) for camera in outing.cameras)
    lamps = ("Lamps on: test for flicker at your frame rate; ask whether they are dimmed for matches.",)
    sun = ("Come at the hour of the match: where does the sun stand, what will be in shade?",)
    return (
        "Stand on every place of the plan and on the spare ones; a photograph through the lens from each.",
        "What is in the way that the plan doesn't know: boards, cars, tents, scoreboards, where people queue.",
        "Floor: level, dry, free of trips; how far from the line you really are.",
        *(("The way up to the platform, its guardrails, who has inspected it, and its wind limit.",) if raised else ()),
        *(lamps if outing.is_lit else sun),
        "Sockets that work, and a room that can be locked.",
        "The way in with kit, parking, the nearest toilet, first aid, and where an ambulance drives in.",
        "Loudspeakers and other noise beside each place.",
        "Where your telephone has a signal.",
    )
