"""Each kind of damage is a problem: which file, which line or key, what is wrong and what would be right.

One bad file never hides a good one and is never overwritten.
"""

import os
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from pydantic import BaseModel, ValidationError

from lugbook.errors import ChangedUnderneath, LibraryDamaged, LugbookError
from lugbook.library import Library, Problem, Unreadable
from lugbook.library.faults import looks_like, problems_of
from lugbook.library.problems import quoted
from lugbook.library.reading import LARGEST_BYTES, read_bytes, record_of
from lugbook.records import Drum, LibrarySettings, Preset, Reading, StartingPoint

NAMED = 'format = 1\nname = "Dry"\n'

DAMAGE = {
    "empty": (b"", "", "the file is empty", "at least the keys name"),
    "only blanks": (b" \n\n", "", "the file is empty", "at least the keys name"),
    "no text": (b'format = 1\nname = "\xe9tude"\n', "line 2", "the byte 0xE9 is no UTF-8 text", "UTF-8"),
    "UTF-16": (NAMED.encode("utf-16"), "line 1", "the byte 0xFF is no UTF-8 text", "UTF-8"),
    "key twice": (
        b'name = "A"\nname = "B"\nwords = "x"\n',
        "line 2",
        'a key stands twice: "name = "B""',
        "once",
    ),
    "table twice": (b'name = "A"\n[top]\n[top]\n', "line 3", "a table stands twice", "each table once"),
    "no quote": (b'format = 1\nname = "A\n', "line 2", "a text has no closing quote", "a text in quotes"),
    "no equals sign": (b"format = 1\nname\n", "line 2", "a key has no equals sign", "key = value"),
    "no value": (b"format = 1\nname =\n", "line 2", "a value cannot be read", "a text in quotes"),
    "word without quotes": (b"name = Dry\n", "line 1", "a value cannot be read", "a text in quotes"),
    "comma": (b'name = "A"\na4 = 442,5\n', "line 2", "something is left over after a value", "point"),
    "bracket": (b'name = "A"\ncontexts = ["a"\n', "line 2", "a bracket is not closed", "a closing bracket"),
    "no key": (b'name = "A"\n= 5\n', "line 2", 'the line is no valid TOML: "= 5"', "key = value"),
    "too deep": (b"x = " + b"[" * 5000, "", "lie too deep in each other", "a file that Lugbook wrote"),
    "too deep by dots": (b"x." * 5000 + b"y = 1", "", "lie too deep in each other", "that Lugbook wrote"),
    "endless number": (b"x = " + b"9" * 5000, "line 1", "the line is no valid TOML", "key = value"),
    "missing key": (b"format = 1\n", "name", "this is missing", "a text in quotes"),
    "missing in a table": (b'name = "A"\ntop = {}\n', "top.pitch", "this is missing", "a text in quotes"),
    "wrong type": (b"name = 5\n", "name", "5 is the wrong kind of value", "a text in quotes"),
    "number in quotes": (b'name = "A"\na4 = "442"\n', "a4", '"442" is the wrong kind of value', "a number"),
    "whole for yes": (
        b'name = "A"\ninterval_decides = 1\n',
        "interval_decides",
        "wrong kind",
        "true or false",
    ),
    "text for list": (b'name = "A"\ncontexts = "x"\n', "contexts", "wrong kind", "a list in square brackets"),
    "text for table": (b'name = "A"\ntop = "A3"\n', "top", '"A3" is the wrong kind', "a table of names"),
    "list item": (b'name = "A"\ncontexts = ["a", 2]\n', "contexts.2", "2 is the wrong kind", "a text"),
    "out of range": (
        b'name = "A"\nhumidity_pct = 110.5\n',
        "humidity_pct",
        "110.5 is above the limit of 100",
        "a number up to 100",
    ),
    "below": (b'name = "A"\nhumidity_pct = -1\n', "humidity_pct", "-1 is below the limit of 0", "from 0 up"),
    "zero": (b'name = "A"\ntolerance_cents = 0\n', "tolerance_cents", "0 is not above 0", "a number above 0"),
    "endless": (b'name = "A"\ntemperature_c = nan\n', "temperature_c", "nan is the wrong kind", "a number"),
    "A4": (b'name = "A"\na4 = 4400\n', "a4", "4400", ""),
    "unknown word": (
        b'name = "A"\nheard = "outside"\n',
        "heard",
        '"outside" is none of the known words',
        'one of "at the drum", "in the hall" or ""',
    ),
    "no note": (b'name = "A"\ntop.pitch = "H3"\n', "top.pitch", "H3", "B"),
    "turns": (
        b'name = "A"\nturns.top = { amount = 0.3, count = "top-1" }\n',
        "turns.top.amount",
        "0.3 turns is no multiple of 1/64",
        "The nearest is 19/64, 0.296875",
    ),
    "no offset": (b'name = "A"\nmade = 2026-11-25T19:12:04\n', "made", "no offset from UTC", "+01:00"),
    "date for time": (b'name = "A"\nmade = 2026-11-25\n', "made", "wrong kind", "a time with its offset"),
    "line break": (b'name = "A"\nwords = "a\\nb"\n', "words", "the text has a line break", "a single line"),
    "no letters": (b'name = ""\n', "name", "the text is empty", "at least one character"),
    "too long": (
        b'name = "' + b"x" * 121 + b'"\n',
        "name",
        "the text has 121 characters, above the limit of 120",
        "at most 120 characters",
    ),
    "newer": (
        b'format = 2\nname = "A"\n',
        "format",
        "made by a newer Lugbook: its format is 2",
        "newer version",
    ),
    "no format": (b'format = "one"\nname = "A"\n', "format", "the format is 'one'", "format = 1"),
    "negative format": (b'format = -1\nname = "A"\n', "format", "the format is -1", "format = 1"),
    "yes for format": (b'format = true\nname = "A"\n', "format", "the format is True", "format = 1"),
}


