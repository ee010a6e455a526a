"""Files that are no parts, or are made to harm: each is refused in a sentence, soon, and nothing is left."""

import errno
import io
import os
import re
import struct
import time
import zipfile
import zlib
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.errors import BadValue, ExitCode, LugbookError
from lugbook.scores import markup, read_part
from lugbook.scores.markup import MOST_DEPTH

Hand = Any

SOON_S = 5.0
JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01" + bytes(range(256)) * 10


def refused(path: str | Path, *, soon_s: float = SOON_S) -> str:
    """What is said of a file that is refused."""
    begun = time.process_time()
    with pytest.raises(BadValue) as raised:
        read_part(path)
    assert time.process_time() - begun < soon_s
    assert raised.value.exit_code == ExitCode.USAGE
    assert raised.value.sentence.endswith(".")
    assert raised.value.hint
    return str(raised.value)


def packed(path: Path, entries: dict[str, bytes], *, kind: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(path, "w", kind) as archive:
        for name, data in entries.items():
            archive.writestr(name, data)
    return path


@pytest.mark.parametrize("name", ["a.musicxml", "a.mxl", "a.mid", "a"])
@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (JPEG, "no file of music"),
        (b"words and words", "no file of music"),
        (b"\x00" * 1000, "no file of music"),
        (b"%PDF-1.7\n", "no file of music"),
        (b"\x89PNG\r\n\x1a\n", "no file of music"),
        (b"MThd", "cut off in its header"),
        (b"PK\x03\x04", "damaged archive"),
        (b"<", "damaged at line 1"),
        (b"<html><body/></html>", "no MusicXML score"),
        (b"<score-timewise/>", "ordered by bars"),
        (b"\xfe\xff\x00<\x00?", "damaged at line 1"),
        (b'<?xml version="1.0" encoding="nonsense"?><a/>', "encoding that is not known"),
        (b'<?xml version="1.0" encoding="utf-16"?><a/>', "damaged"),
        (b'<?xml version="1.0" encoding="hex"?><a/>', "encoding|damaged"),
        (b"<score-partwise>\xff\xfe\xfd</score-partwise>", "damaged at line 1"),
    ],
)
def test_what_is_no_music(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    """Told by the bytes, whatever the name is."""
    path = tmp_path / name
    path.write_bytes(data)

    assert any(words in refused(path, soon_s=2) for words in said.split("|"))


def test_more_elements_than_are_read(hand: Hand, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(markup, "MOST_ELEMENTS", 1000)

    assert "more than 1000 elements" in refused(hand.file(1000 * hand.note()))


@pytest.mark.parametrize("head", ["", "<!DOCTYPE score-partwise>", "<!-- a part -->\n<?made by=hand?>"])
def test_good_heads(hand: Hand, head: str) -> None:
    assert read_part(hand.file(4 * hand.note(), head=head)).bars == 1


def test_a_good_part_under_any_name(hand: Hand) -> None:
    """The name decides nothing."""
    path = hand.file(4 * hand.note(), name="holiday.jpg")
    packed_path = hand.packed(path.read_text(encoding="utf-8"), name="notes.txt")

    assert read_part(path).bars == 1
    assert read_part(packed_path).bars == 1


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "iso-8859-1"])
def test_encodings(hand: Hand, encoding: str) -> None:
    text = hand.score({"Rührtrommel": [4 * hand.note()]})
    path = hand.folder / "a.xml"
    path.write_text(text.replace("UTF-8", encoding.removesuffix("-sig")), encoding=encoding)

    assert read_part(path).part == "Rührtrommel"


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.95, 0.999])
def test_a_file_that_ends_early(hand: Hand, share: float) -> None:
    text = hand.file(*[4 * hand.note()] * 50).read_bytes()
    whole = hand.packed(text).read_bytes()
    for name, data in (("cut.musicxml", text), ("cut.mxl", whole)):
        path = hand.folder / name
        path.write_bytes(data[: int(share * len(data))])
        assert "damaged" in refused(path, soon_s=1)


