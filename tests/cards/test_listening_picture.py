"""The picture of a listening: what stands in it, and that it stays readable whatever was heard."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.cards import listening_picture
from lugbook.heads.hearing import Alternative, Hearing, Partial, Reading, Tap
from lugbook.heads.levels import Levels

Read = Callable[[str], Any]

LEVELS = Levels(tuple(-70.0 + (column % 50) for column in range(200)), 4.0)


def partial(hz: float, level_db: float = -3.0, mode: str | None = None) -> Partial:
    return Partial(hz, level_db, 0.4, mode)


def tap(at_s: float, hz: float | None = 245.0, *, used: bool = True, lines: tuple[Partial, ...] = ()) -> Tap:
    why = None if used else "its pitch is far from the others"
    return Tap(at_s, hz, 1.0, "B3", -13.6, 3.0, used, why, lines)


def heard(*taps: Tap, **reading: object) -> Hearing:
    values: dict[str, Any] = {
        "hz": 245.1,
        "sd_cents": 2.0,
        "note": "B3",
        "cents": -13.6,
        "mode": "1,1",
        "sure": True,
        "taps_used": sum(one.used for one in taps),
        "split_cents": None,
        "other_head": "damped",
        "alternatives": (),
    }
    return Hearing(taps, Reading(**{**values, **reading}), (), None)


def drawn(read: Read, hearing: Hearing, *, levels: Levels = LEVELS, **options: Any) -> Any:  # noqa: ANN401 -- the picture's class lives in the conftest
    return read(listening_picture(hearing, levels=levels, **{"file": "taps.wav", "a4_hz": 440.0, **options}))


LINES = (partial(221.7, -14, "0,1"), partial(245.1, -3, "1,1"), partial(339.6, 0, "2,1"), partial(500.0, -20))
FOUR = tuple(tap(0.5 + number, lines=LINES) for number in range(4))


def test_the_reading_stands_there_with_its_uncertainty(read_picture: Read) -> None:
    """Note, cents, hertz, plus-minus and taps are written; the note is the tallest of all texts."""
    picture = drawn(read_picture, heard(*FOUR))
    tallest = max(picture.texts, key=lambda text: text.size)

    assert tallest.words == "B3 −13"
    assert tallest.size > 3 * sorted(text.size for text in picture.texts)[-2]
    assert "245.1 Hz  ± 2 cents" in picture.words
    assert "from 4 of 4 taps, struck near the hoop" in picture.words


def test_notes_are_named_at_the_concert_pitch(read_picture: Read) -> None:
    """At A4 = 442 Hz the same frequency lies 7.85 cents lower (1200 log2 442/440)."""
    picture = drawn(read_picture, heard(*FOUR), a4_hz=442.0)

    assert max(picture.texts, key=lambda text: text.size).words == "B3 −21"


def test_glide_split_and_damping_are_words(read_picture: Read) -> None:
    """What else was heard has a heading and a word each."""
    told = drawn(
        read_picture, heard(*FOUR, split_cents=12.0, other_head="free", sure=False), struck="centre"
    ).words

    assert "after the stroke falls by 3 cents" in told
    assert "evenness two pitches 12 cents apart" in told
    assert "other head rang too" in told
    assert "this line not sure: another may be meant" in told
    assert "struck at the centre" in told


def test_the_target_is_compared(read_picture: Read) -> None:
    """With a target the deviation is a number and a word, and the target a line in the panel of pitches."""
    picture = drawn(read_picture, heard(*FOUR), near_hz=247.4)
    without = drawn(read_picture, heard(*FOUR))

    assert "16 cents flat of B3 +3 (247.4 Hz)" in picture.words
    assert any(text.words == "expected" for text in picture.texts)
    assert len(picture.shapes()) > len(without.shapes())
    assert "expected" not in without.words


def test_a_target_far_off_is_said_instead_of_drawn(read_picture: Read) -> None:
    """An octave is off the scale, and the scale stays fit for the taps."""
    assert "expected +1200 cents, off the scale" in drawn(read_picture, heard(*FOUR), near_hz=490.2).words


def test_lines_have_names_notes_and_numbers(read_picture: Read) -> None:
    """Each line has a row: where it sounds, its mode small, note, hertz, level, how long it rings, taps."""
    told = drawn(read_picture, heard(*FOUR, alternatives=(Alternative(221.7, "another"),))).words

    assert "near the hoop (1,1) B3 −13 245.1 −3 dB 0.40 s 4 of 4" in told
    assert "centre (0,1) A3 +13 221.7 −14 dB 0.40 s 4 of 4" in told
    assert "higher (2,1) F4 −48 339.6 0 dB" in told
    assert "the reading" in told
    assert "may be meant instead" in told
    assert "partial" not in told


def test_a_tap_left_out_is_told_without_colour(read_picture: Read) -> None:
    """The same tap used and left out gives other shapes, not only other colours; words explain the signs."""
    used = drawn(read_picture, heard(*FOUR))
    left = drawn(read_picture, heard(*FOUR[:-1], tap(3.5, used=False, lines=LINES)))

    assert sorted(used.shapes()) != sorted(left.shapes())
    assert {"left out", "tap that was used"} <= {text.words for text in left.texts}
    assert {"1", "2", "3", "4"} <= {text.words for text in left.texts}


def test_a_refused_recording_has_its_picture(read_picture: Read) -> None:
    """No pitch, the reason, the level and the strokes; lines have no names, because it may be no drum."""
    taps = (tap(0.5, 310.0, used=False, lines=LINES), tap(2.0, None, used=False))
    hearing = Hearing(taps, None, (), "No drum was heard: nothing rings on after a stroke.")
    picture = drawn(read_picture, hearing)

    assert max(picture.texts, key=lambda text: text.size).words == "No pitch"
    assert "No drum was heard: nothing rings on after a stroke." in " ".join(picture.words.split())
    assert "Lines of the sound" in picture.words
    assert "near the hoop" not in picture.words
    silent = drawn(
        read_picture, Hearing((), None, (), "The recording is silent."), levels=Levels((-150.0,) * 9, 1)
    )
    assert "The recording is silent." in silent.words
    assert "No line rings on." in silent.words


def test_text_from_elsewhere_stays_text(read_picture: Read) -> None:
    """Markup, quotes and escape sequences in a file's name are shown as they are."""
    name = '<script>&"\x1b[2J]]>.wav'
    picture = drawn(read_picture, replace(heard(*FOUR), remarks=("<b>&amp;</b>",)), file=name)

    assert '<script>&"␛[2J]]>.wav' in picture.words
    assert "<b>&amp;</b>" in picture.words
    assert {element.tag.partition("}")[2] for element in picture.root.iter()} <= {
        "svg",
        "title",
        "desc",
        "text",
        "rect",
        "circle",
        "path",
    }


