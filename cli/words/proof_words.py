"""How sure it is that no other choice of places does better, in a clause and in a sentence."""

from __future__ import annotations

import math

from standmark.cli.words.shares import whole_percent
from standmark.optimizer.planning import Plan

LEAST_SAID = 0.01  # losses below are "under 1 %"
CLOSE = 1e-4  # of coverage: a proof that leaves more says how much
ONE_POINT_WORTH = 0.001  # what is left to the best possible, under which nobody asks
OTHERS = {1: "spot", 2: "pair of places"}
SET = "set of places"


def sure_words(plan: Plan) -> str:
    """Say in a few words that no choice does better, or by how much one might."""
    left, others = plan.upper_bound - plan.coverage, OTHERS.get(len(plan.match.cameras), SET)
    if not plan.proven or left >= LEAST_SAID:
        return f"Another {others} may get up to {whole_percent(left)} more."
    better = "does better" if left < ONE_POINT_WORTH else "gets 1 % more"
    return f"No allowed {others} {better}."


def proof_words(plan: Plan) -> str:
    """Say in one sentence how sure it is that no choice does better."""
    left, given = plan.upper_bound - plan.coverage, given_up_share(plan)
    others = OTHERS.get(len(plan.match.cameras), SET)
    if not plan.proven:
        return f"Another {others} might get up to {whole_percent(left)} more: {plan.message}."
    if given < ONE_POINT_WORTH:
        if left - given > CLOSE:
            return f"No other {others} you're allowed to use gets over {math.ceil(1000 * left) / 10:g} % more."
        return f"No other {others} you're allowed to use does better."
    most = "under 1 %" if left < LEAST_SAID else f"up to {whole_percent(left)}"
    return f"Another {others} might get {most} more: we gave that up for {reasons_words(plan)}."


def reasons_words(plan: Plan) -> str:
    """Say for what a plan gave up some of the best coverage; "" where it gave up next to nothing."""
    given = given_up_share(plan)
    if given < ONE_POINT_WORTH:
        return ""
    shares = {
        "a second angle on more of it": plan.given_up.second_angle,
        "fewer walks": plan.given_up.moves,
        "a lens at your eye": plan.given_up.eye_height,
        "places that a role or an earlier plan sets": plan.given_up.kept,
    }
    least = min(ONE_POINT_WORTH / 2, max(shares.values()))
    rest = ", or the search did not go so far" if plan.upper_bound - plan.coverage - given > CLOSE else ""
    return " and ".join(reason for reason, share in shares.items() if share >= least) + rest


def given_up_share(plan: Plan) -> float:
    """Coverage that was given up for second angles, fewer walks, a lens at the eye and places that are kept."""
    given = plan.given_up
    return given.second_angle + given.moves + given.eye_height + given.kept