def test_a_hundred_megabytes(tmp_path: Path) -> None:
    """Sparse: refused by its size, before it is read."""
    for start, said in (
        (b"<?xml ", "50 MB"),
        (b"MThd", "4 MB"),
        (b"PK\x03\x04", "10 MB"),
        (b"", "no file of"),
    ):
        path = tmp_path / "large"
        with path.open("wb") as file:
            file.write(start)
            file.truncate(100_000_000)
        assert said in refused(path, soon_s=0.5)


def test_a_zip_bomb(hand: Hand) -> None:
    """Many times its size, within the limit of size or past it."""
    assert "times its size" in refused(hand.packed(b"<" + b" " * 20_000_000), soon_s=2)
    assert "holds 60 MB, more than the 50 MB" in refused(hand.packed(b"<" + b" " * 60_000_000), soon_s=2)


def test_a_zip_that_lies_about_its_size(hand: Hand) -> None:
    """Said to be small, and going on: no more is unpacked than was said."""
    path = hand.packed(b"<" + b"ab " * 10_000_000)
    data = bytearray(path.read_bytes())
    for mark, at in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        place = data.rfind(mark)
        data[place + at : place + at + 4] = struct.pack("<I", 2000)
    path.write_bytes(data)

    assert "damaged" in refused(path, soon_s=1)


