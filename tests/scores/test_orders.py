"""In which order bars are played: written by hand, with the order reckoned on paper."""

import re
from itertools import count
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import bar as m21_bar
from music21 import repeat as m21_repeat
from music21 import spanner, stream

from lugbook.scores import read_part
from lugbook.scores.music import Music
from lugbook.scores.repeats import order_of
from lugbook.scores.signs import Ending, Jump, Signs, signs_of
from lugbook.scores.written import read_written

Hand = Any

SHORT = re.compile(
    r"(?P<open>\|:)?(?:\[(?P<ending>[\d,]+))?\.?(?P<says>(?:\{[^}]+\})*)(?P<stop>\])?(?P<close>:\|\d*)?"
)
"""A bar in short: `|:` opens a repeat and `:|` or `:|3` ends it, `[1` begins an ending and `]` stops it."""


def music(hand: Hand, short: str, *, others: tuple[str, ...] = ()) -> Music:
    """What is read of bars in short; a bar of nothing is `.`, and `{...}` is a word, a sign or a sound."""
    parts = [("Snare Drum", short), *((f"Flute {n}", other) for n, other in enumerate(others))]
    path = hand.folder / "part.musicxml"
    path.write_text(
        hand.score([(name, [bar(hand, one) for one in bars.split()]) for name, bars in parts]),
        encoding="utf-8",
    )
    return read_written(path.read_bytes(), part=None, file="part", progress=None)


def bar(hand: Hand, short: str) -> str:
    found = SHORT.fullmatch(short)
    assert found, short
    left = '<repeat direction="forward"/>' if found["open"] else ""
    right = ""
    if found["ending"]:
        left = f'<ending number="{found["ending"]}" type="start"/>{left}'
    if found["stop"]:
        right = '<ending number="1" type="stop"/>'
    if found["close"]:
        times = found["close"].removeprefix(":|")
        right += '<repeat direction="backward"' + (f' times="{times}"' if times else "") + "/>"
    text: str = f'<barline location="left">{left}</barline>' if left else ""
    text += hand.note("whole") + "".join(map(said, re.findall(r"\{([^}]+)\}", found["says"])))
    return text + (f'<barline location="right">{right}</barline>' if right else "")


def said(word: str) -> str:
    kind, _, value = word.partition("=")
    if value:
        return f'<sound {kind}="{value}"/>'
    inside = f"<{word}/>" if word in ("segno", "coda") else f"<words>{word.replace('_', ' ')}</words>"
    return f"<direction><direction-type>{inside}</direction-type></direction>"


def played(hand: Hand, short: str, *, others: tuple[str, ...] = ()) -> str:
    """The bars in the order of playing, counted from 1."""
    return " ".join(str(place + 1) for place in music(hand, short, others=others).order)


@pytest.mark.parametrize(
    ("short", "order"),
    [
        ("|:. .:| .", "1 2 1 2 3"),
        # One that nothing opens goes back to the end of the one before it.
        (".:| .:|", "1 1 2 2"),
        (". .:| . .:| .", "1 2 1 2 3 4 3 4 5"),
        (". |:.:| . .:|", "1 2 2 3 4 3 4"),
        ("|:.:| .:|3 |:.:| .", "1 1 2 2 2 3 3 4"),
        # One within another.
        ("|:. |:.:| .:|", "1 2 2 3 1 2 2 3"),
        ("|:. |:.:| |:.:| .:| .:|", "1 2 2 3 3 4 1 2 2 3 3 4 5 5"),
        # Endings.
        ("|:. [1]:| [2] .", "1 2 1 3 4"),
        (". [1]:| [2] .", "1 2 1 3 4"),
        (". [1]:| [2] . .:| .", "1 2 1 3 4 5 4 5 6"),
        ("|:. [1,2]:| [3] .", "1 2 1 2 1 3 4"),
        ("|:. [1,2]:| [3 .", "1 2 1 2 1 3 4"),
        ("|:. [1,2:| [3 . .:|", "1 2 1 2 1 3 4 5 4 5"),
        ("|:. [1 .:| [2 .", "1 2 3 1 4 5"),
        ("|:. [1 .] [2 . .]:| .", "1 2 3 4 5 6 1 2 3 4 5 6 7"),
        ("|:. [1]:| [2]:| .", "1 2 1 3 4"),
        ("|:. [1]:| [2]:| [3] .", "1 2 1 3 1 4 5"),
        ("|:. [1,3]:| [2]:| .", "1 2 1 3 1 2 4"),
        # An ending alone: the last time goes on without it.
        ("|:. [1]:| .", "1 2 1 3"),
        ("|:. [1,2]:| .", "1 2 1 2 1 3"),
        # Two sections with endings, side by side.
        ("|:. [1]:| [2] |:. [1]:| [2] .", "1 2 1 3 4 5 4 6 7"),
        (". [1]:| [2] . [1]:| [2] .", "1 2 1 3 4 5 4 6 7"),
        ("|:. |:.:| [1]:| [2] .", "1 2 2 3 1 2 2 4 5"),
        ("|:. [1 |:.:| .]:| [2] .", "1 2 3 3 4 1 5 6"),
    ],
)
def test_repeats_and_endings(hand: Hand, short: str, order: str) -> None:
    assert played(hand, short) == order


