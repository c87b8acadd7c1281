"""From a plan to the day of the match."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from itertools import pairwise

from standmark.geometry.optics.exposure import nd_factor
from standmark.optimizer.day.day import Day, plan_day
from standmark.optimizer.day.outing import Ask, CameraDay, Outing
from standmark.optimizer.day.stop import Stop
from standmark.optimizer.day.two_cameras import Setting
from standmark.optimizer.match.crew import GROUND, person_with, reach_words
from standmark.optimizer.match.match import Camera, Match
from standmark.optimizer.match.presets import lens_label
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.planned import PlannedCard
from standmark.optimizer.work.assignment import Spot
from standmark.optimizer.work.danger import spot_dangers
from standmark.optimizer.work.hold import hold_at
from standmark.optimizer.work.walk import walk_between

SayPlace = Callable[[Spot], str]
FARTHEST_APART = timedelta(hours=18)  # starts of matches that still make one day; common practice, no source
BY_HAND = "strap: held by hand, nothing else is allowed there"


def planned_day(plan: Plan, cards: tuple[PlannedCard, ...], *, say_place: SayPlace) -> Day:
    """Work out the day of a planned match.

    Parameters
    ----------
    cards : settings of the plan; the first of each camera stands for it
    say_place : words for the way to a spot, as after "go": "to the far side, at halfway: ..."
    """
    settings = _first_settings(plan, cards)
    return plan_day(
        match_outing(plan, cards, say_place=say_place),
        settings=settings,
        leads=dict(plan.match.filming.leads),
    )


def planned_stop(plan: Plan, cards: tuple[PlannedCard, ...], *, say_place: SayPlace) -> Stop:
    """Work out one match of a day with several.

    Parameters
    ----------
    plan : of a match with a start
    """
    match, venue = plan.match, plan.match.venue
    if match.start is None:
        raise ValueError("a match of a day with several needs its start")
    latitude, longitude = venue.latitude_deg, venue.longitude_deg
    return Stop(
        title=match.title,
        outing=match_outing(plan, cards, say_place=say_place),
        day=planned_day(plan, cards, say_place=say_place),
        start=match.start,
        place_deg=None if latitude is None or longitude is None else (longitude, latitude),
        travel_min=match.filming.travel_min,
        parking_min=match.filming.parking_min,
    )


def match_outing(plan: Plan, cards: tuple[PlannedCard, ...], *, say_place: SayPlace) -> Outing:
    """Describe a planned match as the people who film it live it."""
    match, settings = plan.match, _first_settings(plan, cards)
    return Outing(
        sport=match.sport.name,
        ground=match.venue.name,
        start=match.start,
        periods=match.sport.periods,
        cameras=tuple(
            CameraDay(
                name=f"Camera {camera.name}",
                lenses=tuple(f"lens {lens_label(lens)}" for lens in camera.lenses),
                longest_mm=max(lens.focal_mm[1] for lens in camera.lenses),
                support=_support(plan, index),
                lens_height_m=max(period.assignments[index].spot.z_m for period in plan.periods),
                lowest_m=min(period.assignments[index].spot.z_m for period in plan.periods),
                dangers=tuple(
                    dict.fromkeys(d for p in plan.periods for d in spot_dangers(match, p.assignments[index].spot))
                ),
                filters=_filters(camera, cards),
                fps=settings[index].fps,
                recorder=camera.body.recorder,
                spare=_spare(plan, index, say_place),
                if_lost=_if_lost(plan, camera.name, say_place),
            )
            for index, camera in enumerate(match.cameras)
        ),
        weather=match.filming.weather,
        is_indoor=match.venue.is_indoor,
        is_lit=match.venue.is_indoor or match.venue.is_floodlit,
        has_minors=match.filming.has_minors,
        dangers=match.sport.brief.dangers,
        contact=reach_words(person_with(match.crew, GROUND)),
        move_after=_moves(plan, say_place),
        order=match.sport.order,
        ask=_ask(match),
        visit=match.filming.visit,
        travel_min=match.filming.travel_min,
        parking_min=match.filming.parking_min,
        watch=match.sport.brief.watch,
    )


def _ask(match: Match) -> Ask | None:
    """How long before the start one asks for permission: what the match file says, else the competition's rules."""
    if match.filming.ask_days is not None:
        return Ask(match.filming.ask_days, False, "match file")
    if match.profile is not None and match.profile.ask_days is not None:
        return Ask(match.profile.ask_days, match.profile.ask_working_days, match.profile.source)
    return None


