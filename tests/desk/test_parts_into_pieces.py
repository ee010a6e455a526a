"""A part that was read becomes a piece: what goes in, what stays, and what is suggested."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.desk import Desk
from lugbook.desk.keeping import BadRecord
from lugbook.desk.part_words import bar_of, runs
from lugbook.desk.pieces import add_piece, edit_piece
from lugbook.desk.reading_parts import MOST_PASSAGES, MOST_RESTS, Proposal, keep, propose
from lugbook.desk.vocabulary import word_of
from lugbook.desk.wording import folded
from lugbook.errors import BadValue, ChangedUnderneath, NotFound
from lugbook.records import Piece
from lugbook.scores import NoPercussion

FIRST = (
    "<attributes><divisions>8</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "<clef><sign>percussion</sign></clef></attributes>"
    '<direction><direction-type><words> </words></direction-type><sound tempo="60"/></direction>'
)
STROKE = "<note><unpitched/><duration>8</duration><type>quarter</type></note>"
ROLL = (
    "<note><unpitched/><duration>32</duration><type>whole</type>"
    '<notations><ornaments><tremolo type="single">3</tremolo></ornaments></notations></note>'
)
REST = "<note><rest/><duration>32</duration></note>"
BEATS = STROKE * 4
HALF = "<note><rest/><duration>16</duration></note>"

Write = Callable[..., str]


def level(written: str) -> str:
    return f"<direction><direction-type><dynamics><{written}/></dynamics></direction-type></direction>"


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write a part at a quarter 60, so that a bar of four quarters lasts four seconds; return its path."""

    def put(
        bars: Sequence[str],
        *,
        name: str = "night.musicxml",
        part: str = "Snare Drum",
        title: str = "Night music",
        composer: str = "Ada Lind",
        numbers: Sequence[str] = (),
    ) -> str:
        labels = numbers or [str(number) for number in range(1, len(bars) + 1)]
        body = "".join(
            f'<measure number="{label}">{FIRST if not place else ""}{bar}</measure>'
            for place, (label, bar) in enumerate(zip(labels, bars, strict=True))
        )
        work = f"<work><work-title>{title}</work-title></work>" if title else ""
        by = f'<identification><creator type="composer">{composer}</creator></identification>'
        path = tmp_path / name
        path.write_text(
            f'<score-partwise version="4.0">{work}{by if composer else ""}<part-list>'
            f'<score-part id="P1"><part-name>{part}</part-name></score-part></part-list>'
            f'<part id="P1">{body}</part></score-partwise>',
            encoding="utf-8",
        )
        return str(path)

    return put


def keeping(desk: Desk, found: Proposal) -> Piece:
    return desk.library.piece(keep(desk, found).id).record


def passages(piece: Piece) -> list[tuple[str, str]]:
    return [(one.bars, one.words) for one in piece.passages]


NIGHT = [level("pp") + BEATS, ROLL, ROLL, *[REST] * 6, level("mf") + STROKE * 2 + HALF, BEATS, REST]


def test_a_new_piece_of_what_the_part_tells(desk: Desk, write: Write, with_drum: Callable[..., str]) -> None:
    """Title, composer, dynamics, rolls, densest bar, length and rests; the file's name without its folder."""
    with_drum()
    path = write(NIGHT)
    found = propose(desk, path)

    assert (found.slug, found.changes, found.remarks, found.anything) == (None, (), (), True)
    assert desk.library.pieces().items == {}

    piece = keeping(desk, found)
    assert (piece.title, piece.composer, piece.movement, piece.dynamics) == (
        "Night music",
        "Ada Lind",
        "",
        "pp to mf",
    )
    assert passages(piece) == [
        ("1", "densest bar, 1.0 strokes a second (from the part)"),
        ("2-3", "rolls (from the part)"),
    ]
    assert piece.part is not None
    assert (piece.part.name, piece.part.file, piece.part.seconds, piece.part.bars) == (
        "Snare Drum",
        "night.musicxml",
        48.0,
        12,
    )
    # Six bars, and nothing in the second half of the tenth; the last bar is too short.
    assert [(one.bars, one.seconds) for one in piece.part.rests] == [("4-9", 24.0)]
    assert str(Path(path).parent) not in piece.model_dump_json()