@pytest.mark.parametrize(
    ("short", "order"),
    [
        (". .{D.C.}", "1 2 1 2"),
        (". .{D.C.} .", "1 2 1 2 3"),
        (". {Fine} {D.C._al_Fine}", "1 2 3 1 2"),
        (". {Fine} {Da_Capo_al_fine}", "1 2 3 1 2"),
        (". {Fine} {DC}{al_Fine}", "1 2 3 1 2"),
        (". {(Fine)} {D._C.}", "1 2 3 1 2"),
        # Repeats are not played again, and the last ending is taken.
        (".:| {Fine} {D.C._al_Fine}", "1 1 2 3 1 2"),
        ("|:. [1]:| [2] {Fine} {D.C._al_Fine}", "1 2 1 3 4 5 1 3 4"),
        (". [1{D.C.}] [2] .", "1 2 1 3 4"),
        ("|:. {D.C.}:| .", "1 2 1 2 1 2 3"),
        (". {segno} . {D.S.} .", "1 2 3 4 2 3 4 5"),
        (". {segno} {Fine} {D.S._al_Fine} .", "1 2 3 4 2 3"),
        (". {segno} {To_Coda} {D.S._al_Coda} {coda} .", "1 2 3 4 2 3 5 6"),
        (". . {To_Coda} {D.C._al_Coda} . {Coda} .", "1 2 3 4 1 2 3 6 7"),
        # The sign of the coda beside its words, or twice.
        (". {segno} {To_Coda}{coda} {D.S._al_Coda} {coda} .", "1 2 3 4 2 3 5 6"),
        (". {segno} {coda} {D.S._al_Coda} {coda}{Coda} .", "1 2 3 4 2 3 5 6"),
        (". {segno} {To_Coda}{coda} {D.S._al_Coda} {coda}{Coda} .", "1 2 3 4 2 3 5 6"),
        (". {segno} {To_Coda} {D.S._al_Coda} {coda}{Coda}:| .", "1 2 3 4 2 3 5 5 6"),
        # What only players of sound are told.
        (". {fine=yes} {dacapo=yes}", "1 2 3 1 2"),
        (". .{dacapo=yes}", "1 2 1 2"),
        (". .{dacapo=no}", "1 2"),
        (". {segno=s} {tocoda=c} {dalsegno=s} {coda=c} .", "1 2 3 4 2 3 5 6"),
        (
            ". {segno}{segno=s} {To_Coda}{tocoda=c} {D.S._al_Coda}{dalsegno=s} {coda}{coda=c} .",
            "1 2 3 4 2 3 5 6",
        ),
    ],
)
def test_jumps(hand: Hand, short: str, order: str) -> None:
    read = music(hand, short)

    assert " ".join(str(place + 1) for place in read.order) == order
    assert read.remarks == ()


def test_jumps_over_another_part(hand: Hand) -> None:
    """Whether in words or in sound only; what stands over both counts once."""
    others = (". {Fine}{fine=yes} {dacapo=yes}", ". {Fine} .")

    assert played(hand, ". . .", others=others) == "1 2 3 1 2"
    assert played(hand, ". {Fine} {D.C._al_Fine}", others=others) == "1 2 3 1 2"


