"""`note`, `listen`, `check` and `retune`: their JSON, their exit codes, and what a player reads."""

import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lugbook.cli.output import Output
from lugbook.cli.shapes import heard as heard_shape
from lugbook.cli.texts import heard as heard_text
from lugbook.desk.listening import Heard
from lugbook.heads import Alternative, Hearing, Partial, Reading, Rod, Tap
from lugbook.heads.levels import Levels

Cli = Callable[..., tuple[int, str, str]]
Ask = Callable[..., tuple[int, Any]]

HEAD_KEYS = ["target_hz", "target", "measured_hz", "note", "cents", "off_cents", "tolerance_cents", "within"]
CHECK_KEYS = ["drum", "preset", "within", "heads", "interval", "why", "remarks"]
READING_KEYS = {
    "hz",
    "sd_cents",
    "note",
    "cents",
    "mode",
    "sure",
    "taps_used",
    "split_cents",
    "other_head",
    "alternatives",
}
TAP_KEYS = {
    "at_s",
    "hz",
    "sd_cents",
    "note",
    "cents",
    "glide_cents",
    "used",
    "why_not",
    "partials",
}
DRY = "concert-snare/dry-etude"


@pytest.mark.parametrize(
    ("reading", "a4", "expected"),
    [
        # A3 is half of A4; 12 cents down is a factor of 2^(-12/1200).
        ("A3-12", "440", {"hz": 218.480, "note": "A3", "cents": -12.0, "a4_hz": 440.0}),
        ("A3", "442", {"hz": 221.0, "note": "A3", "cents": 0.0, "a4_hz": 442.0}),
        ("221", "442", {"hz": 221.0, "note": "A3", "cents": 0.0, "a4_hz": 442.0}),
        ("220", "440", {"hz": 220.0, "note": "A3", "cents": 0.0, "a4_hz": 440.0}),
        ("Bb", "440", {"hz": None, "note": "Bb", "cents": 0.0, "a4_hz": 440.0}),
        ("A3 low side", "440", {"hz": 216.846, "note": "A3", "cents": -25.0, "a4_hz": 440.0}),
    ],
)
def test_note_gives_hertz_note_and_cents(
    ask: Ask, reading: str, a4: str, expected: dict[str, object]
) -> None:
    """A reading is named at the concert pitch that was asked for, without any library."""
    assert ask("note", reading, "--a4", a4) == (0, expected)


@pytest.mark.usefixtures("shelf")
def test_note_takes_the_concert_pitch_of_the_library(ask: Ask, library: Path) -> None:
    """Where no option names A4, the library's holds."""
    (library / "library.toml").write_text("format = 1\na4 = 443.0\n", encoding="utf-8")

    assert ask("note", "A4")[1]["hz"] == 443.0


def test_note_says_it_in_a_line(cli: Cli) -> None:
    """A player reads hertz, note, signed whole cents and A4."""
    assert cli("note", "A3-12.4") == (0, "218.430 Hz  A3  −12 cents  A4 = 440 Hz\n", "")


def test_listen_gives_taps_and_reading(ask: Ask, taps: Callable[..., str]) -> None:
    """The pitch of a recording is found, and every key is there."""
    code, heard = ask("listen", taps("tap.wav", 221.3))

    assert code == 0
    keys = ["file", "rate_hz", "taps", "reading", "rods", "round", "remarks", "refused", "picture"]
    assert list(heard) == keys
    assert heard["reading"]["hz"] == pytest.approx(221.3, abs=0.2)
    assert heard["rate_hz"] == 11_025
    assert heard["rods"] is None
    assert heard["refused"] is None
    assert set(heard["reading"]) == READING_KEYS
    assert len(heard["taps"]) == 3
    assert all(set(tap) == TAP_KEYS for tap in heard["taps"])
    assert all(
        set(line) == {"hz", "level_db", "t60_s", "mode"} for tap in heard["taps"] for line in tap["partials"]
    )
    assert all(set(other) == {"hz", "why"} for other in heard["reading"]["alternatives"])


def test_listen_takes_where_it_was_struck_and_what_to_expect(ask: Ask, taps: Callable[..., str]) -> None:
    """A stroke at the centre sounds the lower line of the same recording."""
    file = taps("tap.wav", 221.3)

    _, centre = ask("listen", file, "--struck", "centre", "--near", "F3")

    # How exactly it is heard is proven where listening is; here, that the line at 0.8 of the other is meant.
    assert centre["reading"]["hz"] == pytest.approx(0.8 * 221.3, rel=0.05)
    assert centre["reading"]["mode"] == "0,1"