@pytest.mark.parametrize("kind", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packed_by_methods_that_know_no_limit(hand: Hand, kind: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of it is unpacked, neither a small text nor one that says it is small, nor a damaged one."""
    entries = {"META-INF/container.xml": hand.container.format(path="a").encode(), "a": b"<" + b" " * 1000}
    path = packed(hand.folder / "a.mxl", entries, kind=kind)

    def opened(*_: object, **__: object) -> None:
        raise AssertionError("something is unpacked")

    with monkeypatch.context() as patched:
        patched.setattr(zipfile.ZipFile, "open", opened)
        assert "packed in a way that MusicXML does not know" in refused(path)
    data = bytearray(path.read_bytes())
    # Past the names, where the packed bytes stand: an unpacker of its own error would come through.
    for at in range(60, 120):
        path.write_bytes(bytes([*data[:at], data[at] ^ 0xFF, *data[at + 1 :]]))
        assert refused(path)


@pytest.mark.parametrize(
    "path", ["../../etc/passwd", "/etc/passwd", "a/../../b.xml", "..\\b.xml", "C:/b.xml", "", "\\\\host\\b"]
)
def test_a_zip_that_points_outside(hand: Hand, path: str) -> None:
    """Even where an entry of that name is there."""
    text = hand.file(4 * hand.note()).read_bytes()
    whole = packed(
        hand.folder / "a.mxl",
        {"META-INF/container.xml": hand.container.format(path=path).encode(), path or "x": text},
    )

    assert "names a file outside itself" in refused(whole)


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ({"score.xml": b"<score-partwise/>"}, "without META-INF/container.xml"),
        ({"META-INF/container.xml": b"<container/>"}, "does not say where"),
        ({"META-INF/container.xml": b"nothing"}, "damaged at line 1"),
        ({"META-INF/container.xml": b'<c><rootfile full-path="a.xml"/></c>'}, "without a.xml"),
        (
            {"META-INF/container.xml": b'<c><rootfile full-path="a"/></c>', "a": JPEG},
            "something else than MusicXML",
        ),
        (
            {"META-INF/container.xml": b'<c><rootfile full-path="a"/></c>', "a": b"PK\x03\x04"},
            "something else",
        ),
        ({"META-INF/container.xml": b" " * 200_000}, "more than the 0 MB"),
        ({"META-INF/container.xml": b'<!DOCTYPE c [<!ENTITY a "b">]><c/>'}, "definitions of its own"),
        ({"META-INF/container.xml": b'<c><rootfile full-path="d/"/></c>', "d/": b""}, "something else"),
        ({f"{n}": b"" for n in range(501)}, "archive of 501 files; at most 500"),
    ],
)
def test_archives_of_something_else(tmp_path: Path, entries: dict[str, bytes], said: str) -> None:
    assert said in refused(packed(tmp_path / "a.mxl", entries))


def test_only_the_file_that_is_named_is_read(hand: Hand) -> None:
    """Whatever else lies in the archive, good or bad, under a name that comes first."""
    text = hand.file(4 * hand.note()).read_bytes()
    entries = {
        "aaa.xml": b"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>",
        "META-INF/container.xml": hand.container.format(path="in/the/score.xml").encode(),
        "../outside.xml": b"no",
        "in/the/score.xml": text,
    }

    assert read_part(packed(hand.folder / "a.mxl", entries)).bars == 1
    assert sorted(one.name for one in hand.folder.iterdir()) == ["a.mxl", "part.musicxml"]


def test_a_locked_archive_and_an_unknown_method(hand: Hand) -> None:
    good = hand.packed(hand.file(4 * hand.note()).read_bytes()).read_bytes()
    for at_local, at_central, value, said in (
        (6, 8, 1, "locked with a password"),
        (8, 10, 99, "packed in a way"),
    ):
        data = bytearray(good)
        for mark, at in ((b"PK\x03\x04", at_local), (b"PK\x01\x02", at_central)):
            place = -1
            while (place := data.find(mark, place + 1)) >= 0:
                data[place + at : place + at + 2] = struct.pack("<H", value)
        path = hand.folder / "b.mxl"
        path.write_bytes(data)
        assert said in refused(path)


LAUGHS = (
    '<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {b} "{10 * f"&{a};"}">' for a, b in zip("abcdefghi", "bcdefghij", strict=True))
    + "]><score-partwise><work><work-title>&j;</work-title></work></score-partwise>"
)


@pytest.mark.parametrize("pack", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        LAUGHS,
        '<!DOCTYPE score-partwise [<!ENTITY a SYSTEM "file://{secret}">]><score-partwise>&a;</score-partwise>',
        '<!DOCTYPE score-partwise [<!ENTITY % a SYSTEM "file://{secret}"> %a;]><score-partwise/>',
        '<!DOCTYPE score-partwise SYSTEM "file://{secret}"><score-partwise/>',
        '<!DOCTYPE score-partwise SYSTEM "http://127.0.0.1:1/a.dtd"><score-partwise/>',
        '<!DOCTYPE a PUBLIC "-//W3C//DTD XHTML 1.0 Strict//EN" "http://127.0.0.1:1/a.dtd"><a/>',
        '<!DOCTYPE c PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "x" [<!ENTITY a "b">]><c/>',
        '<!DOCTYPE score-partwise [<!ATTLIST a b CDATA "c">]><score-partwise/>',
    ],
)
def test_definitions_in_the_text(hand: Hand, text: str, pack: bool) -> None:
    """Words that blow up, files of this machine and files of another are never looked up."""
    secret = hand.folder / "secret.txt"
    secret.write_text("the combination is 12345", encoding="utf-8")
    path = hand.folder / "a.musicxml"
    path.write_text(text.replace("{secret}", str(secret)), encoding="utf-8")
    if pack:
        path = hand.packed(path.read_bytes())

    said = refused(path, soon_s=1)
    assert "definitions of its own" in said
    assert "12345" not in said


def test_an_entity_that_nobody_declared(hand: Hand) -> None:
    """With the public doctype, which is skipped, it is unknown: damaged, or nothing."""
    path = hand.file(4 * hand.note(), work="<work><work-title>a&unknown;b</work-title></work>")

    assert read_part(path).title in ("ab", "a b")


def test_deep_and_wide(hand: Hand) -> None:
    """Nested without end, one name of millions of letters, and a long title cut short."""
    path = hand.folder / "deep.xml"
    path.write_text("<score-partwise>" + "<a>" * 100_000, encoding="utf-8")
    assert f"nested more than {MOST_DEPTH} deep" in refused(path, soon_s=1)
    path.write_text("<" + "a" * 5_000_000 + "/>", encoding="utf-8")
    assert refused(path, soon_s=2)
    told = read_part(
        hand.file(4 * hand.note(), work=f"<work><work-title>{'x' * 5_000_000}</work-title></work>")
    )
    assert len(told.title) == 200


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("<attributes><divisions>0</divisions></attributes>", '"0" for the parts of a quarter in bar 1'),
        ("<attributes><divisions>-8</divisions></attributes>", "parts of a quarter"),
        ("<attributes><divisions>nan</divisions></attributes>", "parts of a quarter"),
        ("<note><rest/><duration>1e308</duration></note>", "for a length"),
        ("<note><rest/><duration>-8</duration></note>", "for a length"),
        ("<note><rest/><duration/></note>", 'has "" for a length'),
        ("<forward><duration>99999999999</duration></forward>", "for a length"),
        (
            "<attributes><time><beats>1000000000</beats><beat-type>4</beat-type></time></attributes>",
            "for the beats",
        ),
        ("<attributes><time><beats>0</beats><beat-type>4</beat-type></time></attributes>", "for the beats"),
        ("<attributes><time><beats>3+x</beats><beat-type>4</beat-type></time></attributes>", "for the beats"),
        ("<attributes><time><beats>4</beats><beat-type>0</beat-type></time></attributes>", "kind of beat"),
        ("<attributes><time><beats>4</beats><beat-type>3</beat-type></time></attributes>", "kind of beat"),
        ("<attributes><staves>1000000</staves></attributes>", "number of staves"),
        ("<note><rest/><duration>8</duration>" + "<dot/>" * 2000 + "</note>", "2000 dots"),
        (
            "<note><time-modification><actual-notes>1000000</actual-notes></time-modification></note>",
            "a tuplet",
        ),
        ("<note><unpitched/><duration>8</duration><type>nonsense</type></note>", "do not make sense"),
    ],
)
def test_numbers_that_cannot_be(hand: Hand, inside: str, said: str) -> None:
    assert said in refused(hand.file(inside), soon_s=2)


@pytest.mark.parametrize(
    "inside",
    [
        '<barline><ending number="1-1000000000" type="start"/><repeat direction="backward"/></barline>',
        '<barline location="right"><ending number="1" type="start">99999999999</ending></barline>',
        '<barline location="right"><repeat direction="backward" times="99999999999"/></barline>',
        "<attributes><measure-style><multiple-rest>99999999999</multiple-rest></measure-style></attributes>",
        "<attributes><measure-style><slash>99999999999</slash></measure-style></attributes>",
        "<direction><direction-type><words>x</words></direction-type><offset>1e400</offset></direction>",
        "<direction><direction-type><rehearsal>A</rehearsal></direction-type><offset>nan</offset></direction>",
        '<note><rest/><duration>8</duration><notations><slur number="99999999999"/></notations></note>',
    ],
)
def test_large_numbers_that_are_read_past(hand: Hand, inside: str) -> None:
    """No harm, and no time."""
    begun = time.process_time()
    told = read_part(hand.file(4 * hand.note() + inside))

    assert told.bars == 1
    assert told.seconds < 60
    assert time.process_time() - begun < SOON_S


def test_too_many_bars_notes_and_hours(hand: Hand) -> None:
    assert "5001 bars; at most 5000" in refused(hand.file(*[""] * 5001))
    assert "more than 100000 notes" in refused(hand.file(*[1000 * hand.rest(1)] * 101), soon_s=20)
    assert "signs, more than the 10000" in refused(hand.file(5000 * hand.note()))
    many = hand.folder / "many.xml"
    many.write_text(hand.score([("Snare", [hand.rest()])] * 301), encoding="utf-8")
    assert "301 parts; at most 300" in refused(many)
    long = "<attributes><divisions>1</divisions></attributes><forward><duration>1000000</duration></forward>"
    assert "hours; at most 6" in refused(hand.file(long + hand.note()))


def test_repeats_within_repeats_end(hand: Hand) -> None:
    """Hundreds of repeats of thirty-two times are not followed, nor some within others, and it is said."""
    back = '<barline location="right"><repeat direction="backward" times="32"/></barline>'
    forward = '<barline location="left"><repeat direction="forward"/></barline>'
    row = [forward + hand.rest() + back] * 700
    within = [forward + hand.rest()] * 20 + [hand.rest() + back] * 20
    for bars in (row, within):
        begun = time.process_time()
        told = read_part(hand.file(*bars))
        assert told.bars_played == len(bars)
        assert any("counted once through" in one for one in told.remarks)
        assert time.process_time() - begun < SOON_S


def test_folders_devices_pipes_and_links(hand: Hand) -> None:
    good = hand.file(4 * hand.note())
    for name, target in (("right", good.name), ("loop", "loop"), ("lost", "nowhere"), ("folder", ".")):
        (hand.folder / name).symlink_to(target)
    os.mkfifo(hand.folder / "pipe")

    assert read_part(hand.folder / "right").bars == 1
    assert "leads back to itself" in refused(hand.folder / "loop")
    assert "There is no file" in refused(hand.folder / "lost")
    assert "is a folder" in refused(hand.folder / "folder")
    assert "is a folder" in refused(hand.folder)
    assert "no file" in refused(hand.folder / "pipe", soon_s=0.5)
    assert "There is no file" in refused(good / "more")
    if Path("/dev/zero").exists():
        assert "device" in refused("/dev/zero", soon_s=0.5)


@pytest.mark.parametrize("name", ["a\0b.xml", "x" * 5000, ""])
def test_a_name_that_no_system_takes(name: str) -> None:
    assert refused(name)


@pytest.mark.parametrize("name", ["a\x1b[2Jb.xml", "a\nb.xml", "a\u202eb.xml"])
def test_a_name_cannot_paint_on_the_terminal(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"words")

    assert not set(refused(tmp_path / name)) & {"\x1b", "\n", "\u202e"}


def test_text_in_a_part_cannot_paint_on_the_terminal(hand: Hand) -> None:
    odd = "a&#x9b;2J&#x202e;b&#10;c"
    path = hand.file(
        4 * hand.note(),
        part=f"Snare {odd}",
        work=f"<work><work-title>{odd}</work-title></work><movement-title>{odd}d</movement-title>"
        f'<identification><creator type="composer">{odd}</creator></identification>',
    )
    told = read_part(path)

    for text in (told.title, told.composer, told.movement, told.part, *told.parts):
        assert text
        assert text.isprintable()


def test_a_file_that_may_not_be_read(hand: Hand, monkeypatch: pytest.MonkeyPatch) -> None:
    path = hand.file(4 * hand.note())
    real = os.open

    # The tests may run as root, whom no mode bits keep out: the system's answer is given in its place.
    def refuse(name: str | os.PathLike[str], flags: int, *rest: int, **more: int) -> int:
        if name == path:
            raise PermissionError(errno.EACCES, "Permission denied", str(name))
        return real(name, flags, *rest, **more)

    monkeypatch.setattr(os, "open", refuse)
    assert "may not be read by you" in refused(path)


def test_a_file_that_changes_while_it_is_read(hand: Hand) -> None:
    path = hand.file(*[hand.rest()] * 5000, "<!--" + "x" * 3_000_000 + "-->")

    def meddle(share: float) -> None:
        if share < 0.05:
            with path.open("ab") as file:
                file.write(b" ")

    with pytest.raises(BadValue, match="changed while it was read"):
        read_part(path, progress=meddle)


def test_nothing_stays_open(hand: Hand) -> None:
    folder = Path("/proc/self/fd")
    if not folder.is_dir():
        pytest.skip("open files cannot be counted here")
    good, bad = hand.file(4 * hand.note()), hand.folder / "bad"
    bad.write_bytes(JPEG)
    before = len(list(folder.iterdir()))
    for _ in range(10):
        read_part(good)
        refused(bad)
        refused(hand.folder)

    assert len(list(folder.iterdir())) == before


PIECES = st.one_of(
    st.binary(max_size=6),
    st.sampled_from(
        [b"<", b">", b"</note>", b"<note>", b"&a;", b"0", b"-1", b"1e999", b"\0", b"]]>", b"<!--"]
    ),
)
CHANGES = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 40), PIECES), min_size=1, max_size=3)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
@given(changes=CHANGES, pack=st.booleans())
def test_any_bytes_are_read_or_refused(
    hand: Hand, changes: list[tuple[float, int, bytes]], pack: bool
) -> None:
    """Whatever is changed in a good file, there is an answer or a sentence, and no other error."""
    good = hand.file(
        hand.beats(60)
        + hand.note("half", signs="<ornaments><tremolo>3</tremolo></ornaments>")
        + hand.rest(16)
    )
    data = hand.packed(good.read_bytes()).read_bytes() if pack else good.read_bytes()
    for place, cut, piece in changes:
        at = int(place * len(data))
        data = data[:at] + piece + data[at + cut :]
    path = hand.folder / "changed"
    path.write_bytes(data)
    with suppress(LugbookError):
        assert read_part(path).seconds >= 0


NUMBERS = st.sampled_from(["0", "-1", "1e9", "9" * 20, "nan", "inf", "", "x", "0.0001", "1e-300", "٣", "64"])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
@given(changes=st.lists(st.tuples(st.floats(0, 0.999), NUMBERS), min_size=1, max_size=2))
def test_any_numbers_are_read_or_refused(hand: Hand, changes: list[tuple[float, str]]) -> None:
    """Whatever number is put for one that is there, soon there is an answer of sense, or a sentence."""
    back = '<barline location="right"><repeat direction="backward" times="2"/></barline>'
    roll = hand.note("half", signs='<ornaments><tremolo type="single">3</tremolo></ornaments>')
    text = hand.file(hand.beats(60) + '<sound tempo="90"/>' + roll + hand.rest(16), 4 * hand.note() + back)
    words = re.split(r'(?<=[>"])(\d+)(?=[<"])', text.read_text(encoding="utf-8"))
    for place, number in changes:
        words[2 * int(place * (len(words) // 2)) + 1] = number
    text.write_text("".join(words), encoding="utf-8")
    begun = time.process_time()
    with suppress(LugbookError):
        told = read_part(text, least_rest_s=0)
        assert 0 <= told.seconds <= 6 * 3600
        assert 0 <= told.rolls.share <= 1 + 1e-9
        assert all(0 <= one.seconds <= told.seconds for one in told.rests)
    assert time.process_time() - begun < SOON_S


def test_the_archive_by_hand_is_a_good_one(hand: Hand) -> None:
    """The bytes that these tests change are those of an archive that is read."""
    whole = hand.packed(hand.file(4 * hand.note()).read_bytes())

    assert zlib.crc32(whole.read_bytes())
    assert zipfile.ZipFile(io.BytesIO(whole.read_bytes())).testzip() is None
    assert read_part(whole).bars == 1


@pytest.mark.parametrize("root", ["print", "bracket", "link"])
def test_a_root_that_is_about_looks_only(hand: Hand, root: str) -> None:
    """What is left out of a part may be all there is, in the text or in the contents of an archive."""
    path = hand.folder / "part.musicxml"
    path.write_text(f"<{root}/>", encoding="utf-8")
    with pytest.raises(BadValue, match="no MusicXML score"):
        read_part(path)
    with pytest.raises(BadValue, match="does not say where its music is"):
        read_part(hand.packed("<a/>", container=f"<{root}/>"))
