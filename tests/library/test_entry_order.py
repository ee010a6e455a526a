"""The order of entries that several machines wrote, and corrections."""

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lugbook.library import Library
from lugbook.library.order import corrected, merged
from lugbook.records import Entry

MakeEntry = Callable[..., Entry]

START = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
WRITERS = ("aaaaaa", "bbbbbb", "cccccc")


def _entry(writer: str, place: int, *, second: int, hours: int = 0) -> Entry:
    moment = (START + timedelta(seconds=second)).astimezone(timezone(timedelta(hours=hours)))
    letters = "".join(chr(ord("a") + place // 26**power % 26) for power in (3, 2, 1, 0))
    return Entry(at=moment, kind="remark", id=f"20261125T180000Z-{writer}-{letters}")


@st.composite
def _logs(draw: st.DrawFn, *, clocks_go_back: bool = True) -> dict[str, list[Entry]]:
    logs = {}
    for writer in draw(st.lists(st.sampled_from(WRITERS), unique=True)):
        seconds = draw(st.lists(st.integers(0, 8), max_size=6))
        if not clocks_go_back:
            seconds.sort()
        hours = draw(st.integers(-11, 12))
        logs[writer] = [_entry(writer, n, second=second, hours=hours) for n, second in enumerate(seconds)]
    return logs


@given(logs=_logs())
def test_no_entry_is_lost_or_doubled(logs: dict[str, list[Entry]]) -> None:
    every = [entry for entries in logs.values() for entry in entries]

    assert sorted(entry.id for entry in every) == sorted(entry.id for entry in merged(logs))


@given(logs=_logs())
def test_the_order_within_a_writer_is_that_of_its_files_whatever_its_clock_did(
    logs: dict[str, list[Entry]],
) -> None:
    order = merged(logs)

    for writer, entries in logs.items():
        assert entries == [entry for entry in order if entry.writer == writer]


@given(logs=_logs(clocks_go_back=False))
def test_with_good_clocks_the_order_is_utc_then_writer_then_file(logs: dict[str, list[Entry]]) -> None:
    every = [entry for entries in logs.values() for entry in entries]
    right = sorted(every, key=lambda entry: (entry.at, entry.writer, entry.id))

    assert right == list(merged(logs))


@given(logs=_logs(), data=st.data())
def test_the_order_depends_on_no_order_of_copies(logs: dict[str, list[Entry]], data: st.DataObject) -> None:
    shuffled = dict(data.draw(st.permutations(list(logs.items()))))

    assert merged(logs) == merged(shuffled)


@given(logs=_logs(), data=st.data())
def test_what_others_wrote_moves_no_entry_past_another(
    logs: dict[str, list[Entry]], data: st.DataObject
) -> None:
    """The order of two writers' entries is the same when a third one's copy comes in."""
    kept = data.draw(st.lists(st.sampled_from(WRITERS), unique=True))
    some = {writer: entries for writer, entries in logs.items() if writer in kept}

    assert [entry for entry in merged(logs) if entry.writer in some] == list(merged(some))


def test_a_clock_that_went_back_holds_its_later_entries_behind_the_earlier() -> None:
    first, back = _entry("aaaaaa", 0, second=10), _entry("aaaaaa", 1, second=2)
    between, late = _entry("bbbbbb", 0, second=5), _entry("bbbbbb", 1, second=11)

    assert merged({"aaaaaa": [first, back], "bbbbbb": [between, late]}) == (between, first, back, late)


def _chain(*targets: int | None, void: Sequence[int] = ()) -> list[Entry]:
    """Entries of which number n corrects number targets[n]."""
    plain = [_entry("aaaaaa", n, second=n) for n in range(len(targets))]
    return [
        entry.model_copy(update={"corrects": None if target is None else plain[target].id, "void": n in void})
        for n, (entry, target) in enumerate(zip(plain, targets, strict=True))
    ]


def _numbers(entries: Sequence[Entry], shown: Sequence[Entry]) -> list[int]:
    return [entries.index(entry) for entry in shown]


@pytest.mark.parametrize(
    ("targets", "void", "shown", "unknown"),
    [
        ((), (), [], []),
        ((None, None, None), (), [0, 1, 2], []),
        ((None, None, 0), (), [2, 1], []),
        ((None, None, 0, 2), (), [3, 1], []),
        ((None, None, 0, 0), (), [3, 1], []),
        ((None, None, 0, 2, 0), (), [4, 1], []),
        ((None, None, 0), (2,), [1], []),
        ((None, None, 0, 2), (3,), [1], []),
        ((None, None, 0, 2), (2,), [3, 1], []),
        ((None, 2, None), (), [0, 1], []),
        ((2, 0, None), (), [1], []),
        ((1, 0, None), (), [0, 1, 2], [0, 1]),
        ((0, None), (), [0, 1], [0]),
        ((1, 0, 0), (), [2, 1], [0, 1]),
        ((1, 2, 0, None, 3), (), [0, 1, 2, 4], [0, 1, 2]),
        ((1, 0, None), (0,), [1, 2], [0, 1]),
    ],
    ids=str,
)
def test_corrections(
    targets: tuple[int | None, ...], void: tuple[int, ...], shown: list[int], unknown: list[int]
) -> None:
    entries = _chain(*targets, void=void)
    result = corrected(entries)

    assert shown == _numbers(entries, result.entries)
    assert unknown == _numbers(entries, result.unknown)


def test_a_correction_of_what_is_not_there_stands_at_its_own_place() -> None:
    first, last = _chain(None, None)
    lost = first.model_copy(
        update={"id": "20261125T180001Z-aaaaaa-zzzz", "corrects": "20260101T000000Z-aaaaaa-aaaa"}
    )
    struck = lost.model_copy(update={"id": "20261125T180002Z-aaaaaa-zzzz", "void": True})
    second = last.model_copy(update={"corrects": lost.id})
    result = corrected([first, lost, struck, second])

    assert result.entries == (first, second)
    assert result.unknown == (lost, struck)


@given(
    targets=st.lists(st.none() | st.integers(0, 7), max_size=8),
    void=st.sets(st.integers(0, 7)),
)
@settings(max_examples=200)
def test_each_place_shows_one_wording_and_none_is_made_up(targets: list[int | None], void: set[int]) -> None:
    targets = [None if target is None or target >= len(targets) else target for target in targets]
    struck = [n for n in void if n < len(targets) and targets[n] is not None]
    entries = _chain(*targets, void=struck)
    result = corrected(entries)
    shown = _numbers(entries, result.entries)

    assert len(set(shown)) == len(shown)
    assert not set(shown) & set(struck)
    untouched = {n for n, target in enumerate(targets) if target is None and n not in targets}
    assert untouched <= set(shown)
    in_rings = set(_numbers(entries, result.unknown))
    corrected_by_others = {target for n, target in enumerate(targets) if n not in in_rings}
    assert not set(shown) & (corrected_by_others - in_rings - {None})


def test_a_long_chain_is_followed_in_reasonable_time() -> None:
    count = 20_000
    entries = _chain(None, *range(count - 1))

    assert corrected(entries).entries == (entries[-1],)


def test_a_round_that_grows_is_one_entry(library: Library, drum: str, make_entry: MakeEntry) -> None:
    """Each rod done corrects the entry before; finishing it turns it into a turn at the same place."""
    first = make_entry(1, kind="round", round={"head": "top", "amount": 0.25})
    remark = make_entry(2)
    grown = make_entry(
        3, kind="round", round={"head": "top", "amount": 0.25, "rods_done": "1"}, corrects=first.id
    )
    done = make_entry(4, kind="turn", turn={"top": 0.25}, corrects=grown.id)
    for entry in (first, remark, grown, done):
        library.append(drum, entry)
    log = library.log(drum)

    assert log.entries == (done, remark)
    assert log.raw == (first, remark, grown, done)
    assert log.problems == ()


def test_copies_of_two_machines_merge(
    open_library: Callable[[str], Library], library: Library, drum: str, make_entry: MakeEntry
) -> None:
    ours = [make_entry(0), make_entry(20)]
    theirs = [make_entry(n, id=f"20261125T1812{n}Z-zzzzzz-abcd") for n in (10, 30)]
    for entry in ours:
        library.append(drum, entry)
    for entry in theirs:
        open_library("zzzzzz").append(drum, entry)

    assert library.log(drum).entries == (ours[0], theirs[0], ours[1], theirs[1])