@pytest.mark.parametrize(
    "short",
    [
        ". . {D.S.}",
        ". {segno} {segno} {D.S.}",
        ". {D.S.} {segno} .",
        ". . {D.C._al_Fine}",
        ". {segno} . {D.S._al_Coda} .",
        ". {coda} {segno} {To_Coda} {D.S._al_Coda} .",
        ". {Fine} {D.C._al_Fine} {D.C.}",
        ". {D.C.}{D.S.} .",
    ],
)
def test_jumps_that_lead_nowhere_are_said(hand: Hand, short: str) -> None:
    read = music(hand, short)

    assert list(read.order) == list(range(len(read.bars)))
    assert read.remarks == ("The repeats could not be followed: the part is counted once through.",)


@pytest.mark.parametrize(
    ("short", "order", "remark"),
    [
        ("|:.:| |:. .", "1 1 2 3", "No sign ends the repeat that begins in bar 2: it is played once."),
        ("|:. . .", "1 2 3", "No sign ends the repeat that begins in bar 1: it is played once."),
        (". [1] [2] .", "1 2 3 4", "The ending in bar 2 belongs to no repeat: it is played as it stands."),
        (".:| [2] .", "1 1 2 3", "The ending in bar 2 belongs to no repeat: it is played as it stands."),
        (". {M.D.C.}", "1 2", '"M.D.C." in bar 2 is not followed.'),
    ],
)
def test_what_is_not_followed_is_said(hand: Hand, short: str, order: str, remark: str) -> None:
    read = music(hand, short)

    assert " ".join(str(place + 1) for place in read.order) == order
    assert read.remarks == (remark,)


def test_a_repeat_in_the_middle_of_a_bar_is_said(hand: Hand) -> None:
    middle = '<barline location="middle"><repeat direction="backward"/></barline>'
    told = read_part(hand.file(hand.beats(60) + 2 * hand.note() + middle + 2 * hand.note()))

    assert told.bars_played == 1
    assert told.remarks == ("The repeat sign in the middle of bar 1 is not followed.",)


def test_signs_on_the_other_side_of_the_barline(hand: Hand) -> None:
    """A repeat that ends at the left of the next bar, or opens at the right of the one before."""
    back = '<barline location="left"><repeat direction="backward"/></barline>'
    forth = '<barline location="right"><repeat direction="forward"/></barline>'
    note = hand.note("whole")

    assert read_part(hand.file(note, note, back + note, note)).bars_played == 6
    assert read_part(hand.file(note, note + forth, note, back + note)).bars_played == 5
    assert read_part(hand.file(back + note, note + forth)).bars_played == 2
    closed = note + forth.replace("<repeat", '<repeat direction="backward"/></barline><barline><repeat', 1)
    assert read_part(hand.file(note, closed)).bars_played == 4


def test_so_many_times_that_nobody_waits_for_it() -> None:
    """Thousands of bars thirty-two times, or repeats within repeats: given up after so many bars."""
    labels = [str(place) for place in range(5000)]
    long = Signs(closes={4999: 32})
    deep = Signs(opens=set(range(20)), closes=dict.fromkeys(range(20, 40), 32))
    row = Signs(opens=set(range(5000)), closes=dict.fromkeys(range(5000), 5))
    for signs in (long, deep, row):
        remarks: list[str] = []
        assert order_of(signs, labels, remarks) == tuple(range(5000))
        assert remarks == ["The repeats could not be followed: the part is counted once through."]
    remarks = []
    assert len(order_of(Signs(closes={4999: 4}), labels, remarks)) == 20_000
    assert remarks == []