def test_what_the_player_wrote_stays(desk: Desk, write: Write, with_drum: Callable[..., str]) -> None:
    """Only what is empty is filled; each of that is said, and what stays though the part says otherwise."""
    with_drum()
    mine = {
        "title": "My night",
        "dynamics": "p to f",
        "contexts": ["dry étude"],
        "presets": ["concert-snare/dry-etude"],
        "note": "Breathe.",
        "passages": [{"bar_from": 2, "bar_to": 3, "words": "very even"}, {"words": "all of it light"}],
        "part": {"name": "Trommel", "seconds": 40, "rests": [{"bar_from": 5, "seconds": 30}]},
    }
    slug = add_piece(desk, mine).id
    found = propose(desk, write(NIGHT), to=slug, contexts=["march", "Dry Etude"])
    piece = keeping(desk, found)

    assert found.slug == slug
    assert (piece.title, piece.dynamics, piece.note, piece.composer) == (
        "My night",
        "p to f",
        "Breathe.",
        "Ada Lind",
    )
    assert (piece.contexts, piece.presets) == (("dry étude", "march"), ("concert-snare/dry-etude",))
    assert passages(piece) == [
        ("", "all of it light"),
        ("1", "densest bar, 1.0 strokes a second (from the part)"),
        ("2-3", "very even"),
    ]
    assert piece.part is not None
    assert (piece.part.name, piece.part.seconds, piece.part.bars) == ("Snare Drum", 40, 12)
    assert [(one.bars, one.seconds) for one in piece.part.rests] == [("5", 30)]
    assert found.changes == (
        "The title stays My night; the part says Night music.",
        "Composer: Ada Lind.",
        "Dynamics stay p to f; the part says pp to mf.",
        "For march too.",
        "1 passage from the part.",
        "The part: night.musicxml, 0:40, 12 bars, 1 rest, in place of 0:40, 1 rest.",
        "Its length stays 0:40; the part says 0:48.",
        "Your rest of 0:30 in 5 stays; the part has 0:24 in 4-9.",
    )
    assert not propose(desk, write(NIGHT), to=slug).anything


