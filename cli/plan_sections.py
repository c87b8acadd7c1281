"""Everything that settings and day have to say about a plan, for pages that show both."""

from __future__ import annotations

from standmark.cli.day_sections import day_sections
from standmark.cli.section import Section
from standmark.cli.settings_sections import settings_sections
from standmark.cli.words import place_words
from standmark.optimizer.day.day import Day
from standmark.optimizer.day.planned import planned_day
from standmark.optimizer.plan import Plan
from standmark.optimizer.settings.planned import PlannedCard, planned_cards


def plan_sections(plan: Plan) -> tuple[Section, ...]:
    """Tell the settings of a plan and the day of its match; pick sections by their `key`.

    Keys: light; settings-, focus-, shutters-, rates- and steps- with the camera's name; times, cautions, kit, joint,
    before, access, welfare.
    """
    cards = planned_cards(plan)
    return (*settings_sections(plan, cards), *day_sections(day_of(plan, cards)))


def day_of(plan: Plan, cards: tuple[PlannedCard, ...]) -> Day:
    """Work out the day of a planned match, with places in words."""
    return planned_day(plan, cards, say_place=lambda spot: place_words(spot, plan.match))