PLACES = st.integers(0, 11)
ANY_SIGNS = st.builds(
    Signs,
    opens=st.sets(st.integers(0, 12)),
    closes=st.dictionaries(PLACES, st.integers(2, 4)),
    after_jump=st.booleans(),
    endings=st.dictionaries(PLACES, st.frozensets(st.integers(0, 4), min_size=1), max_size=4).map(
        lambda found: [Ending(place, place, found[place]) for place in sorted(found)]
    ),
    jumps=st.dictionaries(
        PLACES, st.builds(Jump, st.booleans(), st.sampled_from(["end", "fine", "coda"])), max_size=2
    ),
    signs=st.sets(PLACES, max_size=2),
    codas=st.sets(PLACES, max_size=2),
    to_codas=st.sets(PLACES, max_size=2),
    fines=st.sets(PLACES, max_size=2),
)


@settings(deadline=None, max_examples=300)
@given(signs=ANY_SIGNS)
def test_whatever_the_signs_are_the_walk_ends(signs: Signs) -> None:
    """In an order of bars that there are, from the first on."""
    order = order_of(signs, [str(place) for place in range(12)], [])

    assert set(order) <= set(range(12))
    assert order[0] == 0
    assert len(order) <= 20_000


def test_very_many_brackets_are_few() -> None:
    """Tens of thousands in a few bars are one in each."""
    lines = (
        1000 * '<barline><ending number="1" type="start"/></barline><barline><ending type="stop"/></barline>'
    )
    tree = ElementTree.fromstring(f"<part>{40 * f'<measure>{lines}</measure>'}</part>")  # noqa: S314  # written above
    signs = signs_of(list(tree), [], [str(place) for place in range(40)], [])

    assert signs.endings == [Ending(place, place, frozenset((1,))) for place in range(40)]


SECTIONS = st.lists(
    st.tuples(st.integers(1, 3), st.sampled_from(["plain", "repeat", "thrice", "endings", "three"])),
    min_size=1,
    max_size=5,
)


@settings(deadline=None, max_examples=60)
@given(sections=SECTIONS, jump=st.sampled_from([None, "capo", "fine"]))
def test_against_music21(sections: list[tuple[int, str]], jump: str | None) -> None:
    """Sections that are opened and ended: as music21 has them played."""
    signs, number = Signs(), count()
    # After a jump it plays all endings.
    if jump:
        sections = [(length, "repeat" if kind in ("endings", "three") else kind) for length, kind in sections]
    for length, kind in sections:
        places = [next(number) for _ in range(length)]
        if kind != "plain":
            signs.opens.add(places[0])
        if kind in ("repeat", "thrice"):
            signs.closes[places[-1]] = 2 if kind == "repeat" else 3
        for turn in range({"endings": 2, "three": 3}.get(kind, 0)):
            place = next(number)
            signs.endings.append(Ending(place, place, frozenset((turn + 1,))))
            if turn + 1 < {"endings": 2, "three": 3}[kind]:
                signs.closes[place] = 2
    bars = next(number)
    if jump == "fine" and bars > 1:
        signs.fines.add(0)
    if jump:
        signs.jumps[bars] = Jump(to_sign=False, until="fine" if signs.fines else "end")
        bars += 1
    remarks: list[str] = []
    order = order_of(signs, [str(place) for place in range(bars)], remarks)

    assert list(order) == theirs(signs, bars)
    assert remarks == []


def theirs(signs: Signs, count: int) -> list[int]:
    """The order in which music21 has them played."""
    part: Any = stream.Part()  # type: ignore[no-untyped-call]  # music21 types it in part
    measures: list[Any] = [stream.Measure(number=place + 1) for place in range(count)]
    for place, one in enumerate(measures):
        if place in signs.opens:
            one.leftBarline = m21_bar.Repeat(direction="start")
        if place in signs.closes:
            one.rightBarline = m21_bar.Repeat(direction="end", times=signs.closes[place])
        if place in signs.fines:
            one.insert(0, m21_repeat.Fine())  # type: ignore[no-untyped-call]  # as said above
        if place in signs.jumps:
            back: Any = m21_repeat.DaCapoAlFine if signs.fines else m21_repeat.DaCapo
            one.insert(0, back())
        one.groups.append(str(place))
        part.append(one)
    for ending in signs.endings:
        part.insert(0, spanner.RepeatBracket([measures[ending.first]], number=str(min(ending.times))))
    whole: Any = m21_repeat.Expander(part)
    return [int(one.groups[0]) for one in whole.process().getElementsByClass(stream.Measure)]