def test_it_stands_for_itself(read_picture: Read) -> None:
    """Nothing is fetched: no link, no style sheet, no font but a generic family; the ground is white."""
    picture = drawn(read_picture, heard(*FOUR), near_hz=247.0)

    attributes = {(name, value) for element in picture.root.iter() for name, value in element.attrib.items()}
    assert not [pair for pair in attributes if "href" in pair[0] or "style" in pair[0] or "url" in pair[1]]
    assert {value for name, value in attributes if name == "font-family"} == {"sans-serif"}
    ground = picture.root[2]
    assert (ground.attrib["width"], ground.attrib["fill"]) == ("1000", "#ffffff")


def test_whoever_cannot_see_it_is_told(read_picture: Read) -> None:
    """Title and description come first and say what the picture says."""
    picture = drawn(read_picture, replace(heard(*FOUR), remarks=("Tap softly.",)))
    title, description = picture.root[0], picture.root[1]

    assert picture.root.attrib["role"] == "img"
    assert picture.root.attrib["aria-labelledby"] == f"{title.attrib['id']} {description.attrib['id']}"
    assert title.text == "What was heard in taps.wav"
    assert description.text is not None
    assert description.text.startswith("B3 −13 (245.1 Hz), ± 2 cents, from 4 of 4 taps.")
    assert "Other head: damped." in description.text
    assert description.text.endswith("Tap softly.")


def test_it_is_the_same_every_time() -> None:
    """The same hearing gives the same bytes."""
    hearing = heard(*FOUR)
    first, second = (listening_picture(hearing, levels=LEVELS, file="a.wav", a4_hz=440.0) for _ in range(2))

    assert first == second


def test_remarks_that_find_no_room_are_counted(read_picture: Read) -> None:
    """A long list ends in a line that says how many are left."""
    remarks = tuple(f"The tap at {number}.00 s was left out: its pitch is far off." for number in range(9))
    picture = drawn(read_picture, replace(heard(*FOUR), remarks=remarks))

    assert "more remarks." in picture.words
    assert not picture.overlapping()


