"""Standard MIDI Files, byte by byte, and as music21 writes them."""

import time
import warnings
from collections.abc import Callable
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

import music21
import numpy as np
import pytest
from music21 import instrument, midi, note, stream, tempo

from lugbook.errors import BadValue, NotPossible
from lugbook.scores import ManyParts, Tempo, read_part

from .conftest import about

QUARTER = 96

Put = Callable[[bytes], Path]


def length(value: int) -> bytes:
    """A number in sevens of bits."""
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(value & 0x7F | 0x80)
    return bytes(reversed(out))


def track(*events: tuple[int, bytes], name: str = "") -> bytes:
    """A track of events, each after so many ticks."""
    body = b"".join(length(after) + what for after, what in events)
    named = b"\x00\xff\x03" + length(len(name.encode())) + name.encode() if name else b""
    body = named + body + b"\x00\xff\x2f\x00"
    return b"MTrk" + len(body).to_bytes(4, "big") + body


def whole(*tracks: bytes, form: int = 1, quarter: int = QUARTER) -> bytes:
    head = form.to_bytes(2, "big") + len(tracks).to_bytes(2, "big") + quarter.to_bytes(2, "big")
    return b"MThd\x00\x00\x00\x06" + head + b"".join(tracks)


def stroke(
    after: int = 0, lasts: int = QUARTER, *, channel: int = 9, key: int = 38
) -> list[tuple[int, bytes]]:
    return [(after, bytes((0x90 | channel, key, 80))), (lasts, bytes((0x80 | channel, key, 0)))]


def beat(us: int, after: int = 0) -> tuple[int, bytes]:
    return after, b"\xff\x51\x03" + us.to_bytes(3, "big")


def meter(beats: int, power: int, after: int = 0) -> tuple[int, bytes]:
    return after, bytes((0xFF, 0x58, 4, beats, power, 24, 8))


@pytest.fixture
def put(tmp_path: Path) -> Put:
    """What writes bytes into a file of the test's."""

    def write(data: bytes) -> Path:
        path = tmp_path / "part.mid"
        path.write_bytes(data)
        return path

    return write


def test_rests_and_tempi(put: Put) -> None:
    """Reckoned on paper: 3/4 at 60, then at 120."""
    conductor = track(beat(1_000_000), meter(3, 2), beat(500_000, 6 * QUARTER), name="A March")
    drum = track(*stroke(), *stroke(8 * QUARTER), *stroke(), name="Snare")
    told = read_part(put(whole(conductor, drum)), least_rest_s=1)

    assert (told.title, told.part, told.bars) == ("A March", "Snare", 4)
    assert told.tempi == (Tempo("1", 60, assumed=False), Tempo("3", 120, assumed=False))
    assert told.seconds == about(6 + 3)
    assert [(one.bar_from, one.bar_to, one.where, one.seconds) for one in told.rests] == [
        ("1", "3", "between", about(5 + 1.5))
    ]
    assert told.dynamics is None
    assert any("no dynamics" in one for one in told.remarks)


@pytest.mark.parametrize("us", [0, 1, 99_999, 6_000_001, 0xFFFFFF])
def test_a_tempo_that_cannot_be_is_left_out(put: Put, us: int) -> None:
    told = read_part(put(whole(track(beat(1_000_000), beat(us, 4 * QUARTER)), track(*8 * stroke()))))

    assert told.tempi == (Tempo("1", 60, assumed=False),)
    assert told.seconds == about(8)
    assert any("in bar 2 is left out" in one for one in told.remarks)


def test_no_tempo_is_a_hundred_and_twenty(put: Put) -> None:
    told = read_part(put(whole(track(*4 * stroke()))))

    assert told.seconds == about(2)
    assert told.tempi == (Tempo("1", 120, assumed=True),)
    assert read_part(put(whole(track(*4 * stroke()))), tempo=60).seconds == about(4)


def test_a_time_signature_that_cannot_be_is_left_out(put: Put) -> None:
    for beats, power in ((0, 2), (4, 8), (4, 255)):
        told = read_part(put(whole(track(meter(beats, power)), track(*8 * stroke()))))
        assert told.bars == 2
        assert f"A time signature of {beats}/2^{power} is left out." in told.remarks


