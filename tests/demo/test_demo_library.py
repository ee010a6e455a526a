"""The demo's library: it is what the script makes, reads without a problem, and follows the hidden drums."""

import math
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from demo_drums import DRUMS
from demo_log import TOUCH_UP, logbooks
from demo_pieces import CONCERT_SLUG, PIECES
from demo_presets import FOUND
from demo_recordings import RECORDED, REHEARSAL
from demo_steps import SEARCH
from hidden_drum import HIDDEN, READING_SD_CENTS, HiddenHead
from lugbook.desk import Desk
from lugbook.desk.desk import SoundOnUse
from lugbook.desk.planning import plan_concert
from lugbook.library import Library, gaps
from lugbook.records import SIDES, Entry, UserSettings
from lugbook.turns import Response
from make import make_library

TOLERANCE_CENTS = 10.0
"""The library's tolerance."""


@pytest.fixture
def library(demo: Path, tmp_path: Path) -> Library:
    return Library(
        demo / "library",
        now=lambda: datetime(2026, 11, 23, tzinfo=UTC),
        lock_folder=tmp_path,
        writer="abcdef",
    )


def cents(hz: float, *, to_hz: float) -> float:
    return 1200 * math.log2(hz / to_hz)


def day(moment: datetime) -> float:
    return moment.timestamp() / 86_400


def position(entry: Entry) -> tuple[float, float]:
    top, bottom = entry.position.top, entry.position.bottom
    assert top is not None
    assert bottom is not None
    return top, bottom


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def errors_cents() -> Iterator[float]:
    """How far each reading of the logbooks lies from what the hidden drum has at that place and time."""
    for slug, hidden in HIDDEN.items():
        touched = 0.0
        for entry in logbooks()[slug]:
            if entry.touch_up is not None:
                touched += entry.touch_up.amount / DRUMS[slug].top.rods
            top, bottom = position(entry)
            true_hz = hidden.hz((top + touched, bottom), at=entry.at)
            for side, hz in zip(SIDES, true_hz, strict=True):
                reading = entry.reading(side)
                read_hz = None if reading is None else reading.hz(a4_hz=entry.a4)
                if read_hz is not None:
                    yield cents(read_hz, to_hz=hz)


def test_the_committed_library_is_what_the_script_makes(demo: Path, tmp_path: Path) -> None:
    make_library(tmp_path / "library")

    assert files(tmp_path / "library") == files(demo / "library")


def test_it_reads_without_a_problem(library: Library) -> None:
    assert library.problems() == ()
    assert sorted(library.drums().items) == sorted(DRUMS)
    assert len(library.presets().items) >= 8


def test_its_concert_and_pieces_fit_together(library: Library, tmp_path: Path) -> None:
    """Every name in them is in the library, and every item can be played with something that travels."""
    presets = library.presets().items
    served = [name for one in library.pieces().items.values() for name in one.record.served]
    concert = library.concert(CONCERT_SLUG).record
    items = concert.items

    assert sorted(library.pieces().items) == sorted(PIECES)
    assert served
    assert set(served) <= set(presets)
    assert {item.piece for item in items if item.piece} <= set(PIECES)
    assert {name for item in items for name in item.presets} <= set(presets)
    assert set(concert.drums) <= set(DRUMS)

    desk = Desk(
        library=library,
        user=UserSettings(writer="abcdef"),
        user_folder=tmp_path,
        clock=lambda: datetime(2026, 11, 23, tzinfo=UTC),
        sound=SoundOnUse(),
    )
    planned = plan_concert(desk, CONCERT_SLUG).items
    assert len(planned) == len(items)
    for item, kept in zip(planned, items, strict=True):
        assert bool(item.presets) != kept.tacet
        assert {name.partition("/")[0] for name in item.presets} <= set(concert.drums)
        assert set(item.presets) <= set(presets)
    # The pieces are real, what is kept of them is not, and each says so of its passages too.
    assert all("Passages, lengths, rests" in piece.note for piece in PIECES.values() if piece.passages)


@pytest.mark.parametrize("slug", DRUMS)
def test_its_logbooks_hold_every_entry_and_no_gap(slug: str, library: Library) -> None:
    log = library.log(slug)

    assert log.problems == ()
    assert log.entries == logbooks()[slug]
    assert gaps(library.drum(slug).record, log.entries) == ()