@pytest.mark.usefixtures("shelf")
def test_listen_names_notes_at_the_concert_pitch_of_the_library(
    ask: Ask, library: Path, taps: Callable[..., str]
) -> None:
    """The same hertz have other cents where A4 is another."""
    file = taps("tap.wav", 221.0)
    _, at_440 = ask("listen", file)
    (library / "library.toml").write_text("format = 1\na4 = 442.0\n", encoding="utf-8")
    _, at_442 = ask("listen", file)

    assert at_442["reading"]["hz"] == at_440["reading"]["hz"]
    # 1200 log2(442/440) is 7.85 cents.
    assert at_440["reading"]["cents"] - at_442["reading"]["cents"] == pytest.approx(7.85, abs=0.02)
    assert at_440["taps"][0]["cents"] - at_442["taps"][0]["cents"] == pytest.approx(7.85, abs=0.02)


def test_a_refused_recording_prints_its_json_and_returns_4(ask: Ask, silence: str) -> None:
    """Silence is heard and refused, with the reason."""
    code, heard = ask("listen", silence)

    assert code == 4
    assert heard["reading"] is None
    assert heard["refused"].endswith(".")


def test_a_refused_recording_is_told_on_stderr(cli: Cli, silence: str) -> None:
    """Without --json there is no data, and the sentence names the file."""
    code, out, err = cli("listen", silence)

    assert (code, out) == (4, "")
    assert "silence.wav" in err


def test_listen_says_what_it_heard_in_rows(cli: Cli, taps: Callable[..., str]) -> None:
    """A player reads the pitch first, then each tap."""
    code, out, err = cli("listen", taps("tap.wav", 221.3))
    first, *rest = out.splitlines()

    assert (code, err) == (0, "")
    assert first.startswith("A3 +10  221.3 Hz  ± ")
    assert first.endswith("from 3 of 3 taps")
    assert sum(line.startswith(("1 ", "2 ", "3 ")) for line in rest) == 3


@pytest.mark.usefixtures("shelf")
def test_check_within(ask: Ask) -> None:
    """Both heads within the tolerance: yes, and 0."""
    code, found = ask("check", DRY, "--top", "A3+6", "--bottom", "Eb4-3")

    assert code == 0
    assert list(found) == CHECK_KEYS
    assert (found["drum"], found["preset"], found["within"]) == ("concert-snare", "dry-etude", True)
    assert list(found["heads"]) == ["top", "bottom"]
    assert list(found["heads"]["top"]) == HEAD_KEYS
    assert found["heads"]["top"] == {
        "target_hz": 220.509,
        "target": "A3+4",
        "measured_hz": 220.764,
        "note": "A3",
        "cents": 6.0,
        "off_cents": 2.0,
        "tolerance_cents": 10.0,
        "within": True,
    }
    # From A3+4 to Eb4 are six semitones less 4 cents.
    assert found["interval"] == {"target_cents": 596.0, "measured_cents": 591.0, "name": "diminished fifth"}


@pytest.mark.usefixtures("shelf")
def test_check_not_within(ask: Ask) -> None:
    """One head past the tolerance: no, and 1."""
    code, found = ask("check", DRY, "--top", "A3-8", "--bottom", "Eb4")

    assert code == 1
    assert found["within"] is False
    assert found["heads"]["top"]["off_cents"] == -12.0
    assert found["heads"]["bottom"]["within"] is True


@pytest.mark.usefixtures("shelf")
def test_check_cannot_tell_unlike_readings(ask: Ask) -> None:
    """A stroke at the centre is not compared with a tap near the hoop: null, the reason, and 1."""
    code, found = ask("check", DRY, "--top", "A3+4", "--bottom", "Eb4", "--struck", "centre")

    assert code == 1
    assert found["within"] is None
    assert found["heads"]["top"]["within"] is None
    assert any("centre" in remark for remark in found["remarks"])


@pytest.mark.usefixtures("shelf")
def test_check_with_one_head(ask: Ask) -> None:
    """A head that was not read is null, and nothing can be told of the whole."""
    code, found = ask("check", DRY, "--bottom", "Eb4")

    assert code == 1
    assert found["within"] is None
    assert found["heads"]["top"] is None


@pytest.mark.usefixtures("shelf")
def test_check_by_ear_is_wider(ask: Ask) -> None:
    """By ear the tolerance is 25 cents where nobody named one."""
    code, found = ask("check", DRY, "--top", "A3-8", "--bottom", "Eb4", "--by", "ear")

    assert code == 0
    assert found["heads"]["top"]["tolerance_cents"] == 25.0