@pytest.mark.parametrize("apart_cents", [0.0, 0.5, 5.0, 60.0])
def test_lines_close_together_have_rows_of_their_own(read_picture: Read, apart_cents: float) -> None:
    """Sixteen lines within a few cents, or in steps of a quarter tone: no label runs into another."""
    lines = tuple(partial(245.0 * 2 ** (number * apart_cents / 1200), -number) for number in range(16))
    picture = drawn(read_picture, heard(tap(1.0, lines=lines)))

    assert not picture.overlapping()
    assert not picture.outside()


def test_ten_minutes_are_told_in_minutes(read_picture: Read) -> None:
    """A long recording has its time in minutes, a short one in seconds."""
    long = drawn(read_picture, heard(*FOUR), levels=Levels((-20.0,) * 400, 600.0)).words
    short = drawn(read_picture, heard(*FOUR), levels=Levels((-20.0,) * 400, 4.0)).words

    assert "10.0 minutes" in long
    assert "2 min" in long
    assert "4.0 seconds" in short
    assert "2.5 s" in short


HZ = st.one_of(st.floats(40, 1200), st.floats(1e-3, 1e7), st.sampled_from([5e-324, 1e308]))
SIZE = st.one_of(st.floats(0, 300), st.floats(0, 1e12), st.just(1e300))
TEXT = st.text(max_size=300)
LEVEL = st.one_of(st.floats(-60, 0), st.floats(-1e9, 0))


@st.composite
def hearings(draw: st.DrawFn) -> Hearing:
    """Hearings with 0 to 60 taps, 0 to 40 lines in each, and numbers of any size."""
    modes = st.sampled_from(["1,1", "0,1", "2,1", "0,2", "12,34", None, "<&>" * 40])
    lines = st.lists(st.builds(Partial, HZ, LEVEL, SIZE, modes), max_size=40)
    lists = draw(st.lists(lines, min_size=1, max_size=3))
    one_tap = st.builds(
        Tap,
        at_s=st.one_of(st.floats(-1, 5), st.floats(0, 1e6)),
        hz=st.one_of(st.none(), HZ),
        sd_cents=st.one_of(st.none(), SIZE),
        note=st.none(),
        cents=st.none(),
        glide_cents=st.one_of(st.none(), st.floats(-1e6, 1e6)),
        used=st.booleans(),
        why_not=st.one_of(st.none(), TEXT),
        partials=st.sampled_from(lists).map(tuple),
    )
    taps = tuple(draw(st.lists(one_tap, max_size=60)))
    reading = draw(
        st.one_of(
            st.none(),
            st.builds(
                Reading,
                hz=HZ,
                sd_cents=SIZE,
                note=st.just("A3"),
                cents=st.floats(-50, 49),
                mode=st.sampled_from(["1,1", "0,1"]),
                sure=st.booleans(),
                taps_used=st.integers(0, 60),
                split_cents=st.one_of(st.none(), SIZE),
                other_head=st.sampled_from(["damped", "free", "unknown"]),
                alternatives=st.lists(st.builds(Alternative, HZ, TEXT), max_size=4).map(tuple),
            ),
        )
    )
    remarks = tuple(draw(st.lists(TEXT, max_size=8)))
    return Hearing(taps, reading, remarks, None if reading else draw(TEXT))


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(
    hearing=hearings(),
    levels=st.builds(
        Levels,
        st.lists(st.floats(-150, 40), max_size=50).map(tuple),
        st.one_of(st.just(0.0), st.floats(0.05, 20), st.floats(20, 1e5)),
    ),
    file=st.text(max_size=200),
    near_hz=st.one_of(st.none(), st.floats(20, 5000)),
    struck=st.sampled_from(["rim", "centre"]),
)
def test_whatever_was_heard_every_text_is_inside_and_none_runs_into_another(
    read_picture: Read, hearing: Hearing, levels: Levels, file: str, near_hz: float | None, struck: str
) -> None:
    """Well formed, every number finite, every text within the view box, no two labels overlapping."""
    picture = drawn(read_picture, hearing, levels=levels, file=file, near_hz=near_hz, struck=struck)

    assert picture.outside() == []
    assert picture.overlapping() == []
