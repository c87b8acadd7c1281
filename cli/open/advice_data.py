"""The advice as the page reads it: if they say no, worth asking, how far one may shift, how much hangs on guesses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from standmark.cli.open.answer_data import camera_data
from standmark.cli.sheet.answers import camera_stays
from standmark.cli.words.advice_sections import doubt_words
from standmark.cli.words.advice_words import camera_advice, limit_words
from standmark.cli.words.ask_words import about as about_height
from standmark.cli.words.ask_words import ask_area, ask_name
from standmark.cli.words.shares import whole_percent
from standmark.cli.words.spots import shift_words
from standmark.cli.words.summary import refused_words
from standmark.cli.words.units import Units
from standmark.cli.words.usual import usual_place
from standmark.optimizer.advice import Advice
from standmark.optimizer.planning import Plan

WORTH_ASKING = 0.005  # coverage gained, under which a place is not named
ALONE = ("one_side_loss", "doubt", "bag", "kit", "curve")  # parts of advice that are one thing, not several


def with_parts(plan: Plan, parts: Mapping[str, Any]) -> Plan:
    """Plan with as much advice as is known so far; what is not is empty."""
    empty = {field.name: None if field.name in ALONE else () for field in fields(Advice)}
    return replace(plan, advice=Advice(**(empty | dict(parts))))


def advice_data(plan: Plan) -> dict[str, Any]:
    """What the advice of a plan says: if they say no, worth asking, how far one may shift."""
    match = plan.match
    return {
        "cameras": [_advised(plan, i) for i in range(len(match.cameras))],
        "ask": _asks(plan),
        "closed": _closed(plan),
    }


def late_advice_data(plan: Plan) -> dict[str, Any]:
    """What is known last: what one would get by habit, and how much hangs on guesses."""
    habit = usual_place(plan)
    return {"usual": None if habit is None else {"words": habit.words}, "doubt": _doubt(plan)}


def _advised(plan: Plan, index: int) -> dict[str, Any]:
    name = plan.match.cameras[index].name
    stays = camera_stays(plan, index)
    told = camera_advice(plan.advice, stays[0].periods[0].period.key, name)
    spares = [s.spare for s in stays]
    return {
        "name": name,
        "limit": "" if told is None else limit_words(told.limits),
        "shift": shift_words(told, plan.match),
        "refused": refused_words(plan, index, Units.METRIC),
        "spares": [
            None if f is None else {"at": [round(v, 3) for v in (f.spot.x_m, f.spot.y_m, f.spot.z_m)]} for f in spares
        ],
        "stays": camera_data(plan, index)["stays"],
    }


def _asks(plan: Plan) -> list[dict[str, Any]]:
    asks = []
    for ask in () if plan.advice is None else plan.advice.ask:
        if ask.gain < WORTH_ASKING:
            continue
        height = about_height(ask.spot.z_m, Units.METRIC)
        article = ask_name(ask, plan.match)
        asks.append(
            {
                "key": ask.area,
                "name": ask_area(ask, plan.match).name,
                "camera": ask.camera,
                "gain": round(ask.gain, 4),
                "at": [round(v, 3) for v in (ask.spot.x_m, ask.spot.y_m, ask.spot.z_m)],
                "words": f"Ask for {article}, {height} up: worth {whole_percent(ask.gain)} more.",
                "edits_yes": [{"do": "put", "part": "answers", "field": ask.area, "value": "yes"}],
                "edits_no": [{"do": "put", "part": "answers", "field": ask.area, "value": "no"}],
            }
        )
    return asks


def _closed(plan: Plan) -> list[dict[str, Any]]:
    """What each place costs if the ground closes it, dearest first; places that cost nothing are left out."""
    names = {area.key: area.name for area in plan.match.venue.allowed}
    told = [] if plan.advice is None else list(plan.advice.refusals)
    dear = [r for r in told if r.loss is None or r.loss >= WORTH_ASKING]
    return [
        {
            "key": r.area,
            "name": names[r.area],
            "loss": None if r.loss is None else round(r.loss, 4),
            "words": f"Without {names[r.area]}: "
            + ("no plan is left." if r.loss is None else f"you lose {whole_percent(r.loss)}."),
        }
        for r in sorted(dear, key=lambda r: -(1.0 if r.loss is None else r.loss))
    ]


def _doubt(plan: Plan) -> dict[str, Any] | None:
    if plan.advice is None or plan.advice.doubt is None:
        return None
    doubt = plan.advice.doubt
    words = doubt_words(doubt, len(plan.match.cameras))
    return {"as_good": round(doubt.as_good, 3), "worst": round(doubt.worst_regret, 4), "words": words}