@pytest.mark.usefixtures("shelf")
def test_check_takes_recordings(ask: Ask, taps: Callable[..., str]) -> None:
    """A path in place of a note is listened to."""
    code, found = ask("check", DRY, "--top", taps("top.wav", 220.5), "--bottom", taps("bottom.wav", 311.1))

    assert code == 0, found["remarks"]
    assert found["heads"]["top"]["measured_hz"] == pytest.approx(220.5, abs=0.3)


@pytest.mark.usefixtures("shelf")
def test_check_at_another_concert_pitch(ask: Ask) -> None:
    """Notes typed at A4 = 442 are 7.85 cents higher than those of a preset at 440."""
    _, found = ask("check", DRY, "--top", "A3+4", "--bottom", "Eb4", "--a4", "442")

    assert found["heads"]["top"]["off_cents"] == 7.85


def test_check_says_off_from_target_in_words(shelf: Cli) -> None:
    """Every head has signed whole cents and a word."""
    code, out, err = shelf("check", DRY, "--top", "A3-8", "--bottom", "Eb4+3")
    verdict, top, bottom, interval, *why = out.splitlines()

    assert (code, err) == (1, "")
    assert why[1].startswith("Why: ")
    assert verdict == f"{DRY}: not within"
    assert "−12 cents off  flat" in top
    assert "+3 cents off   in tune" in bottom
    assert interval == "interval: diminished fifth, 596 cents; heard 611, +15 off"


def test_retune_says_what_to_be_careful_of_before_the_steps(shelf: Cli, ask: Ask) -> None:
    """A turn past a limit is said under the turns, once, and marked for scripts."""
    shelf("drum", "edit", "concert-snare", "--limit", "top=0")
    _, out, _ = shelf("retune", DRY, "--top", "A3-40", "--bottom", "Eb4")
    _, found = ask("retune", DRY, "--top", "A3-40", "--bottom", "Eb4")

    assert out.count("past its limit of 0") == 1
    assert out.index("past its limit of 0") < out.index("1. ")
    assert [(one["head"], one["past_limit"]) for one in found["cautions"]] == [("top", True)]


@pytest.mark.parametrize(("typed", "code"), [("A4", 1), ("2210", 1), ("A", 1), ("A3-40", 0)])
def test_retune_that_cannot_tell_says_so_in_its_exit_code(shelf: Cli, typed: str, code: int) -> None:
    """A reading that looks like a slip leads to no turn: the answer cannot be told."""
    found, out, _ = shelf("retune", DRY, "--top", typed)

    assert found == code
    assert ("No turn can be worked out" in out) == (code == 1)


@pytest.mark.usefixtures("shelf")
def test_retune_adds_the_advice_to_check(ask: Ask) -> None:
    """All keys of `check`, and the turns with orders, steps and what to expect."""
    code, found = ask("retune", DRY, "--top", "A3-40", "--bottom", "Eb4-60")

    assert code == 0
    assert set(found) == {*CHECK_KEYS, "on", "turns", "order", "orders", "steps", "expect", "cautions"}
    assert found["on"] == "concert-snare"
    assert set(found["turns"]["bottom"]) == {"amount", "shown", "sd", "basis", "entries"}
    assert found["turns"]["bottom"]["amount"] > 0
    assert (64 * found["turns"]["bottom"]["amount"]).is_integer()
    assert found["order"] == found["orders"]["bottom"] == [1, 6, 3, 8, 5, 10, 7, 2, 9, 4]
    assert set(found["expect"]) == {"top_hz", "bottom_hz", "sd_cents"}
    assert found["steps"]


@pytest.mark.usefixtures("shelf")
def test_retune_with_nothing_to_do_answers_too(ask: Ask) -> None:
    """In tune is an answer: 0, no order and no step."""
    code, found = ask("retune", DRY, "--top", "A3+4", "--bottom", "Eb4")

    assert code == 0
    assert (found["order"], found["steps"]) == ([], [])
    assert found["turns"]["top"]["amount"] == 0


@pytest.mark.usefixtures("shelf")
def test_retune_of_a_rope_drum_is_not_possible(ask: Ask) -> None:
    """Turns are not offered where there are no rods: no turns, the reason, and 1."""
    code, found = ask("retune", "old-march/march", "--top", "E3", "--bottom", "A3")

    assert code == 1
    assert found["turns"] == {"top": None, "bottom": None}
    assert found["orders"] == {"top": [], "bottom": []}
    assert found["expect"] == {"top_hz": None, "bottom_hz": None, "sd_cents": None}
    assert any("rope" in remark for remark in found["remarks"])


