"""What is written in a part: tempi, dynamics, rolls, repeats, small notes and signs of repeated bars."""

from typing import Any

import pytest

from lugbook.scores import Dynamics, Rest, Tempo, read_part

from .conftest import about

Hand = Any


def tempi(*pairs: tuple[str, float], assumed: bool = False) -> tuple[Tempo, ...]:
    return tuple(Tempo(bar, quarters, assumed) for bar, quarters in pairs)


def bars(hand: Hand, count: int, *first: str) -> list[str]:
    """Bars of four quarters, some of them begun with something."""
    return [begin + 4 * hand.note() for begin in [*first, *[""] * (count - len(first))]]


def test_a_part_by_hand(hand: Hand) -> None:
    """Every number of it, reckoned on paper."""
    path = hand.file(
        hand.beats(60) + hand.direction("<dynamics><pp/></dynamics>") + 4 * hand.note(),
        *[hand.rest()] * 6,
        hand.note() + hand.rest(24),
        hand.beats(120)
        + hand.direction("<dynamics><ff/></dynamics>")
        + 4 * hand.note("eighth")
        + hand.rest(16),
        hand.rest(),
        hand.note("half", signs='<ornaments><tremolo type="single">3</tremolo></ornaments>') + hand.rest(16),
        work="<work><work-title>A March</work-title></work><movement-number>II</movement-number>"
        "<movement-title>Trio</movement-title>"
        '<identification><creator type="composer">Nobody</creator></identification>',
    )
    told = read_part(path, least_rest_s=3)

    assert (told.title, told.composer, told.movement) == ("A March", "Nobody", "II Trio")
    assert (told.part, told.parts, told.bars, told.bars_played) == ("Snare Drum", ("Snare Drum",), 11, 11)
    assert told.seconds == about(8 * 4 + 3 * 2)
    assert told.tempi == tempi(("1", 60), ("9", 120))
    assert told.dynamics == Dynamics("pp", "1", "ff", "9")
    assert told.rests == (
        Rest("2", "7", about(24), "between", about(4)),
        Rest("8", "8", about(3), "between", about(29)),
        Rest("9", "10", about(3), "between", about(33)),
    )
    assert told.rolls.bars == ("11",)
    # A second of roll, and under strokes 4 + 1 + 1 s besides.
    assert told.rolls.share == about(1 / 7)
    assert told.density is not None
    # Strokes a second: 1, 1/4, 2, 1/2 bar by bar.
    assert (told.density.median, told.density.highest, told.density.highest_bar) == (0.75, 2, "9")
    assert told.remarks == ()


def test_rests_at_both_ends(hand: Hand) -> None:
    told = read_part(
        hand.file(
            hand.beats(60) + hand.rest(),
            hand.rest(24) + hand.note(),
            hand.note() + hand.rest(24),
            hand.rest(),
        ),
        least_rest_s=1,
    )

    assert [(one.bar_from, one.bar_to, one.where, one.seconds) for one in told.rests] == [
        ("1", "2", "before", about(7)),
        ("3", "4", "after", about(7)),
    ]


def test_a_part_that_is_silent_throughout(hand: Hand) -> None:
    told = read_part(hand.file(hand.beats(60) + hand.rest(), *[hand.rest()] * 9))

    assert told.rests == (Rest("1", "10", about(40), "before", 0.0),)
    assert told.density is None
    assert told.rolls.share == 0
    assert "The part holds no note." in told.remarks


def test_a_pickup_and_bar_numbers_as_printed(hand: Hand) -> None:
    """A pickup is bar 0; a bar without a number of its own has the one before."""
    told = read_part(
        hand.file(
            '<measure number="0" implicit="yes">' + hand.beats(60) + hand.note() + "</measure>",
            '<measure number="1">' + hand.rest() + "</measure>",
            '<measure number="2">' + hand.rest(16) + "</measure>",
            '<measure number="X1" implicit="yes">' + hand.rest(16) + "</measure>",
            '<measure number="3a">' + hand.rest(24) + hand.note() + "</measure>",
        ),
        least_rest_s=1,
    )

    assert told.seconds == about(1 + 4 + 4 + 4)
    assert [(one.bar_from, one.bar_to) for one in told.rests] == [("1", "3a")]
    assert told.tempi[0].bar == "0"
    short = read_part(
        hand.file(
            '<measure number="7">' + hand.beats(60) + hand.note("half") + "</measure>",
            '<measure number="X1" implicit="yes">' + hand.rest(16) + "</measure>",
        ),
        least_rest_s=1,
    )
    assert [(one.bar_from, one.bar_to) for one in short.rests] == [("7", "7")]


