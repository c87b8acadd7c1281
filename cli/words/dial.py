"""The dial of a camera: what to set once and leave, and what changes when the sky does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from standmark.cli.words.spots import short_period
from standmark.optimizer.match.match import Match
from standmark.optimizer.planning import Plan
from standmark.optimizer.settings.case import Settings
from standmark.optimizer.settings.light_path import match_sky
from standmark.optimizer.settings.notation import aperture_text, number_text, time_text
from standmark.optimizer.settings.planned import PlannedCard, planned_cards

LABELS = ("frame rate", "shutter", "aperture", "ND", "ISO", "white balance", "focus")
OTHER_SKIES = (("sun", "Sun out"), ("overcast", "Dull"))
FOCUS = (
    ("by hand", "by hand", "left alone"),
    ("person or eye", "eye or person", "small area to fall back on"),
    ("continuous", "continuous, small area", "on the ball"),
)


@dataclass(frozen=True)
class Dial:
    """What to set a camera to, in the order in which one sets it; values are short enough to stand large."""

    rate: str
    shutter: str
    aperture: str
    nd: str
    iso: str
    white_balance: str
    focus: str
    focus_on: str
    slow: str  # frame rate for slow motion; "" where the camera has none that plays evenly
    skies: tuple[tuple[str, str], ...]  # what changes in another sky: ("Sun out", "f/14")
    differs: tuple[tuple[str, str], ...]  # periods whose settings differ, and how
    warnings: tuple[str, ...]

    @property
    def cells(self) -> tuple[str, ...]:
        """Values in the order of LABELS."""
        return (self.rate, self.shutter, self.aperture, self.nd, self.iso, self.white_balance, self.focus)


def camera_dials(plan: Plan, cards: Sequence[PlannedCard]) -> dict[str, Dial]:
    """Return the dial of every camera of a plan, by its name."""
    skies = [(label, _other_cards(plan, sky)) for sky, label in OTHER_SKIES] if _is_daylight(plan.match) else []
    return {camera.name: _dial(plan, cards, camera.name, skies) for camera in plan.match.cameras}


def _is_daylight(match: Match) -> bool:
    return not (match.venue.is_indoor or match.venue.is_floodlit) and match.venue.lux is None


def _other_cards(plan: Plan, sky: str) -> Sequence[PlannedCard]:
    """Cards of the same plan under another sky; none where it's the sky of the plan."""
    if match_sky(plan.match).key == sky:
        return ()
    return planned_cards(plan, weather=replace(plan.match.filming.weather, sky=sky))


def _main_card(cards: Sequence[PlannedCard], camera: str, period: str | None = None) -> PlannedCard | None:
    """Card of the play that a camera films most kinds of, in one period or in the first that has one."""
    own = [c for c in cards if c.camera == camera and period in (None, c.period)]
    return max(own, key=lambda c: (c.group.name.startswith("play"), len(c.group.moments)), default=None)


def _dial(
    plan: Plan, cards: Sequence[PlannedCard], camera: str, skies: Sequence[tuple[str, Sequence[PlannedCard]]]
) -> Dial:
    main = _main_card(cards, camera)
    assert main is not None, "every camera of a plan has a card"
    used = main.card.settings
    values = _values(main)
    focus, focus_on = next((name, on) for key, name, on in FOCUS if key in main.card.focus_area or key == FOCUS[-1][0])
    even = [rate.fps for rate in main.card.rates if rate.plays_evenly and rate.fps > 1.5 * used.fps]
    changed = []
    for label, others in skies:
        other = _main_card(others, camera)
        if other is not None and (said := _difference(values, _values(other))):
            changed.append((label, said))
    differs = []
    for period in plan.periods:
        card = _main_card(cards, camera, period.period.key)
        if card is not None and (said := _difference(values, _values(card))):
            differs.append((short_period(period.period.name), said))
    for card in (c for c in cards if c.camera == camera and c.group.name == main.group.name):
        differs += [
            (f"From {change.at:%H:%M}", said)
            for change in card.changes
            if (said := _difference(values, _set_values(change.settings)))
        ]
    return Dial(
        *values,
        white_balance=f"{_kelvin(main)} K",
        focus=focus,
        focus_on=focus_on,
        slow=number_text(even[0], decimals=3) if even else "",
        skies=tuple(changed),
        differs=tuple(dict.fromkeys(differs)),
        warnings=tuple(dict.fromkeys(w for c in cards if c.camera == camera for w in c.card.warnings)),
    )


def _values(planned: PlannedCard) -> tuple[str, str, str, str, str]:
    """Frame rate, shutter, aperture, ND and ISO of a card."""
    return _set_values(planned.card.settings)


def _set_values(used: Settings) -> tuple[str, str, str, str, str]:
    nd = "none" if used.nd_stops < 0.05 else f"{2 ** round(used.nd_stops):d}"
    return (
        number_text(used.fps, decimals=3),
        time_text(used.time_s).removesuffix(" s"),
        aperture_text(used.f_number),
        nd,
        f"{used.iso:.0f}",
    )


def _kelvin(planned: PlannedCard) -> int:
    low, high = planned.card.light.kelvin
    return round(math.sqrt(low * high) / 100) * 100


def _difference(usual: Sequence[str], other: Sequence[str]) -> str:
    """Say what differs: "f/14", "ND 32, ISO 200"."""
    names = ("", "", "", "ND ", "ISO ")
    parts = [f"{name}{b}" for name, a, b in zip(names, usual, other, strict=True) if a != b]
    return ", ".join(parts).replace("ND none", "no ND")


def dial_notes(dial: Dial) -> list[str]:
    """Say what changes with the sky, between periods, and for slow motion."""
    notes = [". ".join(f"{label}: {said}" for label, said in dial.skies) + "."] if dial.skies else []
    if dial.differs:
        notes.append(". ".join(f"{when}: {said}" for when, said in dial.differs) + ".")
    if dial.slow:
        notes.append(f"Slow motion: {dial.slow} frames, same shutter.")
    return notes