def test_retune_on_another_drum(shelf: Cli, ask: Ask) -> None:
    """--on turns a loan drum to the same pitches, with its own rods."""
    shelf("drum", "add", "Loan", "--diameter", "14", "--rods", "8", "--loan", "yes")

    code, found = ask("retune", DRY, "--top", "A3-40", "--bottom", "Eb4-40", "--on", "loan")

    assert code == 0
    assert (found["drum"], found["on"]) == ("concert-snare", "loan")
    assert len(found["orders"]["top"]) == 8


def test_retune_numbers_its_steps(shelf: Cli) -> None:
    """A player reads turns in words, then numbered sentences, then what to expect."""
    code, out, err = shelf("retune", DRY, "--top", "A3+40", "--bottom", "Eb4-60")

    assert (code, err) == (0, "")
    assert "  tighten " in out
    assert "  loosen " in out
    assert "\n1. " in out
    assert "\n2. " in out
    assert "\nExpect: top " in out


def test_retune_says_that_there_is_nothing_to_turn(shelf: Cli) -> None:
    """In tune is said in words."""
    _, out, _ = shelf("retune", DRY, "--top", "A3+4", "--bottom", "Eb4")

    assert "leave" in out
    assert "Nothing to turn." in out


def test_retune_of_a_rope_drum_says_why(shelf: Cli) -> None:
    """The comparison is shown, and why there are no turns."""
    code, out, _ = shelf("retune", "old-march/march", "--top", "E3", "--bottom", "A3")

    assert code == 1
    assert out.startswith("old-march/march: within\n")
    assert "rope" in out


def _heard(*, split_cents: float) -> Heard:
    reading = Reading(
        hz=221.3,
        sd_cents=3.2,
        note="A3",
        cents=10.2,
        mode="1,1",
        sure=False,
        taps_used=1,
        split_cents=split_cents,
        other_head="damped",
        alternatives=(Alternative(hz=177.0, why="what a stroke at the centre sounds"),),
    )
    taps = (
        Tap(
            0.1,
            221.3,
            3.0,
            "A3",
            10.2,
            0.0,
            used=True,
            why_not=None,
            partials=(Partial(221.3, 0.0, 0.3, None),),
        ),
        Tap(0.9, math.nan, None, None, None, None, used=False, why_not="only the rim sounded", partials=()),
    )
    rods = (Rod(rod=1, hz=221.3, sd_cents=3.0, off_cents=-0.001, turn=0.0625, pair=6),)
    hearing = Hearing(taps=taps, reading=reading, remarks=("Tap softly.",), refused=None, rods=rods)
    return Heard("tap.wav", rate_hz=48_000, a4_hz=440.0, hearing=hearing, levels=Levels((), 0.0))


def test_what_was_not_heard_is_null() -> None:
    """A tap without a pitch has null for its numbers, a rod of a round has all its keys, and -0.0 is 0."""
    found = heard_shape(_heard(split_cents=math.inf))

    assert found["taps"] == [
        {
            "at_s": 0.1,
            "hz": 221.3,
            "sd_cents": 3.0,
            "note": "A3",
            "cents": 10.2,
            "glide_cents": 0.0,
            "used": True,
            "why_not": None,
            "partials": [{"hz": 221.3, "level_db": 0.0, "t60_s": 0.3, "mode": None}],
        },
        {
            "at_s": 0.9,
            "hz": None,
            "sd_cents": None,
            "note": None,
            "cents": None,
            "glide_cents": None,
            "used": False,
            "why_not": "only the rim sounded",
            "partials": [],
        },
    ]
    assert found["rods"] == [
        {
            "rod": 1,
            "hz": 221.3,
            "sd_cents": 3.0,
            "off_cents": 0.0,
            "turn": 0.0625,
            "pair": 6,
            "beside_bed": False,
            "word": "cannot tell",
        }
    ]
    assert math.copysign(1, found["rods"][0]["off_cents"]) == 1
    assert found["reading"]["split_cents"] is None  # type: ignore[index] # a dict, as the tests above show


def test_doubts_are_said_in_words() -> None:
    """A reading that is not sure, two pitches and a tap left out are said so that a player understands."""
    stdout = io.StringIO()
    out = Output(stdout, io.StringIO())

    heard_text(_heard(split_cents=18.4), out)
    out.flush()

    assert stdout.getvalue().splitlines() == [
        "A3 +10  221.3 Hz  ± 3 cents  from 1 of 2 taps  (not sure)",
        "Two pitches close together, 18 cents apart: the head is uneven.",
        "Or F3 +23, 177.0 Hz: what a stroke at the centre sounds.",
        "",
        "tap  at      pitch   frequency  remark",
        "1    0.10 s  A3 +10  221.3 Hz",
        "2    0.90 s  –       –          left out: only the rim sounded",
        "Tap softly.",
    ]