@pytest.mark.parametrize(
    ("mark", "quarters"),
    [
        (("60", "half"), 120),
        (("40", "whole"), 160),
        (("c. 66", "quarter"), 66),
        (("72-76", "quarter"), 72),
        (("66.5", "eighth"), 33.25),
    ],
)
def test_metronome_marks(hand: Hand, mark: tuple[str, str], quarters: float) -> None:
    told = read_part(hand.file(hand.beats(*mark) + 4 * hand.note()))

    assert told.tempi == tempi(("1", quarters))
    assert told.seconds == about(240 / quarters)


def test_a_mark_on_the_page_counts_before_the_players_tempo(hand: Hand) -> None:
    mark = hand.beats(60).replace("</direction>", '<sound tempo="90"/></direction>')

    assert read_part(hand.file(mark + 4 * hand.note())).tempi == tempi(("1", 60))


def test_two_notes_that_last_alike(hand: Hand) -> None:
    """A quarter of the new tempo lasts as long as a half of the old one: half as fast."""
    alike = hand.direction("<metronome><beat-unit>half</beat-unit><beat-unit>quarter</beat-unit></metronome>")
    told = read_part(hand.file(*bars(hand, 2, hand.beats(120), alike)))

    assert told.tempi == tempi(("1", 120), ("2", 60))
    assert told.seconds == about(2 + 4)


def test_a_tempo_in_words_is_assumed_and_said(hand: Hand) -> None:
    """music21's numbers for the words; the player's own number goes before them."""
    path = hand.file(
        *bars(hand, 2, hand.direction("<words>Allegro.</words>"), hand.direction("<words>Presto</words>"))
    )
    told, asked = read_part(path), read_part(path, tempo=60)

    assert told.tempi == tempi(("1", 132), ("2", 184), assumed=True)
    assert "assumed: 132 from bar 1, 184 from bar 2" in told.remarks[-1]
    assert asked.seconds == about(8)


def test_no_tempo_at_all(hand: Hand) -> None:
    path = hand.file(*bars(hand, 3))

    assert read_part(path).tempi == tempi(("1", 120), assumed=True)
    assert "assumed: 120 from bar 1" in read_part(path).remarks[-1]
    assert read_part(path, tempo=90).seconds == about(3 * 4 * 60 / 90)


def test_the_first_tempo_again(hand: Hand) -> None:
    again = hand.direction("<words>Tempo I</words>")

    assert read_part(hand.file(*bars(hand, 3, hand.beats(100), hand.beats(50), again))).tempi == tempi(
        ("1", 100), ("2", 50), ("3", 100)
    )


@pytest.mark.parametrize("value", ["0", "-60", "1e9", "nan", "inf", "fast", "9.9", "601"])
def test_a_tempo_that_cannot_be_is_left_out(hand: Hand, value: str) -> None:
    sound = f'<sound tempo="{value}"/>'
    told = read_part(hand.file(*bars(hand, 3, hand.beats(60), sound)))

    assert told.tempi == tempi(("1", 60))
    assert told.seconds == about(12)
    assert any(f"A tempo of {value} in bar 2 is left out" in one for one in told.remarks)


@pytest.mark.parametrize("value", ["0", "-60", "", "fast", "0.0", "9", "601", "9999"])
def test_a_metronome_mark_that_cannot_be_is_left_out(hand: Hand, value: str) -> None:
    told = read_part(hand.file(*bars(hand, 3, hand.beats(60), hand.beats(value))))

    assert told.tempi == tempi(("1", 60))
    assert f'A metronome mark "{value}" in bar 2 is left out.' in told.remarks


def test_a_tempo_in_the_middle_of_a_bar(hand: Hand) -> None:
    told = read_part(hand.file(hand.beats(60) + 2 * hand.note() + hand.beats(120) + 2 * hand.note()))

    assert told.seconds == about(2 + 1)


def test_tempi_and_jumps_that_stand_in_another_part(hand: Hand) -> None:
    """What is over the top part of a score is for everybody, wherever in the bar it stands."""
    flute = [
        hand.beats(60) + 2 * hand.note() + hand.beats(30) + 2 * hand.note(),
        hand.direction("<words>Fine</words>") + 4 * hand.note(),
        '<sound tempo="60"/>' + 4 * hand.note() + hand.direction("<words>D.C. al Fine</words>"),
    ]
    drum = [hand.rest(), hand.beats(60) + hand.rest(), 4 * hand.note()]
    path = hand.folder / "score.musicxml"
    path.write_text(hand.score({"Flute": flute, "Snare Drum": drum}), encoding="utf-8")
    told = read_part(path, least_rest_s=1)

    assert told.parts == ("Flute", "Snare Drum")
    assert told.tempi == tempi(("1", 60), ("1", 30), ("2", 60))
    assert told.bars_played == 5
    # Bar 1 lasts 2 + 4 s, the others 4 s, and the first two are played twice.
    assert told.seconds == about(6 + 4 + 4 + 6 + 4)
    assert [(one.bar_from, one.bar_to, one.seconds) for one in told.rests] == [
        ("1", "2", about(10)),
        ("1", "2", about(10)),
    ]


