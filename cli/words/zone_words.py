"""What an estimate of zones has found, in the terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator

from standmark.cli.input.zone_events import LEAST_EVENTS, EventCounts
from standmark.cli.words.lines import wrapped
from standmark.cli.words.score_words import table
from standmark.cli.words.strengths import WIDTH
from standmark.optimizer.scoring.estimate import ZoneEstimate
from standmark.optimizer.scoring.flow_counts import FlowCounts
from standmark.sports.sport import Sport

EXPLAINED = (
    "Log-likelihood: mean log-density of events of matches that were kept aside, per event and square metre; the "
    "higher the better, +0.69 is twice as likely. Even: anywhere on the ground. Kernel: a smooth estimate at its best "
    "bandwidth, as a yardstick for what rectangles lose. Old zones are judged on all events."
)
NAMES = {"none": "none", "y": "left = right", "xy": "both ends, left = right"}


def estimates_text(sport: Sport, counts: EventCounts, estimates: dict[str, ZoneEstimate]) -> str:
    """Write the estimates as plain text."""
    return "\n".join(_lines(sport, counts, estimates)) + "\n"


def flow_words(counts: FlowCounts) -> str:
    """Say what was counted of how play moves."""
    followed = int(counts.same.sum() + counts.other.sum())
    lost = counts.other.sum() / max(followed, 1)
    said = (
        f"How play moves: {counts.n_plays:,} plays of {counts.n_matches} matches, {followed:,} followed by another; "
        f"after {100 * lost:.0f} % the other side has the next. Seconds to walk: {counts.walk_s[0]:.0f} before the "
        f"same side's next play, {counts.walk_s[1]:.0f} before the other's."
    )
    return "\n".join(wrapped(said, WIDTH))


def _lines(sport: Sport, counts: EventCounts, estimates: dict[str, ZoneEstimate]) -> Iterator[str]:
    matches = f" of {len(counts.matches)} matches" if counts.matches else ""
    yield f"{sport.name}, {sport.area.length_m:g} x {sport.area.width_m:g} m: {counts.n_rows:,} events{matches}"
    names = {m.key: m for m in sport.moments}
    rows = []
    for key, e in estimates.items():
        gain = f"x {math.exp(e.held_out - e.shipped):.2f}" if e.shipped is not None else ""
        taken = NAMES[e.mirror] if e.is_better else "old ones kept"
        rows.append([
            names[key].name, f"{e.n_events:,}", str(len(e.boxes)), f"{e.uniform:.2f}", f"{e.shipped:.2f}",
            f"{e.held_out:.2f}", f"{e.kernel:.2f} ({e.bandwidth_m:.2g} m)", gain, taken,
        ])  # fmt: skip
    head = ["key moment", "events", "zones", "even", "old zones", "new zones", "kernel", "new to old", "symmetry"]
    yield from table(head, rows)
    yield from wrapped(EXPLAINED, WIDTH)
    yield from _rate_lines(counts, estimates)
    kept = [f"{c.moment.name} ({c.n_events})" for k, c in counts.by_moment.items() if c.n_events and k not in estimates]
    if kept:
        why = f"Fewer than {LEAST_EVENTS} events, or all in one match, zones kept"
        yield from wrapped(f"{why}: {', '.join(kept)}", WIDTH)
    yield from _off_lines(counts, estimates)
    if counts.n_unnamed:
        yield f"Rows without a moment, left out: {counts.n_unnamed:,}"


def _off_lines(counts: EventCounts, estimates: dict[str, ZoneEstimate]) -> Iterator[str]:
    """Say which zones reach beyond the playing area, and how many events were left out for lying too far off."""
    own = {key: counts.by_moment[key] for key in estimates}
    beyond = [f"{c.moment.name} ({c.on[0].n_off} events off it)" for c in own.values() if c.is_off_area]
    if beyond:
        reach = f"up to {counts.grounds[1].grow_m:g} m"
        yield from wrapped(f"Zones reach beyond the playing area, {reach}: {', '.join(beyond)}", WIDTH)
    for is_off_area, where in ((False, "off the playing area"), (True, "farther off than the sport's surroundings")):
        left = [(c.moment.name, c.own.n_off) for c in own.values() if c.is_off_area == is_off_area and c.own.n_off]
        if left:
            words = ", ".join(f"{name} {n}" for name, n in left)
            yield from wrapped(f"Left out because they are {where}: {words}", WIDTH)


def _rate_lines(counts: EventCounts, estimates: dict[str, ZoneEstimate]) -> Iterator[str]:
    if not counts.matches:
        return
    n = len(counts.matches)
    words = [
        f"{c.moment.name} {c.n_events / n:.2f} (definition {c.moment.rate_per_match:g})"
        for key, c in counts.by_moment.items()
        if key in estimates
    ]
    yield from wrapped(f"A match, in these events: {', '.join(words)}", WIDTH)