@pytest.mark.parametrize(("data", "where", "what", "right"), DAMAGE.values(), ids=DAMAGE)
def test_damage_is_named_and_hides_no_good_file(
    library: Library, drum: str, data: bytes, where: str, what: str, right: str
) -> None:
    good = library.add_preset(drum, Preset(name="Good"))
    bad = good.path.with_name("bad.toml")
    bad.write_bytes(data)
    found = library.presets()

    assert [good.id] == list(found.items)
    assert {bad} == {problem.path for problem in found.problems}
    assert where == found.problems[0].where
    assert what in found.problems[0].what
    assert right in found.problems[0].right
    assert bad.read_bytes() == data
    assert library.problems() == found.problems
    with pytest.raises(LibraryDamaged, match="bad"):
        library.preset(f"{drum}/bad")


@pytest.mark.parametrize("data", [one[0] for one in DAMAGE.values()], ids=DAMAGE)
def test_a_damaged_file_is_never_overwritten(library: Library, drum: str, data: bytes) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    stored.path.write_bytes(data)

    with pytest.raises(LibraryDamaged):
        library.save_preset(stored, stored.record.model_copy(update={"words": "tight"}))
    assert stored.path.read_bytes() == data


def test_all_faults_of_a_file_are_named_at_once(library: Library, drum: str) -> None:
    (library.root / "drums" / drum / "drum.toml").write_text(
        'format = 1\ntension = "loose"\n[top]\nrods = 99\n[[heads]]\nside = "left"\n', encoding="utf-8"
    )
    problems = library.drums().problems

    assert [one.where for one in problems] == [
        "name", "diameter_in", "tension", "top.rods", "heads.1.id", "heads.1.side", "heads.1.on",
    ]  # fmt: skip
    assert problems[-1].right == "a date such as 2026-05-03"
    assert problems[-2].right == 'one of "top" or "bottom"'
    assert problems[1].right == "a number"


def test_what_is_missing_in_a_list_or_table_is_described(tmp_path: Path) -> None:
    data = (
        b'name = "x"\ncontexts = []\ndiameter_in = [14]\ntop_from = "A3"\ntop_to = "B3"\nbottom_from = "A3"\n'
        b'bottom_to = "B3"\ninterval = "a fifth"\nsnares = "loose"\nbasis = "common practice, no source"\n'
    )
    with pytest.raises(Unreadable) as caught:
        record_of(data, StartingPoint, path=tmp_path / "x.toml")

    assert [(one.where, one.right) for one in caught.value.problems] == [("diameter_in.2", "a number")]


def test_too_many_items_are_counted(tmp_path: Path) -> None:
    with pytest.raises(Unreadable) as caught:
        record_of(b'name = "x"\ndiameter_in = [6, 12, 14]\n', StartingPoint, path=tmp_path / "x.toml")
    by_key = {one.where: one for one in caught.value.problems}

    assert by_key["diameter_in"].what == "the list has 3 items, above the limit of 2"
    assert by_key["diameter_in"].right == "a list of 2"
    assert by_key["contexts"].right == "a list in square brackets"


def test_a_fault_of_the_whole_record_is_told_in_its_own_words(library: Library, drum: str) -> None:
    path = library.root / "drums" / drum / "drum.toml"
    head = '[[heads]]\nid = "top-1"\nside = "top"\non = 2026-05-03\n'
    path.write_text(f'name = "x"\ndiameter_in = 14\n{head}{head}', encoding="utf-8")
    problem = library.drums().problems[0]

    assert problem.where == ""
    assert "'top-1' stands twice" in problem.what


