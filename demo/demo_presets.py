"""The demo's presets: most hold the pitches, turns and snares of an entry, two come from a notebook."""

from dataclasses import dataclass
from datetime import datetime

from demo_drums import A4_HZ, COLLEAGUE, PLAYER
from demo_log import logbooks
from demo_steps import SUMMER, WINTER
from lugbook.pitch import Pitch, nearest
from lugbook.records import Entry, HeadSide, Position, Positions, Preset, Reading, SnareSetting


@dataclass(frozen=True)
class Found:
    """A preset that was made from an entry of the logbook.

    Attributes:
        number: which entry of the drum's logbook, 0 being the first.
        a4_hz: the concert pitch that the player thought in.
        named: whether the pitches are kept as notes and cents rather than as hertz.
    """

    number: int
    name: str
    contexts: tuple[str, ...]
    snares: str
    muffling: str = ""
    sticks: str = "concert, medium"
    playing_spot: str = ""
    a4_hz: float = A4_HZ
    named: bool = False
    note: str = ""


FOUND: dict[tuple[str, str], Found] = {
    ("concert-snare", "dry-etude"): Found(
        number=18,
        name="Dry étude",
        contexts=("dry étude", "audition"),
        snares="just past free buzz",
        playing_spot="a hand's breadth off the centre",
        note="Found in the search of 20 October; all four neighbours were heard.",
    ),
    ("concert-snare", "soft-rolls"): Found(
        number=20,
        name="Soft rolls",
        contexts=("soft rolls", "concert hall"),
        snares="as loose as they go",
        sticks="light, round tips",
        playing_spot="at the edge",
    ),
    ("deep-maple", "big-tutti"): Found(
        number=4,
        name="Big tutti",
        contexts=("big orchestral tutti", "concert hall"),
        snares="open at ff; gut under cable",
        named=True,
        sticks="heavy",
    ),
    ("deep-maple", "low-romantic"): Found(
        number=2,
        name="Low romantic",
        contexts=("low romantic", "big orchestral tutti"),
        snares="gut first, coil just off",
        named=True,
        sticks="heavy, large tips",
        playing_spot="centre",
    ),
    ("piccolo-snare", "light-march"): Found(
        number=2,
        name="Light march",
        contexts=("light march", "dry room"),
        snares="crisp",
        muffling="small felt at the edge, off for the trio",
        a4_hz=440.0,
    ),
    ("piccolo-snare", "chamber"): Found(
        number=0,
        name="Chamber",
        contexts=("chamber", "dry room"),
        snares="light and even",
        sticks="light",
        a4_hz=440.0,
    ),
    ("field-drum", "march-on-stage"): Found(
        number=1,
        name="March on stage",
        contexts=("field drum", "opera pit"),
        snares="a little loose, strands alike",
        named=True,
        sticks="thick, heavy",
    ),
    ("field-drum", "distant-march"): Found(
        number=0,
        name="Distant march",
        contexts=("field drum", "soft rolls"),
        snares="loose",
        muffling="cloth under the top head",
        sticks="thick, heavy",
    ),
}
"""(Drum, preset) → how it was found."""


NOTED: dict[tuple[str, str], Preset] = {
    ("concert-snare", "opera-pit"): Preset(
        name="Opera pit",
        contexts=("opera pit",),
        a4=A4_HZ,
        top=Reading(pitch="Bb3-10"),
        bottom=Reading(pitch="D4+5"),
        turns=Positions(
            top=Position(amount=1.25, count="top-1"), bottom=Position(amount=1.5, count="bottom-1")
        ),
        snares=SnareSetting(words="tight enough to ignore the trombones", values={"knob": 13, "butt": 0.5}),
        words="short and soft, blends at pp",
        muffling="cloth over a third of the head",
        sticks="concert, light",
        player=PLAYER,
        heard="at the drum",
        made=datetime(2026, 4, 18, 18, 45, tzinfo=SUMMER),
        note="Found on the heads before these: the pitches hold, the turns do not.",
    ),
    ("rope-drum", "old-march"): Preset(
        name="Old march",
        contexts=("field drum", "historical march"),
        a4=A4_HZ,
        top=Reading(pitch="E", by="ear", sd_cents=25.0),
        bottom=Reading(pitch="A", by="ear", sd_cents=25.0),
        tolerance_cents=40.0,
        snares=SnareSetting(words="strands just rattle", values={"screw": 2}),
        words="wooden and hoarse",
        sticks="thick, heavy",
        player=COLLEAGUE,
        heard="in the hall",
        made=datetime(2026, 11, 8, 18, 50, tzinfo=WINTER),
    ),
}
"""(Drum, preset) → what was in the notebook."""


def presets() -> dict[tuple[str, str], Preset]:
    """Return (drum, preset) → preset for the whole demo, in the order of their names."""
    books = logbooks()
    made = {key: _from_entry(books[key[0]][found.number], found) for key, found in FOUND.items()}
    return dict(sorted((made | NOTED).items()))


def _from_entry(entry: Entry, found: Found) -> Preset:
    return Preset(
        name=found.name,
        contexts=found.contexts,
        a4=found.a4_hz,
        top=_target(entry.top, found),
        bottom=_target(entry.bottom, found),
        turns=Positions(top=_position(entry, "top"), bottom=_position(entry, "bottom")),
        snares=SnareSetting(words=found.snares, values=entry.snares.values if entry.snares else {}),
        words=entry.words,
        muffling=found.muffling,
        sticks=found.sticks,
        playing_spot=found.playing_spot,
        player=entry.player,
        heard=entry.heard,
        temperature_c=entry.temperature_c,
        humidity_pct=entry.humidity_pct,
        made=entry.at,
        entry=entry.id,
        note=found.note,
    )


def _target(reading: Reading | None, found: Found) -> Reading:
    if reading is None:
        raise ValueError(f"the entry of {found.name!r} must hold both pitches")
    hz = reading.hz(a4_hz=A4_HZ)
    if not found.named or hz is None:
        return reading
    near = nearest(hz, a4_hz=found.a4_hz)
    return reading.model_copy(
        update={"pitch": Pitch(note=near.note, cents=round(near.cents), hz=None).text()}
    )


def _position(entry: Entry, side: HeadSide) -> Position:
    amount, count = entry.position.of(side), entry.count.of(side)
    if amount is None or count is None:
        raise ValueError(f"entry {entry.id} holds no position of the {side} head")
    return Position(amount=amount, count=count)