def test_length_and_rests_of_the_player_stay_through_every_reading(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """Also what he wrote after a reading; what he left as it was read is read anew."""
    with_drum()
    slug = keep(desk, propose(desk, write(NIGHT))).id
    edit_piece(desk, slug, {"part": {"seconds": 60}})
    both = [{"bar_from": 4, "bar_to": 9, "seconds": 24.0}, {"bar_from": 12, "seconds": 15}]
    edit_piece(desk, slug, {"part": {"rests": both}})
    more = [*NIGHT[:3], *[REST] * 7, *NIGHT[9:], *[REST] * 5, BEATS]
    found = propose(desk, write(more), to=slug)
    part = keeping(desk, found).part

    assert part is not None
    assert (part.seconds, part.bars) == (60, 19)
    # the part rests in 4-10 now, and in 13-18, which meets no bar of the player's
    assert [(one.bars, one.seconds, one.read) for one in part.rests] == [
        ("4-10", 28.0, True),
        ("12", 15, False),
        ("13-18", 24.0, True),
    ]
    edit_piece(desk, slug, {"part": {"seconds": 76.0}})
    shorter = propose(desk, write(NIGHT), to=slug).piece.part
    assert shorter is not None
    assert (shorter.seconds, shorter.bars) == (48.0, 12)
    assert [one.bars for one in shorter.rests] == ["4-9", "12"]


def test_rests_without_bars_give_way_to_those_of_the_part(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """Nobody can tell which of the part's they are, and no pause may be counted twice; it is said."""
    with_drum()
    slug = add_piece(desk, {"title": "Night music", "part": {"rests": [{"seconds": 30}, {"seconds": 45}]}}).id
    found = propose(desk, write(NIGHT), to=slug)

    assert found.piece.part is not None
    assert [one.bars for one in found.piece.part.rests] == ["4-9"]
    assert "2 rests without bars (0:30, 0:45) give way to those of the part." in found.changes
    none = propose(desk, write([BEATS]), to=slug).piece.part
    assert none is not None
    assert [one.seconds for one in none.rests] == [30, 45]


def test_reading_again_changes_nothing_and_a_new_part_replaces_the_old_one(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """What a reading wrote is its own to replace; words that the player made his own are not."""
    with_drum()
    slug = keep(desk, propose(desk, write(NIGHT))).id
    again = propose(desk, write(NIGHT), to=slug)

    assert (again.anything, again.changes) == (False, ())

    edit_piece(desk, slug, {"passages": [{"bar_from": 2, "bar_to": 3, "words": "rolls, from nothing"}]})
    longer = propose(desk, write([*NIGHT, BEATS * 2, ROLL]), to=slug, title="Night")
    piece = keeping(desk, longer)

    assert passages(piece) == [
        ("1", "densest bar, 1.0 strokes a second (from the part)"),
        ("2-3", "rolls, from nothing"),
        ("14", "roll (from the part)"),
    ]
    assert piece.part is not None
    assert (piece.title, piece.part.bars) == ("Night", 14)
    assert "It is called Night instead of Night music." in longer.changes
    third = propose(desk, write([BEATS, REST, ROLL, ROLL]), to=slug)
    assert "2 passages from the part, in place of 2 of an earlier reading." in third.changes
    assert passages(third.piece)[1:] == [("2-3", "rolls, from nothing"), ("3-4", "rolls (from the part)")]


def test_a_piece_that_changed_meanwhile_is_not_overwritten(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """Between the reading and the yes somebody else may have written."""
    with_drum()
    slug = add_piece(desk, {"title": "Night"}).id
    found = propose(desk, write(NIGHT), to=slug)
    edit_piece(desk, slug, {"note": "mine"})

    with pytest.raises(ChangedUnderneath):
        keep(desk, found)
    assert desk.library.piece(slug).record.note == "mine"


def test_a_part_without_a_title_and_one_that_is_there_already(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """The file's name stands in; a namesake is pointed at; a typed title goes before both."""
    with_drum()
    found = propose(desk, write(NIGHT, title="", composer=""))
    assert found.piece.title == "night"
    assert "names no title" in found.remarks[0]
    slug = keep(desk, found).id

    twice = propose(desk, write(NIGHT, title="NIGHT"))
    assert any(f"--piece {slug}" in remark for remark in twice.remarks)
    edit_piece(desk, slug, {"composer": "Ada Lind"})
    assert not propose(desk, write(NIGHT, title="NIGHT", composer="Bo Ek")).remarks
    assert propose(desk, write(NIGHT, title="NIGHT", composer="ada lind")).remarks
    named = propose(desk, write(NIGHT, title=""), title="Day")
    assert (named.piece.title, named.remarks) == ("Day", ())
    long = propose(desk, write(NIGHT, title="N" * 500))
    assert (len(long.piece.title), long.piece.title[-1]) == (120, "…")
    with pytest.raises(BadRecord):
        propose(desk, write(NIGHT), title="N" * 500)
    assert propose(desk, write(NIGHT), contexts=["Soft", "soft"]).piece.contexts == ("Soft",)


def test_bars_as_they_are_printed(desk: Desk, write: Write, with_drum: Callable[..., str]) -> None:
    """Letters after a number are let go; bars without any have no place, but their rests do."""
    with_drum()
    numbers = ["0", "12a", "12b", "X1", "X2", "X3", "X4", "X5", "X6", "13"]
    piece = propose(desk, write([BEATS, ROLL, ROLL, ROLL, *[REST] * 5, BEATS], numbers=numbers)).piece

    assert passages(piece) == [
        ("0", "densest bar, 1.0 strokes a second (from the part)"),
        ("12", "roll (from the part)"),
    ]
    assert piece.part is not None
    assert [(one.bars, one.seconds) for one in piece.part.rests] == [("", 20.0)]


def test_a_rest_that_a_repeat_leads_back_into(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """It ends in an earlier bar than it began in, and its first bar names it; no rest stands twice."""
    with_drum()
    back = '<barline location="right"><repeat direction="backward"/></barline>'
    piece = propose(desk, write([*[REST] * 3, BEATS, *[REST] * 5, BEATS, REST, REST + back])).piece

    assert piece.part is not None
    # 3 before; 5 in the middle, twice; 2 at the end and 3 at the beginning again; 2 at the end.
    assert [(one.bars, one.seconds) for one in piece.part.rests] == [("5-9", 20.0), ("11", 20.0)]


def test_an_empty_part_and_one_without_an_end_of_rests(
    desk: Desk, write: Write, with_drum: Callable[..., str]
) -> None:
    """It is said that there is no note; the number of passages and rests has a limit that is said."""
    with_drum()
    empty = propose(desk, write([REST] * 6))
    assert "The part holds no note." in empty.read.remarks
    assert empty.piece.passages == ()
    assert [one.bars for one in empty.piece.part.rests] == ["1-6"] if empty.piece.part else False

    many = propose(desk, write([ROLL, REST, STROKE * 3 + REST] * (MOST_RESTS // 2 + 5)), least_rest_s=1)
    assert many.piece.part is not None
    assert len(many.piece.part.rests) == MOST_RESTS
    assert len(many.piece.passages) <= MOST_PASSAGES
    assert len(many.remarks) == 2


@pytest.mark.parametrize(
    ("bars", "part", "title", "words"),
    [
        ([level("pp") + BEATS, level("p") + BEATS], "Snare Drum", "Night", ("soft",)),
        ([level("n") + BEATS], "Snare Drum", "Night", ("soft",)),
        ([level("f") + BEATS, level("fff") + BEATS], "Snare Drum", "Night", ("loud",)),
        ([level("mp") + BEATS, level("mf") + BEATS], "Snare Drum", "Night", ("medium",)),
        ([level("pp") + BEATS, level("f") + BEATS], "Snare Drum", "Night", ()),
        ([BEATS, ROLL], "Snare Drum", "Night", ("rolls",)),
        ([*[BEATS] * 4, ROLL], "Snare Drum", "Night", ()),
        ([BEATS], "Field drum", "Night", ("field drum",)),
        ([BEATS], "Snare Drum", "Marche des soldats", ("march",)),
        ([BEATS], "Snare Drum", "In March tempo, a Study", ("march", "étude")),
        ([BEATS], "Snare Drum", "Marches and demarches", ()),
        ([level("p") + ROLL], "Parade Drum", "Zwölf Etüden", ("rolls", "soft", "field drum", "étude")),
    ],
)
def test_what_the_part_says_plainly_is_suggested_and_not_decided(
    desk: Desk,
    write: Write,
    with_drum: Callable[..., str],
    bars: list[str],
    part: str,
    title: str,
    words: tuple[str, ...],
) -> None:
    """Words of the vocabulary alone; none goes in of itself, and none the piece has is suggested again."""
    with_drum()
    path = write(bars, part=part, title=title)
    found = propose(desk, path)

    assert (found.suggested, found.piece.contexts) == (words, ())
    for word in words:
        known = word_of(folded(word))
        assert known is not None
        assert known.text == word
        other = known.also[0]
        assert word not in propose(desk, path, contexts=[other]).suggested


def test_what_cannot_be_read_is_refused_before_anything_else(
    desk: Desk, write: Write, with_drum: Callable[..., str], tmp_path: Path
) -> None:
    """A piece that is not there, a part that is not there, several parts, none for percussion, no music."""
    with_drum()
    with pytest.raises(NotFound):
        propose(desk, str(tmp_path / "not looked for"), to="nobody")
    with pytest.raises(BadValue, match="There is no file"):
        propose(desk, str(tmp_path / "none.mxl"))
    with pytest.raises(BadValue, match="holds no part"):
        propose(desk, write([BEATS]), part="Flute")
    flute = write([REST], part="Flute")
    Path(flute).write_text(Path(flute).read_text(encoding="utf-8").replace("percussion", "G"), "utf-8")
    with pytest.raises(NoPercussion) as none:
        propose(desk, flute)
    assert none.value.parts == ("Flute",)
    assert propose(desk, flute, part="1").read.part == "Flute"


@given(st.sets(st.integers(0, 60)))
def test_the_runs_hold_every_bar_once(bars: set[int]) -> None:
    found = list(runs([str(bar) for bar in sorted(bars)]))
    inside = [bar for first, last in found for bar in range(first, last + 1)]

    assert inside == sorted(bars)
    assert all(last + 1 < following for (_, last), (following, _) in pairwise(found))


@pytest.mark.parametrize(
    ("label", "bar"),
    [("12", 12), ("0", 0), ("12a", 12), ("X1", None), ("", None), ("99999", None), ("٣", None), ("-3", None)],
)
def test_the_number_of_a_bar(label: str, bar: int | None) -> None:
    assert bar_of(label) == bar