def test_repeats_and_endings(hand: Hand) -> None:
    forward = '<barline location="left"><repeat direction="forward"/></barline>'
    one = '<barline location="left"><ending number="1" type="start"/></barline>'
    two = '<barline location="left"><ending number="2" type="start"/></barline>'
    back = (
        '<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>'
    )
    end = '<barline location="right"><ending number="2" type="stop"/></barline>'
    told = read_part(
        hand.file(
            hand.beats(60) + 4 * hand.note(),
            forward + hand.rest(),
            one + hand.rest() + back,
            two + hand.rest() + end,
            hand.rest(),
            4 * hand.note(),
        ),
        least_rest_s=1,
    )

    assert (told.bars, told.bars_played, told.seconds) == (6, 7, about(28))
    assert [(one.bar_from, one.bar_to, one.seconds) for one in told.rests] == [("2", "5", about(20))]


def test_repeats_one_after_the_other_and_within(hand: Hand) -> None:
    """Many short ones in a row; one within another is followed too; an open one is said."""
    forward = '<barline location="left"><repeat direction="forward"/></barline>'
    back = '<barline location="right"><repeat direction="backward"/></barline>'
    row = [forward + 4 * hand.note(), *[hand.rest()] * 3, 4 * hand.note() + back] * 60
    within = [forward + hand.rest(), forward + hand.rest() + back, hand.rest() + back]

    assert read_part(hand.file(*row)).bars_played == 600
    assert read_part(hand.file(*within)).bars_played == 8
    ajar = read_part(hand.file(forward + hand.rest() + back, forward + hand.rest(), hand.rest()))
    assert ajar.bars_played == 4
    assert "No sign ends the repeat that begins in bar 2: it is played once." in ajar.remarks


@pytest.mark.parametrize(
    ("times", "played"), [("3", 3), ("32", 32), ("1", 2), ("33", 2), ("1000000000", 2), ("x", 2)]
)
def test_times_of_a_repeat(hand: Hand, times: str, played: int) -> None:
    back = f'<barline location="right"><repeat direction="backward" times="{times}"/></barline>'
    told = read_part(hand.file(4 * hand.note() + back))

    assert told.bars_played == played
    assert any("two are counted" in one for one in told.remarks) == (played == 2 and times != "1")


def test_signs_that_cannot_be_followed_are_said(hand: Hand) -> None:
    told = read_part(hand.file(*bars(hand, 3, "", hand.direction("<words>D.S. al Coda</words>"))))

    assert told.bars_played == 3
    assert any("counted once through" in one for one in told.remarks)


def test_small_notes_are_somebody_elses(hand: Hand) -> None:
    """Cues do not break a rest."""
    cue, sized = hand.note(before="<cue/>"), hand.note().replace("<type>", '<type size="cue">')
    told = read_part(
        hand.file(hand.beats(60) + 4 * hand.note(), hand.rest(), 2 * cue + 2 * sized, 4 * hand.note()),
        least_rest_s=1,
    )

    assert [(one.bar_from, one.bar_to, one.seconds) for one in told.rests] == [("2", "3", about(8))]


def test_bars_that_say_like_the_one_before(hand: Hand) -> None:
    """They are played, and are no rest."""
    style = "<attributes><measure-style>{}</measure-style></attributes>"
    start = style.format('<measure-repeat type="start">{}</measure-repeat>')
    stop = style.format('<measure-repeat type="stop"/>')
    one = [hand.beats(60) + 4 * hand.note(), start.format(1) + hand.rest(), hand.rest(), stop + hand.rest()]
    two = [
        hand.beats(60) + 4 * hand.note(),
        hand.rest(),
        start.format(2) + hand.rest(),
        hand.rest(),
        stop + hand.rest(),
    ]

    assert [(r.bar_from, r.bar_to) for r in read_part(hand.file(*one), least_rest_s=1).rests] == [("4", "4")]
    assert [(r.bar_from, r.bar_to) for r in read_part(hand.file(*two), least_rest_s=1).rests] == [
        ("2", "2"),
        ("4", "5"),
    ]


