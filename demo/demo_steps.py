"""What the invented players did at the drums, step by step; `demo_log` makes logbook entries of it.

The search on the concert snare goes in quarter turns from a slack state to one of which every neighbour was
heard and is no better; the way back from a worse state is a move of its own, below by an eighth more and up.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, timezone

from demo_drums import COLLEAGUE, PLAYER
from lugbook.records import SIDES, HeadSide, Verdict

SUMMER, WINTER = timezone(timedelta(hours=2)), timezone(timedelta(hours=1))

SEARCH = "dry étude"
OPEN_SEARCH = "light march"


@dataclass(frozen=True)
class Step:
    """One thing that was done at a drum; a step without a time follows the one before by four minutes.

    Attributes:
        top, bottom: turns of all rods of that head.
        read: the heads whose pitch was read afterwards.
        at: when, where it does not follow the step before.
        rod: a single rod of the top head that was turned by a sixteenth.
        new_count: of which head a new count begins here.
        snares: values of the strainer's adjustments.
    """

    top: float = 0.0
    bottom: float = 0.0
    read: tuple[HeadSide, ...] = ()
    at: datetime | None = None
    verdict: Verdict | None = None
    words: str = ""
    note: str = ""
    rod: int | None = None
    new_count: tuple[HeadSide, ...] = ()
    snares: dict[str, float] = field(default_factory=dict)
    in_hall: bool = False
    temperature_c: float | None = None
    humidity_pct: float | None = None
    search: str = ""


_UNDO = "Back: below by an eighth more and up again."

_SEARCH_STEPS = (
    Step(
        at=datetime(2026, 10, 20, 19, 30, tzinfo=SUMMER),
        read=SIDES,
        words="flat and tubby, the flams smear",
        snares={"knob": 9, "butt": 0.5},
        temperature_c=20.5,
        humidity_pct=48,
    ),
    Step(top=0.25, read=SIDES, verdict="better", words="flams come apart"),
    Step(
        bottom=0.25,
        read=SIDES,
        verdict="better",
        words="wires answer sooner",
        snares={"knob": 10, "butt": 0.5},
    ),
    Step(top=0.25, read=SIDES, verdict="better", words="firm under the stick"),
    Step(top=0.25, read=SIDES, verdict="worse", words="thin at pp, a ping after accents"),
    Step(top=-0.25, read=("top",), note=_UNDO),
    Step(
        bottom=0.25,
        read=SIDES,
        verdict="better",
        words="crisp at the edge, dark in the middle",
        snares={"knob": 11, "butt": 0.5},
    ),
    Step(bottom=0.25, read=SIDES, verdict="worse", words="chokes at ff", snares={"knob": 12, "butt": 0.5}),
    Step(bottom=-0.25, read=("bottom",), note=_UNDO, snares={"knob": 11, "butt": 0.5}),
    Step(top=0.25, read=SIDES, verdict="worse", words="hard, no middle left"),
    Step(top=-0.25, read=("top",), note=_UNDO),
    Step(top=-0.25, read=SIDES, verdict="worse", words="slow to answer"),
    Step(
        top=0.25,
        read=SIDES,
        words="the kept one again",
        note="Every neighbour heard, the one with the bottom lower was beaten on the way.",
    ),
    Step(
        at=datetime(2026, 10, 21, 9, 40, tzinfo=SUMMER),
        read=SIDES,
        words="the same the morning after",
        temperature_c=19.0,
        humidity_pct=50,
    ),
    Step(rod=4, note="Rod 4 read lower than its neighbours."),
    Step(
        read=SIDES,
        words="crisp at the edge, dark in the middle; one clear note",
        snares={"knob": 11, "butt": 0.5},
        in_hall=True,
        temperature_c=19.0,
        humidity_pct=50,
    ),
)

_OPEN_STEPS = (
    Step(
        at=datetime(2026, 11, 18, 18, 5, tzinfo=WINTER),
        read=SIDES,
        words="bright, the flams snap, a little short",
        snares={"knob": 7},
    ),
    Step(bottom=0.25, read=SIDES, verdict="worse", words="thin, the drags blur", snares={"knob": 8}),
    Step(bottom=-0.25, read=("bottom",), note=_UNDO, snares={"knob": 7}),
)
"""A search that was begun and left: it can be gone on with in the program."""

STEPS: dict[str, tuple[str, tuple[float, float], Sequence[Step]]] = {
    "concert-snare": (
        PLAYER,
        (0.0, 0.0),
        (
            Step(
                at=datetime(2026, 10, 12, 12, 0, tzinfo=SUMMER),
                new_count=("top", "bottom"),
                note="New heads; both counts start afresh.",
            ),
            Step(
                at=datetime(2026, 10, 12, 12, 20, tzinfo=SUMMER),
                bottom=1.75,
                note="In three rounds of the star.",
            ),
            Step(
                at=datetime(2026, 10, 12, 12, 40, tzinfo=SUMMER),
                top=1.0,
                note="In two rounds of the star, then pressed at the centre.",
            ),
            *(replace(step, search=SEARCH) for step in _SEARCH_STEPS),
            Step(at=datetime(2026, 10, 23, 18, 10, tzinfo=SUMMER), bottom=-0.25, note="For the long rolls."),
            Step(
                top=-0.25,
                read=SIDES,
                words="one breath, starts from nothing",
                snares={"knob": 8, "butt": 0.5},
                in_hall=True,
            ),
            Step(at=datetime(2026, 10, 23, 21, 50, tzinfo=SUMMER), bottom=0.25, note="Back for the étude."),
            Step(top=0.25, read=SIDES, snares={"knob": 11, "butt": 0.5}),
        ),
    ),
    "deep-maple": (
        PLAYER,
        (1.0, 0.0),
        (
            Step(
                at=datetime(2026, 8, 24, 11, 30, tzinfo=SUMMER),
                new_count=("bottom",),
                note="New bottom head; the count of the top head goes on.",
            ),
            Step(
                at=datetime(2026, 8, 24, 11, 50, tzinfo=SUMMER),
                bottom=1.375,
                read=("bottom",),
                note="In three rounds of the star.",
            ),
            Step(
                at=datetime(2026, 9, 14, 9, 15, tzinfo=SUMMER),
                read=SIDES,
                words="dark and thick",
                snares={"gut": 2.5, "cable": 1, "coil": 0},
                in_hall=True,
            ),
            Step(at=datetime(2026, 9, 28, 17, 30, tzinfo=SUMMER), bottom=0.625, read=("bottom",)),
            Step(
                top=0.375,
                read=SIDES,
                words="wide, carries over the brass",
                snares={"gut": 2, "cable": 2.5, "coil": 1},
                in_hall=True,
                temperature_c=20.0,
                humidity_pct=52,
            ),
        ),
    ),
    "piccolo-snare": (
        PLAYER,
        (1.5, 1.875),
        (
            Step(
                at=datetime(2026, 9, 3, 10, 0, tzinfo=SUMMER),
                read=SIDES,
                words="small and clear",
                snares={"knob": 6},
            ),
            Step(at=datetime(2026, 11, 4, 18, 20, tzinfo=WINTER), bottom=0.125, read=("bottom",)),
            Step(top=0.25, read=SIDES, words="bright, the flams snap", snares={"knob": 7}),
            *(replace(step, search=OPEN_SEARCH) for step in _OPEN_STEPS),
        ),
    ),
    "field-drum": (
        COLLEAGUE,
        (0.875, 1.25),
        (
            Step(at=datetime(2026, 6, 2, 16, 0, tzinfo=SUMMER), read=SIDES, words="long and hollow"),
            Step(
                at=datetime(2026, 11, 6, 17, 45, tzinfo=WINTER),
                top=0.125,
                read=SIDES,
                words="deep and dry, rough at the edge",
                snares={"screw": 1.5},
                in_hall=True,
            ),
        ),
    ),
}
"""Slug of a drum → who wrote, the position (top, bottom) before the first step, and the steps."""