def _spare(plan: Plan, index: int, say_place: SayPlace) -> str:
    """Where a camera goes if its first spot is refused; "" where the plan has no advice."""
    stages = () if plan.advice is None else plan.advice.stages
    fallbacks = (stage.cameras[index].fallback or stage.cameras[index].other_area for stage in stages)
    return next((say_place(fallback.spot) for fallback in fallbacks if fallback is not None), "")


def _if_lost(plan: Plan, name: str, say_place: SayPlace) -> str:
    """What the others do when a camera drops out; "" where the plan has no advice or there is one camera."""
    lost = next((gone for gone in (() if plan.advice is None else plan.advice.lost) if gone.camera == name), None)
    if lost is None:
        return ""
    if lost.coverage is None:
        return "the rules leave no plan without it, so ask before anybody moves."
    moved = dict.fromkeys(post.camera for post in lost.posts if post.is_moved)
    goes = []
    for other in moved:
        places = dict.fromkeys(say_place(post.spot) for post in lost.posts if post.camera == other)
        goes.append(f"camera {other} goes {', after the break '.join(places)}")
    return f"{'; '.join(goes) if goes else 'the others stay where they are, and go wider'}."


def _filters(camera: Camera, cards: tuple[PlannedCard, ...]) -> tuple[str, ...]:
    """Filters that a camera's settings use at any time: the variable one, or each strength of its own."""
    own = [card for card in cards if card.camera == camera.name]
    used = {s.nd_stops for card in own for s in (card.card.settings, *(c.settings for c in card.changes))} - {0.0}
    variable = camera.body.filters.variable_stops
    fixed = sorted(used & set(camera.body.filters.fixed_stops))
    names = [f"neutral density filter ND {nd_factor(stops):.0f}" for stops in fixed]
    if variable is not None and used - set(fixed):
        low, high = (f"{nd_factor(stops):.0f}" for stops in variable)
        names.append(f"variable neutral density filter ({low} to {high})")
    return tuple(names)


def _support(plan: Plan, index: int) -> str:
    """What carries a camera over the match: its own support, and what its places allow instead."""
    camera = plan.match.cameras[index]
    holds = [hold_at(plan.match, camera, period.assignments[index].spot) for period in plan.periods]
    named = dict.fromkeys(camera.support.name if hold.is_own else hold.support for hold in holds)
    return " and ".join(name for name in named if name != "hands") or BY_HAND


def _first_settings(plan: Plan, cards: tuple[PlannedCard, ...]) -> tuple[Setting, ...]:
    firsts = {planned.camera: planned.card.settings for planned in reversed(cards)}
    return tuple(Setting(c.name, firsts[c.name].fps, firsts[c.name].time_s) for c in plan.match.cameras)


def _walk_words(match: Match, here: Spot, there: Spot) -> str:
    walk = walk_between(match, (here.x_m, here.y_m), (there.x_m, there.y_m))
    minutes = max(round(walk.minutes), 1)
    return f"{minutes} minute{'' if minutes == 1 else 's'}, {walk.paces} paces"


def _moves(plan: Plan, say_place: SayPlace) -> tuple[tuple[str, str], ...]:
    """Say after which period who moves where."""
    moves = []
    for before, after in pairwise(plan.periods):
        told = [
            f"Camera {there.camera} walks {say_place(there.spot)}: {_walk_words(plan.match, here.spot, there.spot)}."
            for here, there in zip(before.assignments, after.assignments, strict=True)
            if here.spot.id != there.spot.id
        ]
        if told:
            moves.append((before.period.key, " ".join(told)))
    return tuple(moves)
