"""Everything that settings and day have to say about a plan, for pages that show both."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from standmark.cli.words.day_sections import camera_caution_sections, day_sections
from standmark.cli.words.naming import way_words
from standmark.cli.words.section import Section
from standmark.cli.words.settings_sections import settings_sections
from standmark.cli.words.units import Units, length_words
from standmark.optimizer.day.crew_day import CrewDay, crew_day
from standmark.optimizer.day.day import Day
from standmark.optimizer.day.outing import Outing
from standmark.optimizer.day.planned import match_outing, planned_day, planned_stop
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.planned import PlannedCard, planned_cards


def plan_sections(plan: Plan, *, units: Units = Units.METRIC) -> tuple[Section, ...]:
    """Tell the settings of a plan and the day of its match; pick sections by their `key`.

    Keys: light; once-, settings-, focus-, shutters-, rates-, steps- and cautions- with the camera's name; times,
    cautions, kit, joint, before, access, welfare.
    """
    cards = planned_cards_in(plan, units=units)
    day = day_of(plan, cards, units=units)
    return (*settings_sections(plan, cards, units=units), *day_sections(day), *camera_caution_sections(day))


def planned_cards_in(plan: Plan, *, units: Units) -> tuple[PlannedCard, ...]:
    """Work out the settings of a plan, told in metres or feet."""
    return planned_cards(plan, say_length=partial(length_words, units=units))


def day_of(plan: Plan, cards: tuple[PlannedCard, ...], *, units: Units = Units.METRIC) -> Day:
    """Work out the day of a planned match, with places in words."""
    return planned_day(plan, cards, say_place=lambda spot: way_words(spot, plan.match, units=units))


def crew_day_of(plans: Sequence[Plan], *, units: Units = Units.METRIC) -> CrewDay:
    """Work out the one day of a crew that films several planned matches."""
    return crew_day(
        [
            planned_stop(
                plan,
                planned_cards_in(plan, units=units),
                say_place=lambda spot, match=plan.match: way_words(spot, match, units=units),  # type: ignore[misc]
            )
            for plan in plans
        ]
    )


def outing_of(plan: Plan, *, units: Units = Units.METRIC) -> Outing:
    """Describe a planned match as the people who film it live it, with places in words."""
    cards = planned_cards_in(plan, units=units)
    return match_outing(plan, cards, say_place=lambda spot: way_words(spot, plan.match, units=units))
