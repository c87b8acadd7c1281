"""A log beside its plan, and what logs say of an operator, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standmark.cli.words.lines import terminal_width, wrapped
from standmark.cli.words.shares import how_many
from standmark.optimizer.scoring.logs.filmed import Reason
from standmark.optimizer.scoring.logs.held_to_promise import Outcome
from standmark.optimizer.scoring.logs.profile import ENOUGH_MATCHES, Learned, LearnedProfile
from standmark.sports.sport import Sport

CAUSES: dict[Reason, str] = {
    "too far": "it was too small in the frame: a longer lens, or a place nearer to it",
    "someone in the way": "somebody stood in the way: a higher place, or one further round",
    "too late": "the camera came too late: frame looser, or stand where play doesn't jump across the frame",
    "faced away": "people faced away from that place",
    "light": "the light: the sun in the lens, or too dark",
    "not my job": "it was another camera's job",
}
INDENT = "    "


def log_text(outcomes: Sequence[Outcome], sport: Sport) -> str:
    """Tell what was got against what was promised, the answer first."""
    width = terminal_width()
    names = {moment.key: moment.name for moment in sport.moments}
    known = [o for o in outcomes if o.promised is not None and o.happened]
    lines = wrapped(_whole(known), width)
    for outcome in sorted(known, key=lambda o: (o.got / o.happened - (o.promised or 0.0)) * o.happened):
        lines += wrapped(f"{_name(outcome, outcomes, names)}: {_told(outcome)}", width, first="  ", rest=INDENT)
    unexpected = [o for o in outcomes if o.promised is None and o.happened]
    for outcome in unexpected:
        text = f"Not in the plan: {_name(outcome, outcomes, names)}, got {outcome.got} of {outcome.happened}."
        lines += wrapped(text, width, first="  ", rest=INDENT)
    lines += wrapped(
        "Ranges hold the true share 95 times in 100 (Jeffreys interval; Brown, Cai and DasGupta, 2001).", width
    )
    return "\n".join(lines) + "\n"


def _whole(known: Sequence[Outcome]) -> str:
    happened, got = sum(o.happened for o in known), sum(o.got for o in known)
    if not happened:
        return "None of what you counted is in the plan."
    promised = sum((o.promised or 0.0) * o.happened for o in known) / happened
    verdict = {True: "about what the plan promised", False: ""}[abs(got / happened - promised) < 0.05]
    verdict = verdict or ("more than the plan promised" if got / happened > promised else "less than the plan promised")
    return f"You got {got} of {happened} ({how_many(got / happened)}): {verdict} ({how_many(promised)})."


def _name(outcome: Outcome, among: Sequence[Outcome], names: dict[str, str]) -> str:
    name = names.get(outcome.moment, outcome.moment)
    return f"{name}, camera {outcome.camera}" if len({o.camera for o in among}) > 1 else name


def _told(outcome: Outcome) -> str:
    low, high = (f"{100 * limit:.0f}" for limit in outcome.interval)
    got = f"got {outcome.got} of {outcome.happened}, promised {how_many(outcome.promised or 0.0)}"
    if outcome.is_as_promised:
        return f"{got}. That's within what chance can do ({low} to {high} %)."
    if outcome.got / outcome.happened > (outcome.promised or 0.0):
        return f"{got}. Better than promised ({low} to {high} %)."
    cause = f" Most likely {CAUSES[outcome.cause]}." if outcome.cause is not None else ""
    return f"{got}. Less than promised ({low} to {high} %).{cause}"


def profile_text(profile: LearnedProfile, sports: dict[str, Sport]) -> str:
    """Tell what was learned, and what there is too little to go by."""
    width = terminal_width()
    n = profile.n_matches
    head = f"From the logs of {n} match{'' if n == 1 else 'es'}:"
    lines = [
        head,
        *(
            line
            for text in _profile_sentences(profile, sports)
            for line in wrapped(text, width, first="  ", rest=INDENT)
        ),
    ]
    if n < ENOUGH_MATCHES:
        lines += wrapped(
            f"Under {ENOUGH_MATCHES} matches nothing changes unless the counts leave no doubt. Keep logging.", width
        )
    return "\n".join(lines) + "\n"


def _profile_sentences(profile: LearnedProfile, sports: dict[str, Sport]) -> Iterator[str]:
    yield f"You are {_figure(profile.delay_s, ' s')} behind play."
    yield f"You want {_figure(profile.wish, ' times')} the usual size before you call a picture usable."
    for key, moments in profile.rates.items():
        names = {moment.key: moment.name for moment in sports[key].moments}
        changed = [(names[m], learned) for m, learned in moments.items() if learned.is_used]
        changed.sort(key=lambda pair: -abs(pair[1].after / pair[1].before - 1.0))
        for name, learned in changed[:6]:
            yield f"{name}: {learned.after:.2g} a match; our figure was {learned.before:.2g}."
        if not changed:
            yield f"{sports[key].name}: too few matches to change how often things happen."


def _figure(learned: Learned, unit: str) -> str:
    low, high = (f"{limit:.2g}" for limit in learned.after_interval)
    kept = "" if learned.is_used else f", too little to go by: {learned.before:.2g}{unit} stays"
    return f"about {learned.after:.2g}{unit} ({low} to {high}{kept})"