def test_a_link_to_nowhere_is_a_problem(library: Library, drum: str) -> None:
    good = library.add_preset(drum, Preset(name="Good"))
    bad = good.path.with_name("bad.toml")
    bad.symlink_to("nowhere.toml")
    found = library.presets()

    assert [good.id] == list(found.items)
    assert [(bad, "this link leads to nothing")] == [(one.path, one.what) for one in found.problems]


def test_a_folder_with_the_name_of_a_file_is_a_problem(library: Library, drum: str) -> None:
    good = library.add_preset(drum, Preset(name="Good"))
    bad = good.path.with_name("bad.toml")
    bad.mkdir()

    assert [(bad, "this is a folder")] == [(one.path, one.what) for one in library.presets().problems]


def test_a_pipe_is_a_problem_and_does_not_stop_the_program(library: Library, drum: str) -> None:
    good = library.add_preset(drum, Preset(name="Good"))
    os.mkfifo(good.path.with_name("bad.toml"))

    assert [one.what for one in library.presets().problems] == ["this is no plain file"]


def test_a_giant_file_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "giant.toml"
    with path.open("wb") as file:
        file.truncate(LARGEST_BYTES + 1)

    with pytest.raises(Unreadable, match=f"above the limit of {LARGEST_BYTES}"):
        read_bytes(path)