@pytest.mark.parametrize(
    ("kind", "sign", "rolled", "strokes"),
    [
        ("half", '<tremolo type="single">3</tremolo>', True, 1),
        ("half", '<tremolo type="single">1</tremolo>', False, 4),
        ("half", '<tremolo type="single">2</tremolo>', False, 8),
        ("quarter", '<tremolo type="single">4</tremolo>', True, 1),
        ("eighth", '<tremolo type="single">2</tremolo>', True, 1),
        ("eighth", '<tremolo type="single">1</tremolo>', False, 2),
        ("half", '<tremolo type="unmeasured">0</tremolo>', True, 1),
        ("half", "<tremolo/>", True, 1),
        ("half", '<tremolo type="single">99</tremolo>', True, 1),
        ("half", "<trill-mark/>", True, 1),
        ("half", "<mordent/>", False, 1),
    ],
)
def test_signs_of_a_roll(hand: Hand, kind: str, sign: str, rolled: bool, strokes: int) -> None:
    length = {"half": 16, "quarter": 8, "eighth": 4}[kind]
    told = read_part(
        hand.file(
            hand.beats(60) + hand.note(kind, signs=f"<ornaments>{sign}</ornaments>") + hand.rest(32 - length)
        )
    )

    assert told.rolls.bars == (("1",) if rolled else ())
    assert told.rolls.share == (1 if rolled else 0)
    assert told.density is not None
    assert told.density.highest == strokes / 4


def test_a_roll_written_out(hand: Hand) -> None:
    """Thirty-seconds at 96 are 12.8 strokes a second; at 60 they are eight, and no roll."""
    fast = [hand.beats(96) + 16 * hand.note("32nd") + 2 * hand.note()]
    slow = [hand.beats(60) + 16 * hand.note("32nd") + 2 * hand.note()]

    assert read_part(hand.file(*fast)).rolls.bars == ("1",)
    assert read_part(hand.file(*fast)).rolls.share == about(0.5)
    assert read_part(hand.file(*slow)).rolls.bars == ()


def test_ties_are_one_stroke(hand: Hand) -> None:
    """A tied note is not struck again; a trill goes on in it."""
    tied = hand.note("half", within="").replace("<type>", '<tie type="stop"/><type>')
    start = hand.note("half").replace("<type>", '<tie type="start"/><type>')
    trill = start.replace("</note>", "<notations><ornaments><trill-mark/></ornaments></notations></note>")
    plain, rolled = read_part(hand.file(start + tied)), read_part(hand.file(trill + tied))

    assert plain.density is not None
    assert plain.density.highest == about(1 / 2)
    assert plain.rolls.share == 0
    assert rolled.rolls.share == 1


def test_grace_notes_and_two_hands_at_once(hand: Hand) -> None:
    """A flam is one stroke of the rhythm, and so are two drums at once."""
    grace = "<note><grace/><unpitched/><type>eighth</type></note>"
    both = hand.note() + hand.note(before="<chord/>")
    told = read_part(hand.file(hand.beats(60) + grace + hand.note() + both + hand.rest(16)))

    assert told.density is not None
    assert told.density.highest == 2 / 4


def test_dynamics_in_order_of_loudness(hand: Hand) -> None:
    """Accents are none; fp is both; a first bar of each is named."""
    marks = [hand.direction(f"<dynamics><{one}/></dynamics>") for one in ("mf", "sfz", "fp", "p", "mp")]

    assert read_part(hand.file(*bars(hand, 5, *marks))).dynamics == Dynamics("p", "3", "f", "3")
    assert read_part(hand.file(*bars(hand, 2, marks[1]))).dynamics is None
    assert read_part(
        hand.file(4 * hand.note("quarter", signs="<dynamics><ppp/></dynamics>"))
    ).dynamics == Dynamics("ppp", "1", "ppp", "1")


def test_two_voices_and_two_staves(hand: Hand) -> None:
    """A rest is where neither voice plays."""
    upper = hand.note("half", within="<voice>1</voice>") + hand.rest(16).replace(
        "</note>", "<voice>1</voice></note>"
    )
    back = "<backup><duration>32</duration></backup>"
    lower = hand.rest(16).replace("</note>", "<voice>2</voice></note>") + hand.note(
        "half", within="<voice>2</voice>"
    )
    told = read_part(hand.file(hand.beats(60) + upper + back + lower, hand.rest()), least_rest_s=1)

    assert [(one.bar_from, one.seconds) for one in told.rests] == [("2", about(4))]
    staves = hand.file(
        "<attributes><staves>2</staves></attributes>"
        + hand.beats(60)
        + hand.note("half").replace("</note>", "<staff>1</staff></note>")
        + "<backup><duration>16</duration></backup><forward><duration>16</duration></forward>"
        + hand.note("half").replace("</note>", "<staff>2</staff></note>"),
        hand.rest().replace("</note>", "<staff>1</staff></note>"),
    )
    assert [(one.bar_from, one.seconds) for one in read_part(staves, least_rest_s=1).rests] == [
        ("2", about(4))
    ]