def test_a_roll_is_known_by_its_speed(put: Put) -> None:
    """Thirty-seconds at 100 are 13.3 strokes a second; none is moved, and together they are one stroke."""
    roll = [one for _ in range(16) for one in stroke(0, QUARTER // 8)]
    told = read_part(put(whole(track(beat(600_000)), track(*roll, *stroke(), *stroke()))))

    assert told.rolls.bars == ("1",)
    assert told.rolls.share == about(0.5)
    assert told.density is not None
    assert told.density.highest == about(3 / 2.4)


def test_running_status_and_system_messages(put: Put) -> None:
    """The same part, told more shortly, and with other messages between."""
    events = [
        (0, b"\xf0\x03\x01\x02\xf7"),
        (0, b"\xb9\x07\x64"),
        (0, b"\xc9\x00"),
        (0, b"\x99\x26\x50"),
        (QUARTER, b"\x26\x00"),
        (2 * QUARTER, b"\x26\x50"),
        (QUARTER, b"\x26\x00"),
    ]
    told = read_part(put(whole(track(*events))), least_rest_s=0.1)

    assert [one.seconds for one in told.rests] == [about(1)]


def test_one_track_of_all_channels(put: Put) -> None:
    """A file of one track: its name is the piece's, each channel is a part, and the tenth is the drums."""
    events = [*stroke(channel=0, key=60), *stroke(key=38), *stroke(key=49)]
    told = read_part(put(whole(track(*events, name="Band"), form=0)))

    assert (told.title, told.parts) == ("Band", ("Channel 1", "Channel 10"))
    assert told.part == "Channel 10"
    assert any("more than one drum" in one for one in told.remarks)


def test_one_track_of_one_channel(put: Put) -> None:
    """The name is the piece's; a track that plays among others has its own."""
    one = read_part(put(whole(track(*stroke(), name="A March"), form=0)))
    two = read_part(put(whole(track(*stroke(), name="Snare"))))
    both = track(*stroke(channel=0), *stroke(key=36), name="For snare drum and band")

    assert read_part(put(whole(both, form=0))).part == "Channel 10"
    assert (one.title, one.parts) == ("A March", ("Channel 10",))
    assert (two.title, two.parts) == ("", ("Snare",))


def test_which_track(put: Put) -> None:
    tracks = [track(*stroke(channel=n, key=60), name=name) for n, name in enumerate(["Flute", "Horn"])]
    with pytest.raises(NotPossible, match="no percussion part"):
        read_part(put(whole(*tracks)))
    two = [track(*stroke(key=key), name=name) for key, name in ((42, "Cymbals"), (36, "Bass drum"))]
    with pytest.raises(ManyParts) as raised:
        read_part(put(whole(*tracks, *two)))
    assert raised.value.parts == ("Cymbals", "Bass drum")
    assert read_part(put(whole(*tracks, *two)), part="horn").part == "Horn"
    assert read_part(put(whole(*two, track(*stroke(), name="Kit")))).part == "Kit"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (whole(), "holds no track"),
        (whole(track(*stroke()), quarter=0), "how long a quarter is"),
        (whole(track(*stroke()), quarter=0xE728), "how long a quarter is"),
        (whole(track(*stroke()), form=2), "patterns and no piece"),
        (whole(track(*stroke()))[:-1], "cut off: the end of track 1"),
        (whole(track(*stroke()))[:20], "holds no track"),
        (whole(track((0, b"\x99\x26"))), "damaged"),
        (whole(track((0, b"\x26\x40"))), "damaged"),
        (whole(track((0, b"\xf4"))), "damaged"),
        (whole(track((0, b"\xff\x03\x7fabc"))), "damaged"),
        (whole(b"MTrk\x00\x00\x00\x05\xff\xff\xff\xff\xff"), "damaged"),
        (whole(track(*stroke(0xFFFFFFF))), "more than 5000 bars"),
        (whole(track(*stroke(0xFFFFFFF)), quarter=1), "more than 5000 bars"),
        (whole(track(meter(1, 7)), track(*stroke(170 * QUARTER))), "more than 5000 bars"),
        (whole(track((0, b"\x99\x26\x50"), (0xFFFFFFF, b"\x90\x00\x00"))), "more than 5000 bars"),
        (whole(track(*stroke() * 150_001)), "more than 300000 events"),
        (whole(*[track(*stroke())] * 301), "301 parts; at most 300"),
        (whole(track(*stroke() * 100_001)), "100001 notes in one part"),
        (whole(track(beat(6_000_000)), track(*stroke(lasts=4 * QUARTER) * 1000), quarter=QUARTER), "hours"),
    ],
)
def test_what_is_damaged_or_too_long(put: Put, data: bytes, said: str) -> None:
    begun = time.process_time()
    with pytest.raises(BadValue, match=said):
        read_part(put(data))
    assert time.process_time() - begun < 10