def test_the_readings_scatter_about_the_hidden_drums_as_stated() -> None:
    errors = list(errors_cents())

    assert len(errors) > 30
    assert max(map(abs, errors)) < 4 * READING_SD_CENTS
    assert (
        0.6 * READING_SD_CENTS
        < math.sqrt(sum(error**2 for error in errors) / len(errors))
        < 1.4 * READING_SD_CENTS
    )


def test_the_search_tries_no_state_twice_and_ends_among_heard_neighbours() -> None:
    search = [entry for entry in logbooks()["concert-snare"] if entry.search == SEARCH]
    kept = position(search[0])
    judged = [kept]
    for entry in search:
        if entry.verdict is not None:
            judged.append(position(entry))
        if entry.verdict == "better":
            kept = position(entry)

    assert 14 <= len(search) <= 18
    assert len(judged) == len(set(judged))
    assert position(search[-1]) == kept
    assert {
        (kept[0] + top, kept[1] + bottom) for top, bottom in ((0.25, 0), (-0.25, 0), (0, 0.25), (0, -0.25))
    } <= set(judged)


@pytest.mark.parametrize(("drum", "preset"), FOUND)
def test_a_preset_found_in_the_logbook_holds_that_entry(drum: str, preset: str, library: Library) -> None:
    record = library.preset(f"{drum}/{preset}").record
    entry = next(entry for entry in logbooks()[drum] if entry.id == record.entry)

    for side in SIDES:
        reading, target, there = entry.reading(side), record.target_hz(side), record.position(side)
        assert reading is not None
        assert there is not None
        assert target is not None
        read_hz = reading.hz(a4_hz=entry.a4)
        assert read_hz is not None

        assert abs(cents(target, to_hz=read_hz)) <= 0.5
        assert (there.amount, there.count) == (entry.position.of(side), entry.count.of(side))


def test_one_preset_was_found_on_heads_that_are_gone(library: Library) -> None:
    preset, drum = library.preset("concert-snare/opera-pit").record, library.drum("concert-snare").record
    for side in SIDES:
        there, running = preset.position(side), drum.count_of(side)
        assert there is not None
        assert running is not None

        assert there.count != running.id
        assert there.count in [count.id for count in drum.counts]


def test_a_hidden_head_follows_its_formula() -> None:
    """f² = 10000 + 20000·½ + 1000·2 - 400·¼ - 500·ln(1 + 2/2), worked out by hand: 21553.43."""
    head = HiddenHead(10_000.0, 20_000.0, 1_000.0, -400.0, 500.0, datetime(2026, 1, 1, tzinfo=UTC))

    assert head.hz(0.5, other_turns=2.0, at=datetime(2026, 1, 3, tzinfo=UTC)) ** 2 == pytest.approx(
        21_553.426
    )


def test_what_lugbook_learns_from_the_logbook_brings_the_hidden_drum_back() -> None:
    """The advised turns, made on the hidden drum, end within the tolerance of the preset that was lost."""
    recorded = RECORDED[0]
    drum, hidden, book = DRUMS[recorded.drum], HIDDEN[recorded.drum], logbooks()[recorded.drum]
    response = Response.prior(diameter_in=drum.diameter_in, thread_mm=drum.thread_mm, day=day(book[0].at))
    for entry in book:
        top, bottom = (None if one is None else one.hz(a4_hz=entry.a4) for one in (entry.top, entry.bottom))
        if (top, bottom) != (None, None):
            response = response.observe(position(entry), hz=(top, bottom), sd_cents=4.0, day=day(entry.at))
    preset = book[FOUND[recorded.drum, recorded.preset].number]
    assert preset.top is not None
    assert preset.bottom is not None
    target = preset.top.hz(a4_hz=preset.a4), preset.bottom.hz(a4_hz=preset.a4)
    here = position(book[-1])
    response = response.observe(here, hz=recorded.true_hz(), sd_cents=3.0, day=day(REHEARSAL))

    advice = response.turns_to(target, position=here, day=day(REHEARSAL))

    top_turn, bottom_turn = advice.turns
    assert top_turn is not None
    assert bottom_turn is not None
    touched = TOUCH_UP / drum.top.rods
    there = hidden.hz((here[0] + touched + top_turn, here[1] + bottom_turn), at=REHEARSAL)
    for was_hz, is_hz, target_hz in zip(recorded.true_hz(), there, target, strict=True):
        assert target_hz is not None
        assert abs(cents(was_hz, to_hz=target_hz)) > TOLERANCE_CENTS
        assert abs(cents(is_hz, to_hz=target_hz)) < TOLERANCE_CENTS / 2
