"""A library in a temporary folder with a clock that stands, and how hypothesis makes records.

Every kind of record is registered with hypothesis here, so that a test asks for ``st.from_type(Drum)``. A new
kind of record must be added, or its round trip is not proven.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import Any, Protocol, TypeVar

import pytest
from hypothesis import strategies as st

from lugbook.library import Library
from lugbook.records import (
    Adjustment,
    Concert,
    Count,
    CountPerHead,
    Course,
    CourseChange,
    CourseDrum,
    CourseItem,
    Drum,
    Entry,
    Evening,
    Evenings,
    Head,
    Item,
    LibrarySettings,
    Part,
    Passage,
    Performance,
    PerHead,
    Piece,
    Position,
    Positions,
    Preset,
    Reached,
    Reading,
    Record,
    Rest,
    Round,
    Side,
    SnareSetting,
    StartingPoint,
    Strainer,
    Ticked,
    TouchUp,
    UserSettings,
    Wires,
)

R = TypeVar("R", bound=Record)

WRITER = "kqmzpt"
EVENING = datetime(2026, 11, 25, 19, 12, 4, tzinfo=timezone(timedelta(hours=1)))


class Clock:
    """A clock that goes when it is told to."""

    def __init__(self) -> None:
        self.moment = EVENING

    def __call__(self) -> datetime:
        return self.moment

    def wait(self, **span: float) -> None:
        self.moment += timedelta(**span)


class MakeEntry(Protocol):
    """Makes an entry with an id of its own."""

    def __call__(self, number: int = 0, /, **fields: Any) -> Entry: ...  # noqa: ANN401 -- any field of Entry


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def open_library(tmp_path: Path, clock: Clock) -> Callable[[str], Library]:
    """Open the one library of a test as the machine of a writer."""

    def open_as(writer: str) -> Library:
        return Library(tmp_path / "library", now=clock, lock_folder=tmp_path / "locks", writer=writer)

    return open_as


@pytest.fixture
def library(open_library: Callable[[str], Library]) -> Library:
    """A library without drums."""
    opened = open_library(WRITER)
    opened.create(LibrarySettings())
    return opened


@pytest.fixture
def drum(library: Library) -> str:
    """The slug of a drum in the library, with a count for each head."""
    counts = tuple(
        Count.model_validate({"id": f"{side}-1", "side": side, "since": EVENING})
        for side in ("top", "bottom")
    )
    return library.add_drum(Drum(name="Old field drum", diameter_in=14, counts=counts)).id


@pytest.fixture
def make_entry() -> MakeEntry:
    """Entries of the writer `WRITER` at second *number* of one evening."""

    def make(number: int = 0, /, **fields: Any) -> Entry:  # noqa: ANN401 -- any field of Entry
        moment = EVENING + timedelta(seconds=number)
        letters = "".join(chr(ord("a") + number // 26**place % 26) for place in range(4))
        utc = moment.astimezone(UTC)
        return Entry.model_validate(
            {"at": moment, "kind": "remark", "id": f"{utc:%Y%m%dT%H%M%SZ}-{WRITER}-{letters}", **fields}
        )

    return make


@pytest.fixture
def file(library: Library, drum: str) -> Path:
    """The log file of this machine in November; not there yet."""
    folder = library.root / "drums" / drum / "log"
    folder.mkdir()
    return folder / "2026-11-kqmzpt.toml"


# How hypothesis makes records

_ANY = st.characters(exclude_categories=["Cs"])
_LINES = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\n\r"), max_size=20)
_NAMES = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\n\r"), min_size=1, max_size=12)
_NOTES = st.text(_ANY, max_size=30)
_TURNS = st.integers(-64 * 64, 64 * 64).map(lambda grains: grains / 64)
_A4 = st.floats(392, 470)
_PITCHES = st.sampled_from(["A3+4", "A", "Bb4", "F#5-12.5", "221.3 Hz", "E♭4"])
_SIDES = st.sampled_from(["top", "bottom"])
_DATES = st.dates(min_value=date(1900, 1, 1))
_OFFSETS = st.integers(-23 * 60, 23 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
_MOMENTS = st.datetimes(min_value=datetime(1900, 1, 1), max_value=datetime(2200, 1, 1), timezones=_OFFSETS)  # noqa: DTZ001 -- hypothesis wants bounds without a zone
_IDS = st.builds(
    lambda moment, writer, letters: f"{moment:%Y%m%dT%H%M%SZ}-{writer}-{letters}",
    st.datetimes(min_value=datetime(1900, 1, 1)),  # noqa: DTZ001 -- hypothesis wants bounds without a zone
    st.text("abc", min_size=6, max_size=6),
    st.text("abcd", min_size=4, max_size=4),
)
_HEARD = st.sampled_from(["at the drum", "in the hall", ""])
_CELSIUS, _HUMIDITY = st.floats(-30, 60), st.floats(0, 100)
_UNKNOWN_VALUES = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(-(2**63), 2**63 - 1),
        st.floats(allow_nan=False),
        _NOTES,
        _DATES,
        _MOMENTS,
        st.times(),
        st.just(time(6, 30)),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(tuple), st.dictionaries(st.text(_ANY, max_size=6), inner, max_size=3)
    ),
    max_leaves=4,
)
_UNKNOWN = st.dictionaries(st.text(_ANY, max_size=6), _UNKNOWN_VALUES, max_size=2)


def _register(
    kind: type[R], required: dict[str, st.SearchStrategy[Any]], /, **optional: st.SearchStrategy[Any]
) -> st.SearchStrategy[R]:
    def make(values: dict[str, Any], unknown: dict[str, Any]) -> R:
        strange = {key: value for key, value in unknown.items() if key not in kind.model_fields}
        return kind.model_validate({**strange, **values})

    strategy = st.builds(make, st.fixed_dictionaries(required, optional=optional), _UNKNOWN)
    st.register_type_strategy(kind, strategy)
    return strategy


def _tuples(items: st.SearchStrategy[R]) -> st.SearchStrategy[tuple[R, ...]]:
    return st.lists(items, max_size=2, unique_by=lambda item: getattr(item, "id", id(item))).map(tuple)


_readings = _register(
    Reading,
    {"pitch": _PITCHES},
    by=st.sampled_from(["ear", "typed", "recording", "microphone"]),
    struck=st.sampled_from(["rim", "centre"]),
    other_head=st.sampled_from(["damped", "free", "unknown"]),
    sd_cents=st.floats(0, 1200),
    file=_LINES,
)
_adjustments = _register(Adjustment, {"name": _NAMES}, unit=_LINES, zero=_LINES, step=st.floats(0.01, 100))
_snares = _register(
    SnareSetting,
    {},
    words=_LINES,
    values=st.dictionaries(_LINES, st.floats(allow_nan=False, allow_infinity=False), max_size=2),
)
_drum_sides = _register(
    Side,
    {},
    rods=st.integers(1, 24),
    turns_max=_TURNS,
    turns_min=_TURNS,
    hz_max=st.floats(0.5, 5000),
    snare_bed_rods=st.lists(st.integers(1, 24), max_size=3).map(tuple),
    reached_on_stand=st.booleans(),
)
_heads = _register(
    Head,
    {"id": _NAMES, "side": _SIDES, "on": _DATES},
    off=_DATES,
    material=st.sampled_from(["film", "aramid", "calf"]),
    plies=st.integers(1, 4),
    film_mil=st.floats(0.5, 60),
    name=_LINES,
    note=_NOTES,
)
_counts = _register(Count, {"id": _NAMES, "side": _SIDES, "since": _MOMENTS}, reference=_LINES, why=_LINES)
_wires = _register(
    Wires,
    {"id": _NAMES},
    place=_SIDES,
    kind=st.sampled_from(["coil", "cable", "gut", "mixed"]),
    strands=st.integers(1, 60),
    tied=_LINES,
    since=_DATES,
    off=_DATES,
)
_strainers = _register(Strainer, {}, name=_LINES, adjustments=_tuples(_adjustments))
_register(
    Drum,
    {"name": _NAMES, "diameter_in": st.floats(6, 40)},
    maker=_LINES,
    depth_in=st.floats(1, 40),
    shell=_LINES,
    tension=st.sampled_from(["separate", "rope"]),
    thread_mm=st.floats(0.25, 2.5),
    top=_drum_sides,
    bottom=_drum_sides,
    heads=_tuples(_heads),
    counts=_tuples(_counts),
    wires=_tuples(_wires),
    strainer=_strainers,
    loan=st.booleans(),
    note=_NOTES,
)
_per_head = _register(PerHead, {}, top=_TURNS, bottom=_TURNS)
_count_per_head = _register(CountPerHead, {}, top=_LINES, bottom=_LINES)
_rounds = _register(
    Round, {"head": _SIDES, "amount": _TURNS}, rods_done=st.sampled_from(["", "1", "1 6 3", "24  2 "])
)
_touch_ups = _register(TouchUp, {"head": _SIDES, "rod": st.integers(1, 24), "amount": _TURNS})
_register(
    Entry,
    {
        "at": _MOMENTS,
        "kind": st.sampled_from(["turn", "reading", "round", "touch-up", "count", "remark"]),
        "id": _IDS,
    },
    turn=_per_head,
    position=_per_head,
    count=_count_per_head,
    round=_rounds,
    touch_up=_touch_ups,
    a4=_A4,
    top=_readings,
    bottom=_readings,
    snares=_snares,
    words=_LINES,
    verdict=st.sampled_from(["better", "same", "worse"]),
    search=_LINES,
    context=_LINES,
    preset=_LINES,
    muffling=_LINES,
    sticks=_LINES,
    playing_spot=_LINES,
    player=_LINES,
    heard=_HEARD,
    temperature_c=_CELSIUS,
    humidity_pct=_HUMIDITY,
    note=_LINES,
    corrects=_IDS,
)
_positions = _register(Position, {"amount": _TURNS, "count": _LINES})
_both_positions = _register(Positions, {}, top=_positions, bottom=_positions)
_register(
    Preset,
    {"name": _NAMES},
    contexts=st.lists(_NAMES, max_size=3).map(tuple),
    a4=_A4,
    top=_readings,
    bottom=_readings,
    tolerance_cents=st.floats(0.5, 600),
    interval_decides=st.booleans(),
    turns=_both_positions,
    snares=_snares,
    words=_LINES,
    muffling=_LINES,
    sticks=_LINES,
    playing_spot=_LINES,
    player=_LINES,
    heard=_HEARD,
    temperature_c=_CELSIUS,
    humidity_pct=_HUMIDITY,
    made=_MOMENTS,
    entry=_IDS,
    note=_NOTES,
)
_register(
    StartingPoint,
    {
        "name": _NAMES,
        "contexts": st.lists(_NAMES, max_size=3).map(tuple),
        "diameter_in": st.tuples(st.floats(6, 14), st.floats(14, 40)),
        "top_from": _LINES,
        "top_to": _LINES,
        "bottom_from": _LINES,
        "bottom_to": _LINES,
        "interval": _LINES,
        "snares": _LINES,
        "basis": _LINES,
    },
    muffling=_LINES,
    sticks=_LINES,
    words=_LINES,
    note=_NOTES,
)
_register(
    LibrarySettings,
    {},
    name=_LINES,
    a4=_A4,
    tolerance_cents=st.floats(0.5, 600),
    contexts=st.lists(_NAMES, max_size=3).map(tuple),
    context_aliases=st.dictionaries(_NAMES, _NAMES, max_size=2),
    note=_NOTES,
)
_PRESET_IDS = st.sampled_from(["snare/dry", "snare/open", "field-drum/march-2"])
_SECONDS = st.floats(0, 36_000)
_BARS = st.integers(0, 400)
_passages = _register(Passage, {}, bar_from=_BARS, words=_LINES)
_rests = _register(
    Rest, {"seconds": _SECONDS, "bar_from": _BARS}, bar_to=st.integers(400, 9_999), read=st.booleans()
)
_parts = _register(
    Part,
    {},
    name=_LINES,
    file=_LINES,
    seconds=_SECONDS,
    bars=st.integers(1, 9_999),
    read_seconds=_SECONDS,
    read_bars=st.integers(1, 9_999),
    rests=_tuples(_rests),
)
_performances = _register(Performance, {}, on=_DATES, hall=_LINES, preset=_PRESET_IDS, note=_NOTES)
_register(
    Piece,
    {"title": _NAMES},
    composer=_LINES,
    movement=_LINES,
    contexts=st.lists(_NAMES, max_size=3).map(tuple),
    dynamics=_LINES,
    passages=_tuples(_passages),
    presets=st.lists(_PRESET_IDS, max_size=3).map(tuple),
    performances=_tuples(_performances),
    part=_parts,
    note=_NOTES,
)
_items = _register(
    Item,
    {"title": _NAMES},
    piece=_LINES,
    presets=st.lists(_PRESET_IDS, max_size=1).map(tuple),
    contexts=st.lists(_NAMES, max_size=3).map(tuple),
    seconds=_SECONDS,
    after_s=_SECONDS,
    rests=_tuples(_rests),
    note=_NOTES,
)
_register(
    Concert,
    {"name": _NAMES},
    on=_DATES,
    hall=_LINES,
    a4=_A4,
    items=_tuples(_items),
    drums=st.lists(_NAMES, max_size=3).map(tuple),
    stage_drums=st.integers(1, 50),
    pace=st.floats(0.2, 60),
    note=_NOTES,
)
_register(
    UserSettings,
    {"writer": st.text("abcxyz", min_size=6, max_size=6)},
    player=_LINES,
    library=_LINES,
    note_names=st.sampled_from(["english", "german", "latin"]),
    theme=_LINES,
    keys=st.dictionaries(_LINES, _LINES, max_size=2),
    last_preset=_LINES,
)
_reached = _register(Reached, {"step": st.integers(0, 5_000), "since": _MOMENTS})
_ticked = _register(
    Ticked,
    {"what": _LINES, "at": _MOMENTS},
    entries=st.lists(_IDS, max_size=2).map(tuple),
    whole=st.booleans(),
)
_course_items = _register(CourseItem, {"name": _LINES}, presets=st.lists(_PRESET_IDS, max_size=2).map(tuple))
_course_drums = _register(CourseDrum, {"drum": _LINES, "preset": _LINES, "before": st.integers(0, 500)})
_course_changes = _register(
    CourseChange,
    {
        "drum": _LINES,
        "begun": _LINES,
        "reached": _LINES,
        "after": st.integers(0, 500),
        "seconds": _SECONDS,
        "before": st.integers(0, 500),
    },
    rest=st.integers(0, 9),
    bars=_LINES,
)
_courses = _register(
    Course,
    {},
    items=_tuples(_course_items),
    drums=_tuples(_course_drums),
    changes=_tuples(_course_changes),
    short=st.lists(_LINES, max_size=2).map(tuple),
)
_evenings = _register(
    Evening,
    {
        "library": _LINES,
        "concert": _LINES,
        "on": _DATES,
        "begun": _MOMENTS,
    },
    course=_courses,
    trail=_tuples(_reached),
    ticked=_tuples(_ticked),
)
_register(Evenings, {}, evenings=_tuples(_evenings))