def test_any_bytes_are_read_or_refused(put: Put) -> None:
    """Whatever byte is changed, there is an answer or a sentence."""
    good = bytearray(whole(track(beat(1_000_000), meter(3, 2)), track(*stroke() * 4, name="Snare")))
    random = np.random.default_rng(7)
    answers = 0
    for _ in range(500):
        data = bytearray(good)
        for at in random.integers(0, len(data), 2):
            data[at] = random.integers(0, 256)
        with suppress(BadValue, NotPossible):
            answers += read_part(put(bytes(data))).seconds >= 0
    assert answers


@pytest.mark.parametrize("seed", range(8))
def test_against_music21(tmp_path: Path, seed: int) -> None:
    """What music21 writes is read, and lasts as long as music21 says that it does."""
    random = np.random.default_rng(seed)
    part: stream.Part = stream.Part()  # type: ignore[no-untyped-call]  # music21 types it in part
    part.insert(0, instrument.SnareDrum())  # type: ignore[no-untyped-call]  # as said above
    for _ in range(int(random.integers(5, 40))):
        if random.random() < 0.2:
            part.append(tempo.MetronomeMark(number=int(random.integers(40, 200))))  # type: ignore[no-untyped-call]  # as said above
        one: note.GeneralNote = note.Rest() if random.random() < 0.4 else note.Unpitched()
        one.quarterLength = float(random.choice([0.5, 1, 2, 3, 4, 12]))
        part.append(one)  # type: ignore[no-untyped-call]  # as said above
    part.append(note.Unpitched())  # type: ignore[no-untyped-call]  # as said above
    path = tmp_path / "part.mid"
    part.write("midi", fp=path)  # type: ignore[no-untyped-call]  # as said above
    parsed = midi.translate.midiFilePathToStream(str(path))
    theirs = [one for one in parsed.parts[0].flatten().secondsMap if isinstance(one["element"], note.NotRest)]
    gaps = [
        (one["endTimeSeconds"], after["offsetSeconds"] - one["endTimeSeconds"])
        for one, after in pairwise(theirs)
        if after["offsetSeconds"] - one["endTimeSeconds"] > 0.01
    ]
    told = read_part(path, least_rest_s=0.01)
    between = [(one.at_s, one.seconds) for one in told.rests if one.where == "between"]

    assert told.bars == len(parsed.parts[0].getElementsByClass(stream.Measure))
    assert gaps
    assert np.allclose(between, gaps, atol=2e-3)


def test_the_files_of_music21_itself() -> None:
    """Those that come with it: what is read of their first part begins and ends when theirs does."""
    folder = Path(music21.__file__).parent / "midi" / "testPrimitive"
    compared = 0
    for path in (one for one in sorted(folder.glob("*.mid")) if one.stat().st_size < 5_000):
        with warnings.catch_warnings():
            # music21 warns of names in other encodings.
            warnings.simplefilter("ignore")
            parts = list(midi.translate.midiFilePathToStream(str(path)).parts)
        told = read_part(path, part="1", least_rest_s=0)
        if len(parts) != len(told.parts):
            continue
        sounding = [one for one in parts[0].flatten().secondsMap if isinstance(one["element"], note.NotRest)]
        first = min(one["offsetSeconds"] for one in sounding)
        before = [one.seconds for one in told.rests if one.where == "before"]
        # Theirs is moved to a sixteenth or a triplet.
        assert abs(sum(before) - first) < 0.1
        assert abs(told.bars - len(parts[0].getElementsByClass(stream.Measure))) <= (len(parts) > 1)
        compared += 1
    assert compared >= 3


def test_a_note_that_nothing_ends_hides_no_rest(put: Put) -> None:
    """A stroke whose end is missing: the rests after it are there, to the end of the track."""
    begun = (0, bytes((0x99, 38, 80)))
    events = [begun, *stroke(after=19 * QUARTER, key=40), (QUARTER * 20, b"\xb9\x07\x40")]
    told = read_part(put(whole(track(beat(1_000_000), *events))), least_rest_s=10)

    assert [(one.where, one.seconds) for one in told.rests] == [
        ("between", about(19)),
        ("after", about(20)),
    ]