def test_a_file_that_may_not_be_read_is_a_problem(
    library: Library, drum: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system's refusal is injected: the superuser, as which tests may run, is refused nothing."""
    good, closed = (library.add_preset(drum, Preset(name=name)) for name in ("Good", "Closed"))
    read = Path.read_bytes

    def refuse(path: Path) -> bytes:
        if path == closed.path:
            raise PermissionError(13, "Permission denied", str(path))
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", refuse)
    found = library.presets()

    assert [good.id] == list(found.items)
    assert [one.what for one in found.problems] == ["the file cannot be read: Permission denied"]


def test_a_folder_that_may_not_be_listed_is_a_problem(library: Library, drum: str) -> None:
    presets = library.root / "drums" / drum / "presets"
    presets.write_text("this is no folder", encoding="utf-8")
    found = library.presets()

    assert [(presets, "the folder cannot be read: Not a directory")] == [
        (one.path, one.what) for one in found.problems
    ]


def test_a_folder_of_a_drum_without_its_file_is_a_problem(library: Library, drum: str) -> None:
    folder = library.root / "drums" / "lost"
    (folder / "log").mkdir(parents=True)
    found = library.drums()

    assert [drum] == list(found.items)
    assert [(folder, "the folder holds no drum.toml")] == [(one.path, one.what) for one in found.problems]


def test_an_empty_folder_is_no_problem(library: Library, drum: str) -> None:
    (library.root / "drums" / "empty").mkdir()

    assert [drum] == list(library.drums().items)
    assert library.problems() == ()


@pytest.mark.parametrize("name", ["Dry Étude.toml", "con.toml", "Dry.TOML", "dry.TOML", "-dry.toml"])
def test_a_name_that_is_no_slug_is_a_problem(library: Library, drum: str, name: str) -> None:
    good = library.add_preset(drum, Preset(name="Good"))
    bad = good.path.with_name(name)
    bad.write_bytes(good.path.read_bytes())
    problem = library.presets().problems[0]

    assert problem.path == bad
    assert "no short name" in problem.what
    assert problem.right in {"dry-etude.toml", "con-2.toml", "dry.toml"}


def test_a_folder_that_is_no_slug_is_a_problem(library: Library, drum: str) -> None:
    (library.root / "drums" / "Große Trommel").mkdir()
    (library.root / "drums" / "stray.toml").write_text("", encoding="utf-8")
    (library.root / "drums" / "link").symlink_to("nowhere")
    found = library.drums()

    assert [drum] == list(found.items)
    assert [(one.path.name, one.right) for one in found.problems] == [
        ("Große Trommel", "grosse-trommel"),
        ("link", "a folder for each drum"),
        ("stray.toml", "a folder for each drum"),
    ]


@pytest.mark.parametrize(
    "name", [".DS_Store", "Thumbs.db", "desktop.ini", ".dry.toml.abcdef.tmp", "notes.txt"]
)
def test_what_systems_leave_in_folders_is_passed_over(library: Library, drum: str, name: str) -> None:
    good = library.add_preset(drum, Preset(name="Good"))
    good.path.with_name(name).write_bytes(b"\x00")
    (library.root / "drums" / name).write_bytes(b"\x00")

    assert library.problems() == ()
    assert [good.id] == list(library.presets().items)


def test_damaged_settings_are_told_and_not_replaced(library: Library) -> None:
    stored = library.settings()
    stored.path.write_text("a4 = 1\n", encoding="utf-8")

    with pytest.raises(LibraryDamaged, match="a4"):
        library.settings()
    with pytest.raises(LibraryDamaged):
        library.save_settings(stored, LibrarySettings(a4=442))
    assert [one.where for one in library.problems()] == ["a4"]


def test_a_file_that_somebody_changed_is_not_overwritten(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    stored.path.write_text('name = "Somebody else\'s"\n', encoding="utf-8")

    with pytest.raises(ChangedUnderneath, match="changed by someone else"):
        library.save_preset(stored, stored.record.model_copy(update={"words": "tight"}))
    assert library.preset(stored.id).record.name == "Somebody else's"


def test_a_file_that_somebody_removed_is_not_made_again(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    stored.path.unlink()

    with pytest.raises(ChangedUnderneath, match="removed by someone else"):
        library.save_preset(stored, stored.record.model_copy(update={"words": "tight"}))
    assert not stored.path.exists()


def test_a_file_by_hand_gets_its_format_when_it_is_saved(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    stored.path.write_text('name = "By hand"\n# a remark\n', encoding="utf-8")
    by_hand = library.preset(stored.id)
    library.save_preset(by_hand, by_hand.record.model_copy(update={"words": "tight"}))

    assert stored.path.read_text(encoding="utf-8") == 'format = 1\nname = "By hand"\nwords = "tight"\n'


def test_a_problem_is_safe_to_print() -> None:
    problem = Problem(
        Path("/lib/drums/x\x1b[2J/drum.toml"), "na\x1bme", "a \x07 in it", "no \u202e such thing"
    )
    sentence = problem.sentence(root=Path("/lib"))

    assert sentence.isprintable()
    assert sentence.startswith("drums/x␛[2J/drum.toml, na␛me: a ␇ in it.")
    assert str(Unreadable(problem)).isprintable()


@pytest.mark.parametrize(
    ("right", "end"), [("a text", " Right would be: a text."), ("Delete it", " Delete it."), ("", "")]
)
def test_a_problem_is_one_sentence_and_what_would_be_right(right: str, end: str) -> None:
    problem = Problem(Path("drum.toml"), "", "it is torn", right)

    assert problem.sentence(root=Path("/elsewhere")) == f"drum.toml: it is torn.{end}"
    assert str(Unreadable(problem)) == f"drum.toml: it is torn.{end}"


def test_control_characters_in_a_text_are_kept(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    stored.path.write_text('name = "Dry \\u001b[2J"\n', encoding="utf-8")

    assert library.preset(stored.id).record.name == "Dry \x1b[2J"


def test_long_values_are_quoted_in_part() -> None:
    assert quoted("x" * 100) == '"' + "x" * 59 + '…"'
    assert quoted([1, 2]) == "[1, 2]"


def test_a_record_that_could_not_be_read_back_is_not_written(library: Library, drum: str) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    before = stored.path.read_bytes()

    with pytest.raises(LugbookError, match="humidity_pct: 140 is above the limit of 100") as caught:
        library.save_preset(stored, stored.record.model_copy(update={"humidity_pct": 140}))
    assert caught.value.exit_code == 2
    assert stored.path.read_bytes() == before


def test_lists_become_tuples_on_the_way(library: Library, drum: str) -> None:
    saved = library.add_preset(drum, Preset(name="Dry").model_copy(update={"contexts": ["march"]}))

    assert saved.record.contexts == ("march",)
    assert saved == library.preset(saved.id)


@pytest.mark.parametrize(
    ("annotation", "words"),
    [
        (str, "a text in quotes"),
        (dict[str, float], "a table of names and values"),
        (Reading | None, "a table of names and values"),
        (float | None, "a number"),
        (Drum, "a table of names and values"),
        (tuple[int, ...], "a list in square brackets"),
    ],
)
def test_each_type_is_described(annotation: object, words: str) -> None:
    assert words == looks_like(annotation)


def test_a_fault_of_another_kind_is_told_in_pydantics_words() -> None:
    class Odd(BaseModel):
        size: Decimal

    with pytest.raises(ValidationError) as caught:
        Odd.model_validate({"size": "large"})
    problems = problems_of(caught.value, Odd, path=Path("odd.toml"), place="line 3")

    assert [(one.where, one.what) for one in problems] == [
        ("line 3, size", '"large" cannot be used: Input should be a valid decimal')
    ]


def test_both_writers_of_one_preset_see_the_first(
    library: Library, drum: str, open_library: Callable[[str], Library]
) -> None:
    stored = library.add_preset(drum, Preset(name="Dry"))
    other = open_library("zzzzzz")
    other.save_preset(other.preset(stored.id), stored.record.model_copy(update={"words": "theirs"}))

    with pytest.raises(ChangedUnderneath):
        library.save_preset(stored, stored.record.model_copy(update={"words": "ours"}))
    assert library.preset(stored.id).record.words == "theirs"
