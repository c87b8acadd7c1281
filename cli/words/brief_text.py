"""What someone new to a sport needs to know before filming it, as sections of plain sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standmark.cli.words.lines import wrapped
from standmark.cli.words.rules_words import brief_rules
from standmark.cli.words.units import Units, height_words
from standmark.sports.competition import OWN_WORD
from standmark.sports.order import Order
from standmark.sports.sport import Brief, KeyMoment, Period, Sport

CAUTION = (
    "The venue, the competition's rules and the officials decide where you may stand; ask before the day. Every "
    "distance here is a usual value, not a permission."
)
CHILDREN = "Film children only with the consent that your country and the club ask for."
ASK = "Not every ground has these, and none is yours to take: ask. A plan says what each would add."
WAY = "Every plan works round these, unless your match file says that your ground doesn't have them."
SIGNALS = "From memory and common practice; the rule book of your competition goes first."
ENDS = {
    "swapped": "ends changed",
    "both": "ends change within it",
    "same": "ends never change",
}


@dataclass(frozen=True)
class BriefPart:
    """One part of a brief."""

    title: str
    sentences: tuple[str, ...] = ()
    items: tuple[tuple[str, str], ...] = ()  # name (may be empty) and what is said of it


def brief_sections(sport: Sport, *, units: Units = Units.METRIC) -> tuple[BriefPart, ...]:
    """Everything a brief says, in reading order."""
    brief = sport.brief
    return (
        BriefPart("How it scores", (brief.scoring,)),
        BriefPart("Rhythm", (brief.rhythm, period_words(sport.periods), *stop_words(sport.order))),
        BriefPart("Where to look", (brief.where_to_look,)),
        BriefPart("Faces and sides", (brief.faces,)),
        BriefPart("Where people usually stand", (brief.stand,), tuple(_place_items(sport, units))),
        BriefPart("Raised places to ask for", (ASK,), tuple(_raised_items(sport, units))),
        BriefPart("What stands in the way", (WAY,), tuple(_furniture_items(sport, units))),
        BriefPart("Where not to stand", (brief.keep_away,), tuple((k.name, k.reason) for k in sport.area.keep_clear)),
        BriefPart("Rules of competitions", (OWN_WORD,), tuple(brief_rules(sport))),
        BriefPart("Dangers and cautions", (), tuple(("", words) for words in _cautions(sport))),
        BriefPart("Missed most often", (brief.missed,)),
        BriefPart("What to film in play", (), tuple(_moment_items(sport, is_play=True))),
        BriefPart("What to film besides play", (), tuple(_moment_items(sport, is_play=False))),
        *_field_sections(brief),
        BriefPart("Ten words", (), brief.vocabulary),
        BriefPart("The figures", tuple(_figure_sentences(sport))),
    )


def _field_sections(brief: Brief) -> Iterator[BriefPart]:
    """What to look for before the day, and what is shown and shouted on it; only what the definition holds."""
    if brief.watch:
        yield BriefPart("Ten things to watch at a training session", (), tuple(("", line) for line in brief.watch))
    if brief.signals:
        yield BriefPart("What the officials show", (SIGNALS,), brief.signals)
    if brief.heard:
        yield BriefPart("Words on the field", (), brief.heard)


def period_words(periods: Sequence[Period]) -> str:
    """Say the periods with their breaks; alike ones together."""
    parts = []
    for period in periods:
        ends = f" ({ENDS[period.attack]})" if period.attack != "first" else ""
        rest = f", break {period.break_after_min:g}" if period.break_after_min else ""
        inside = f" in {period.parts} parts" if period.parts > 1 else ""
        parts.append(f"{period.name} {period.minutes:g} min{inside}{ends}{rest}")
    return f"By the watch, stops included: {'; '.join(parts)}."


def stop_words(order: Order) -> tuple[str, ...]:
    """Say how long play is dead, in one sentence; () where the definition has nothing."""
    said = "; ".join(f"{stop.name}, {stop.seconds:.0f} s" for stop in order.stops)
    return (f"How long play is dead: {said}.",) if said else ()


def headline(sport: Sport) -> str:
    """Size, number of players, setting and variants in one line."""
    area = sport.area
    others = [key for key in sport.presets if key != sport.preset]
    variants = f"; also as {', '.join(others)}" if others else ""
    setting = {"outdoor": "outdoors", "indoor": "indoors", "either": "outdoors or indoors"}[sport.setting]
    usual = sport.presets[0]
    told = f" (the text describes {usual}; where the two differ, trust these figures)" if sport.preset != usual else ""
    return (
        f"{round(area.length_m, 1):g} x {round(area.width_m, 1):g} m, {sport.players_per_side} a side, {setting}; "
        f"variant {sport.preset}{told}{variants}"
    )


def brief_text(sport: Sport, *, width: int, units: Units = Units.METRIC) -> Iterator[tuple[bool, str]]:
    """Lines for a terminal, each with whether it is a heading."""
    yield True, sport.name
    yield from ((False, line) for line in wrapped(sport.summary, width))
    yield from ((False, line) for line in wrapped(headline(sport), width))
    for section in brief_sections(sport, units=units):
        yield False, ""
        yield True, section.title
        for sentence in section.sentences:
            yield from ((False, line) for line in wrapped(sentence, width))
        for name, words in section.items:
            text = f"{name}: {words}" if name else words
            yield from ((False, line) for line in wrapped(text, width, first="- ", rest="  "))


def _place_items(sport: Sport, units: Units) -> Iterator[tuple[str, str]]:
    """Usual places, the pieces of one place together."""
    seen = set()
    for place in sport.area.places:
        name = place.name.split(" (")[0]
        if name not in seen:
            seen.add(name)
            low, high = (height_words(value, units) for value in place.lens_height_m)
            yield name, f"lens {low} to {high} up"


def _cautions(sport: Sport) -> Iterator[str]:
    """Dangers of the sport, then what holds in every sport; of children once."""
    dangers = sport.brief.dangers
    yield from dangers
    yield CAUTION if any("consent" in words for words in dangers) else f"{CAUTION} {CHILDREN}"


def _raised_items(sport: Sport, units: Units) -> Iterator[tuple[str, str]]:
    """Raised places, both ends in one line."""
    for name, place in {place.name.split(" (")[0]: place for place in sport.area.raised}.items():
        low, high = (height_words(value, units) for value in place.lens_height_m)
        yield name, f"lens {low} to {high} up"


def _furniture_items(sport: Sport, units: Units) -> Iterator[tuple[str, str]]:
    for thing in sport.area.furniture:
        usual = "" if thing.is_usual else ", at some grounds only"
        yield thing.name, f"up to {height_words(thing.top_m, units)}{usual} ({thing.key})"


def _moment_items(sport: Sport, *, is_play: bool) -> Iterator[tuple[str, str]]:
    total = sum(_worth(moment) for moment in sport.moments)
    for moment in sorted(sport.moments, key=_worth, reverse=True):
        if moment.is_play is is_play:
            must = ", don't miss" if moment.must else ""
            yield f"{moment.name} ({max(1, round(100 * _worth(moment) / total))} %{must})", moment.picture


def _worth(moment: KeyMoment) -> float:
    return moment.rate_per_match * moment.importance


def _figure_sentences(sport: Sport) -> Iterator[str]:
    low, high = sport.length_range_m
    narrow, wide = sport.width_range_m
    length = f"{low:g} m" if low == high else f"{low:g} to {high:g} m"
    width = f"{narrow:g} m" if narrow == wide else f"{narrow:g} to {wide:g} m"
    yield f"Length allowed: {length}. Width: {width}."
    yield (
        "The percentages say what a moment is worth: how often it happens times how important it is. All together "
        "they make 100."
    )
    known = [m.name.lower() for m in sport.moments if m.source not in ("estimate", "common-practice", "from-memory")]
    told = f"published or set by the rules for {', '.join(known)}" if known else "our own estimates"
    yield f"How often: {told}{'; our own estimates for the rest' if known else ''}."
    used = {marking.source for marking in sport.area.markings} | {target.source for target in sport.area.targets}
    used |= {source for m in sport.moments for source in (m.source, m.zone_source, m.other_source)}
    titles = [
        f"{sport.sources[key].title} ({sport.sources[key].kind})"
        for key in sport.sources
        if key in used and key not in ("estimate", "common-practice", "from-memory")
    ]
    yield f"Sources: {'; '.join(titles)}. The definition file names the source of every figure."
