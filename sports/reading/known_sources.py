"""Sources that every definition may name without listing them: plain marks, our own measurements, and analogies."""

from __future__ import annotations

from standmark.sports.sport import Source

MARKS = (
    ("common-practice", "common practice, no source", "common practice"),
    ("from-memory", "from memory, not checked", "from memory"),
    ("estimate", "our own estimate", "estimate"),
)
MEASURED = (
    (
        "tracked-football",
        "Open tracking of a football match (SkillCorner open data, match 2417, MIT licence) and 124 shots of others",
        "own measurement; 704 kicks of two matches in all",
        "https://github.com/SkillCorner/opendata",
    ),
    (
        "tracked-plays",
        "526 tracked highlight plays of American football",
        "own measurement, figures only",
        "no address",
    ),
)
ANALOGIES = (
    (
        "as-shot",
        "as a shot of football: three quarters of our older guess of people, more of them ahead; spread 65 deg",
    ),
    ("as-save", "as a save of football: a quarter of our older guess of people, all on the field side"),
    ("as-contest", "as the contest at a football corner: 0.55 of our older guess of people"),
    ("as-dribble", "as a wing attack of football: 1.5 times our older guess of people, more ahead; spread 70 deg"),
    ("as-run", "as a run of American football: play seldom jumps to whoever carries; spread 51 deg"),
    ("as-pass", "as a pass of American football: directions spread a fifth wider than our older guess"),
    ("as-duel", "as a duel of football: 1.4 times our older guess of people, all round"),
    ("as-first-time", "as what football strikes straight from a pass, at this sport's speed of a pass, mostly across"),
    (
        "as-open-play",
        "as open play of football: one touch in four straight from a pass, at this sport's speed of a pass",
    ),
    ("as-tackle", "as a tackle of American football"),
    ("as-catch", "as a long catch of American football: the ball jumps far, and is long in the air"),
    ("known-place", "the place is known beforehand, so the camera is on it already"),
    ("on-the-player", "the camera stays on a player, not on the ball: only the player moves"),
)

KNOWN_SOURCES = {
    **{key: Source(key, title, "", "", kind) for key, title, kind in MARKS},
    **{key: Source(key, title, section, address, "measured") for key, title, section, address in MEASURED},
    **{key: Source(key, title, "", "", "by analogy, estimate") for key, title in ANALOGIES},
}
