"""What is held for the cause where pitches and turns do not agree, on a drum whose slopes are known."""

import math

import pytest

from lugbook.turns import Response
from lugbook.turns.causes import Verdict, verdict
from lugbook.turns.explanations import Seen

SLOPE = 30_000.0
TOP, BOTTOM = 220.0**2, 300.0**2
"""f² of both heads at rest, in Hz²."""

WALK = [(0.0, 0.0), (0.25, 0.0), (0.25, 0.25), (0.0, 0.25), (-0.25, 0.25), (-0.25, 0.0), (0.0, 0.0)]

Pair = tuple[float, float]


@pytest.fixture(scope="module")
def known() -> Response:
    """A drum without coupling, read to 3 cents along a walk and back."""
    response = Response.prior(diameter_in=14, thread_mm=25.4 / 24)
    for place in [*WALK, *reversed(WALK)]:
        squares = (TOP + SLOPE * place[0], BOTTOM + SLOPE * place[1])
        hz = (math.sqrt(squares[0]), math.sqrt(squares[1]))
        response = response.observe(place, hz=hz, sd_cents=3.0, day=0.0)
    return response


def told(
    known: Response,
    shift: tuple[float | None, float | None],
    *,
    days: float = 10.0,
    turned: Pair = (0.0, 0.0),
    single: bool = False,
    uneven: tuple[bool | None, bool | None] = (None, None),
    rang: tuple[bool | None, bool | None] = (None, None),
) -> Verdict:
    """Return the verdict where both heads read so many Hz² off what turns alone would make."""
    rest = (TOP + SLOPE * turned[0], BOTTOM + SLOPE * turned[1])
    hz = [None if one is None else math.sqrt(y + one) for y, one in zip(rest, shift, strict=True)]
    seen = Seen(
        position=turned,
        hz=(hz[0], hz[1]),
        sd_cents=(3.0, 3.0),
        day=days,
        rods=(10, 10),
        turned=turned,
        single=single,
        uneven=uneven,
        rang=rang,
    )
    found = verdict(known, seen)
    assert found is not None
    return found


def test_alike_in_the_square_is_weather_and_apart_is_not(known: Response) -> None:
    assert told(known, (2400.0, 2400.0)).cause == "weather"
    assert told(known, (2400.0, -2400.0)).likely != "weather"


def test_of_one_head_alone_nobody_tells_weather(known: Response) -> None:
    assert told(known, (2400.0, None)).likely != "weather"


def test_a_slip_only_lets_go(known: Response) -> None:
    """Half a turn of one rod in ten is 1500 Hz²: down it may be a slip, up it may not."""
    down = told(known, (0.0, -SLOPE / 20), uneven=(False, True))
    up = told(known, (0.0, SLOPE / 20), uneven=(False, True))

    assert (down.cause, down.side) == ("slipped", "bottom")
    assert down.turns > 0
    assert up.likely != "slipped"


def test_two_pitches_close_together_speak_for_a_slip(known: Response) -> None:
    heard, unheard, even = (
        told(known, (0.0, -SLOPE / 20), uneven=(False, uneven)) for uneven in (True, None, False)
    )

    assert heard.cause == "slipped"
    assert unheard.cause is None
    assert even.likely != "slipped"


def test_a_ringing_head_that_was_heard_speaks_for_an_undamped_one(known: Response) -> None:
    """Both by what two heads coupled by 80 Hz do; the recording decides how sure that is."""
    half, k2 = (BOTTOM - TOP) / 2, 80.0**2
    apart = math.hypot(half, k2) - half
    heard, damped = (told(known, (-apart, apart), rang=(rang, rang)) for rang in (True, False))

    assert heard.cause == "undamped"
    assert damped.cause is None or damped.cause != "undamped" or damped.probability < heard.probability


@pytest.mark.parametrize(("made", "sign"), [(0.0, -1), (2.0, 1), (-1.0, -1)])
def test_a_turn_not_made_made_twice_or_the_wrong_way(known: Response, made: float, sign: int) -> None:
    """The logbook says a quarter up on the top head; the head went *made* quarters."""
    found = told(known, (SLOPE / 4 * (made - 1), 0.0), turned=(0.25, 0.0))

    assert (found.cause, found.side) == ("miscounted", "top")
    assert math.copysign(1, found.turns) == sign
    assert abs(found.turns) == pytest.approx(0.25 * abs(made - 1))


def test_one_rod_that_pulls_both_heads_moves_both(known: Response) -> None:
    """In single tension an eighth that was not made is missing on both heads, and of neither."""
    found = told(known, (-SLOPE / 8, -SLOPE / 8), turned=(0.125, 0.125), single=True)

    assert (found.cause, found.side) == ("miscounted", None)
    assert found.turns == pytest.approx(-0.125)


def test_a_drum_as_it_was_left(known: Response) -> None:
    assert told(known, (0.0, 0.0), days=1.0).cause == "nothing"


def test_far_off_was_changed(known: Response) -> None:
    found = told(known, (TOP * 0.6, 0.0))

    assert (found.cause, found.side) == ("changed", "top")


def test_probabilities_are_such(known: Response) -> None:
    for shift in ((0.0, 0.0), (900.0, -300.0), (-5000.0, 100.0), (40_000.0, 40_000.0)):
        assert 0 < told(known, shift).probability <= 1


def test_heads_never_read_tell_nothing() -> None:
    fresh = Response.prior(diameter_in=14, thread_mm=25.4 / 24)
    seen = Seen(
        position=(0.0, 0.0), hz=(220.0, 300.0), sd_cents=(3.0, 3.0), day=1.0, rods=(10, 10), turned=(0.0, 0.0)
    )

    assert verdict(fresh, seen) is None
