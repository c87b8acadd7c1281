"""What was learned of an operator, as the file that a match file names."""

from __future__ import annotations

from collections.abc import Iterator

from standmark.optimizer.scoring.logs.profile import PRIOR_MATCHES, Learned, LearnedProfile


def profile_toml(profile: LearnedProfile) -> bytes:
    """Write a profile as TOML; what there is too little to go by keeps our value and says so."""
    return ("\n".join(_lines(profile)) + "\n").encode()


def _lines(profile: LearnedProfile) -> Iterator[str]:
    n = profile.n_matches
    yield f'# Learned from the logs of {n} match{"" if n == 1 else "es"}. In a match file: operator_file = "me.toml"'
    yield "# under [[camera]]. Behind each figure: our value before, and ranges that hold the truth 95 times in 100."
    yield "schema_version = 1"
    yield f"matches = {n}"
    yield f"delay_s = {profile.delay_s.value:.3g}  # {_ranges(profile.delay_s)}"
    yield f"wish_for_size = {profile.wish.value:.3g}  # {_ranges(profile.wish)}"
    for sport, moments in profile.rates.items():
        used = {key: learned for key, learned in moments.items() if learned.is_used}
        if used:
            yield ""
            yield f"[rates.{sport}]  # times a match; our own figure counts as {PRIOR_MATCHES:g} matches"
            yield from (f"{_key(key)} = {learned.value:.3g}  # {_ranges(learned)}" for key, learned in used.items())


def _ranges(learned: Learned) -> str:
    before, after = ("{:.3g} to {:.3g}".format(*pair) for pair in (learned.before_interval, learned.after_interval))
    kept = "" if learned.is_used else "; too little to go by, so kept"
    return f"before {learned.before:.3g} ({before}), by the logs {learned.after:.3g} ({after}){kept}"


def _key(key: str) -> str:
    return key if key.replace("-", "").replace("_", "").isalnum() and key.isascii() else f'"{key}"'
