"""`[play_flow]` of a definition, written from counted plays."""

from __future__ import annotations

import numpy as np

from standmark.optimizer.scoring.flow_counts import FlowCounts

KIND = "play"


def flow_text(counts: FlowCounts, *, source: str, play_s: float) -> str:
    """Lay counted plays out as one kind of play, its counts by zone, and the other side's next plays by theirs.

    A zone in which no play started gets one that stays there, so that every zone is followed by something.

    Parameters
    ----------
    source : key in the definition's list of sources
    """
    n = len(counts.same)
    same = counts.same.copy()
    empty = np.flatnonzero((same + counts.other).sum(axis=1) == 0)
    same[empty, empty] = 1
    used = np.flatnonzero(counts.other.sum(axis=0)).tolist()
    rows = ",\n".join(f"  [{', '.join(map(str, (*same[z], *counts.other[z, used])))}]" for z in range(n))
    exits = ", ".join(f'"lost-{z + 1}"' for z in used)
    then = "".join(
        f'  {{ after = "lost-{z + 1}", next = "{KIND}", side = "other", at = "{_middle(z, n)}", '
        f"walk_s = {counts.walk_s[1]:.3g} }},\n"
        for z in used
    )
    note = (
        f"A play lasts {play_s:g} seconds from an event; {counts.n_plays} plays of {counts.n_matches} matches. "
        "lost-k: the other side's next play starts in its zone k."
    )
    return (
        "\n[play_flow]\n"
        'span = ["-end", "end"]\n'
        f"zones = {n}\n"
        f"plays_per_match = {max(counts.n_plays / counts.n_matches, 1.0):.4g}\n"
        f'source = "{source}"\nwalk_source = "{source}"\n'
        f'note = "{note}"\n\n'
        "[[play_flow.kind]]\n"
        f'key = "{KIND}"\nname = "play"\n'
        f"walk_s = {counts.walk_s[0]:.3g}\n"
        f"exits = [{exits}]\n"
        f"counts = [\n{rows},\n]\n" + (f"then = [\n{then}]\n" if then else "")
    )


def _middle(zone: int, n: int) -> str:
    """Middle of a zone as a part of half the length."""
    part = (2 * zone + 1) / n - 1.0
    return f"{part:.4f} end" if abs(part) > 1e-9 else "0"
