"""What a crew does before the start and after the finish, and how long before or after."""

from __future__ import annotations

from dataclasses import dataclass

COMMON = "common practice, no source"
WARM_UP = (
    "Tips for photographing high school football, 2015 and 2019: the warm-up gives safe pictures and focus practice"
)


@dataclass(frozen=True)
class Lead:
    """Something to do so many minutes before the start, or after the finish."""

    key: str
    name: str
    minutes: float
    what: str
    source: str


BEFORE_START = (
    Lead("arrive", "Arrive", 90.0, "Sign in, get pass and bib, meet your contact, walk to the positions.", COMMON),
    Lead("set-up", "Set up", 80.0, "Tripod, lens, cards, the clock of every camera, white card.", COMMON),
    Lead("test", "Test", 60.0, "Record and play back: picture, sound, flicker if there are lamps.", COMMON),
    Lead("rest", "Rest", 50.0, "Quiet time: eat, drink, toilet, stretch.", COMMON),
    Lead("warm-up", "Warm-up", 40.0, "Film it: safe pictures, focus practice, faces and shirt numbers.", WARM_UP),
    Lead("team-talk", "Team talk", 15.0, "Huddle or last words, from a distance you agreed on.", COMMON),
    Lead("line-up", "Line-up", 6.0, "Teams walk out and line up: note who attacks which way.", COMMON),
    Lead("roll", "Roll", 2.0, "In place, all cameras recording; one clap in view of all.", COMMON),
)

AFTER_FINISH = (
    Lead("reactions", "Reactions", 0.0, "Keep recording: celebration, handshakes, thanks to the crowd.", COMMON),
    Lead(
        "back-up", "Back up", 30.0, "Two copies on two drives, play a clip of each; only then put cards away.", COMMON
    ),
)