def test_hurrying_and_slashes_are_said(hand: Hand) -> None:
    slash = '<attributes><measure-style><slash type="start"/></measure-style></attributes>'
    told = read_part(hand.file(hand.direction("<words>rit.</words>") + slash + 4 * hand.note()))

    assert "Slowing down and hurrying (rit., accel.) are not counted." in told.remarks
    assert any("Slashes from bar 1" in one for one in told.remarks)


def test_going_back_takes_the_tempo_of_that_place(hand: Hand) -> None:
    """Reckoned on paper: bars 1 and 2 at 60, 3 at 120; the second time bar 2 is at 60 again."""
    back = '<barline location="right"><repeat direction="backward"/></barline>'
    forth = '<barline location="left"><repeat direction="forward"/></barline>'
    path = hand.file(
        hand.beats(60) + 4 * hand.note(),
        forth + hand.rest(),
        hand.beats(120) + 4 * hand.note() + back,
        hand.rest(),
    )
    told = read_part(path, least_rest_s=1)

    assert told.bars_played == 6
    assert told.seconds == about(4 + 4 + 2 + 4 + 2 + 2)
    assert [(one.bar_from, one.seconds) for one in told.rests] == [
        ("2", about(4)),
        ("2", about(4)),
        ("4", about(2)),
    ]
    assert told.tempi == tempi(("1", 60), ("3", 120))


def test_a_sign_past_the_end_of_its_bar_makes_no_rest(hand: Hand) -> None:
    """Words and tempi set off past the barline, or before the bar: the bar stays as long as it is."""
    words = "<direction><direction-type><words>x</words></direction-type><offset>{}</offset>{}</direction>"
    faster = '<sound tempo="120"/>'
    path = hand.file(
        hand.beats(60) + 4 * hand.note() + words.format(64, faster),
        4 * hand.note() + words.format(8, ""),
        words.format(-8, '<sound tempo="60"/>') + 4 * hand.note(),
        words.format(-8, "") + hand.rest(16) + words.format(-16, faster) + hand.rest(16),
    )
    told = read_part(path, least_rest_s=0)

    assert told.seconds == about(4 + 2 + 4 + 2)
    assert [(one.bar_from, one.bar_to, one.seconds) for one in told.rests] == [("4", "4", about(2))]


@pytest.mark.parametrize("named", [False, True])
def test_several_drums_in_one_part_are_said(hand: Hand, named: bool) -> None:
    """By the names of instruments, or by the lines they stand on; a rest is where none of them plays."""

    def stroke(drum: int) -> str:
        name = f'<instrument id="P1-I{drum}"/>' if named else ""
        at = "F" if drum == 1 and not named else "C"
        unpitched = (
            f"<unpitched><display-step>{at}</display-step><display-octave>5</display-octave></unpitched>"
        )
        return f"<note>{unpitched}<duration>8</duration>{name}<type>quarter</type></note>"

    one = read_part(hand.file(hand.beats(60) + 4 * stroke(1)))
    two = read_part(hand.file(hand.beats(60) + stroke(1) + stroke(2) + hand.rest(16)), least_rest_s=1)

    assert not any("more than one drum" in remark for remark in one.remarks)
    assert any("more than one drum" in remark for remark in two.remarks)
    assert [rest.seconds for rest in two.rests] == [about(2)]


SUITE = "<work><work-title>Suite</work-title></work>"
NUMBER = "<movement-number>2</movement-number>"
SCHERZO = "<movement-title>Scherzo</movement-title>"


@pytest.mark.parametrize(
    ("work", "title", "movement"),
    [
        (SCHERZO, "Scherzo", ""),
        (NUMBER + SCHERZO, "Scherzo", "2"),
        (SUITE + NUMBER + SCHERZO, "Suite", "2 Scherzo"),
        (SUITE.replace("Suite", " ") + SCHERZO, "Scherzo", ""),
        (SUITE + SCHERZO.replace("Scherzo", "Suite"), "Suite", ""),
        ("", "", ""),
    ],
)
def test_the_title_and_the_movement(hand: Hand, work: str, title: str, movement: str) -> None:
    told = read_part(hand.file(4 * hand.note(), work=work))

    assert (told.title, told.movement) == (title, movement)
