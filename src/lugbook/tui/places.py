"""The places of the program: where the player is, which says what a key does.

A *place* is a screen, one face of it, or a line that is being typed into. At the drum the letters A to H and
the digits begin a reading, so no command uses them there; where a line is being typed into, no command uses a
key that types.
"""

from typing import Literal, get_args

Place = Literal[
    "welcome",
    "shelf",
    "filter",
    "listening",
    "turning",
    "line",
    "picture",
    "logbook",
    "trial turning",
    "trial reading",
    "trial words",
    "trial text",
    "trial mark",
    "trial verdict",
    "starts",
    "drums",
    "heads",
    "sweep",
    "concert",
    "repertoire",
    "repertoire filter",
    "piece",
    "items",
    "item line",
    "pieces",
    "item presets",
    "form",
    "page",
    "problems",
    "help",
]
"""Where the player is."""

PLACES: tuple[Place, ...] = get_args(Place)

BENCH: tuple[Place, ...] = ("listening", "turning")
"""Both faces of the bench."""

AT_DRUM: tuple[Place, ...] = (*BENCH, "logbook", "trial turning")
"""Where the letters A to H and the digits begin a reading, or the number of a rod."""

ROUNDS: tuple[Place, ...] = ("turning", "trial turning")
"""Where rods are turned."""

TRIAL_LINES: tuple[Place, ...] = ("trial reading", "trial words", "trial text")
"""Lines of the logbook that are typed into."""

OF_MUSIC: tuple[Place, ...] = ("repertoire", "piece", "items", "pieces", "item presets")
"""What is about concerts and pieces."""

TYPING: tuple[Place, ...] = (
    "filter",
    "line",
    *TRIAL_LINES,
    "sweep",
    "repertoire filter",
    "item line",
    "form",
)
"""Places where keys type text."""

READING: tuple[Place, ...] = tuple(place for place in PLACES if place not in TYPING)
"""Places where keys do not type text."""

WHERE: dict[Place, str] = {
    "welcome": "First run",
    "shelf": "Shelf",
    "filter": "Shelf, typing a filter",
    "listening": "Bench, listening",
    "turning": "Bench, turning",
    "line": "Bench, typing a line",
    "picture": "Picture",
    "logbook": "Logbook",
    "trial turning": "Logbook, turning",
    "trial reading": "Logbook, reading",
    "trial words": "Logbook, words",
    "trial text": "Logbook, a line",
    "trial mark": "Logbook, passage",
    "trial verdict": "Logbook, verdict",
    "starts": "Starting points",
    "drums": "Drums to carry to",
    "heads": "Heads",
    "sweep": "Snares",
    "concert": "Concert",
    "repertoire": "Repertoire",
    "repertoire filter": "Repertoire, typing a filter",
    "piece": "Piece",
    "items": "Items of a concert",
    "item line": "Items, typing a line",
    "pieces": "Pieces to put in",
    "item presets": "Presets of an item",
    "page": "Page",
    "form": "Form",
    "problems": "Problems",
    "help": "Help",
}
"""What each place is called."""

READING_KEYS = frozenset("abcdefghABCDEFGH0123456789")
"""Keys that begin a reading at the drum."""
