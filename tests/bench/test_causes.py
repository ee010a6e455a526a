"""What is said of a drum that is not where it was, against what was done to it: a table of confusion.

Drums are simulated apart from the model: 35 to 120 cents a quarter turn, coupled and bent, readings ± 3
cents, a key that errs by 1/64 turn, a search of 4 to 24 entries, then 1 to 40 days. Then one thing is done:

- **nothing**: it is only read again;
- **crept**: a head or two of a few days creep by 8 to 30 cents;
- **weather**: both heads move alike in f², by 1200 to 3500 Hz² up or down;
- **slipped**: one rod of 8 or 10 lets go by ¼ to ¾ turn, and the head sounds two pitches;
- **miscounted**: a turn of ⅛ or ¼ that was written down was not made, or made twice, or the wrong way, or one
  was made that nobody wrote down;
- **undamped**: the other head rings while both are read, coupled by 100 to 220 Hz;
- **changed**: a head was changed for one of another tension, 150 to 500 cents away, and nobody wrote it down.

In all rows the drum drifts by itself as well: creep of an old head, everyday weather. Seven readings in ten
are recordings, in which two pitches close together, or a ringing head, may be heard.

A cause is **right** where it is named, **wrong** where another is named, else it is "cannot tell".

`python tests/bench/test_causes.py [drums of each cause]` prints the table.
"""

import math
import sys
from collections import Counter
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.turns import Response
from lugbook.turns.causes import verdict
from lugbook.turns.explanations import Seen

Array = npt.NDArray[np.float64]

CENT = 2 * math.log(2) / 1200
CAUSES = ("nothing", "crept", "weather", "slipped", "miscounted", "undamped", "changed")
SEEDS = range(80_000, 80_200)
"""Drums that nothing was tuned on."""

CANNOT = "cannot tell"
Table = dict[str, Counter[str]]


class Drum:
    """A drum whose law nobody but this class knows."""

    def __init__(self, rng: np.random.Generator, *, young: bool) -> None:
        self.rng = rng
        self.square = np.array([rng.uniform(200, 300), rng.uniform(260, 400)]) ** 2
        self.own = self.square * CENT * 4 * rng.uniform(35, 120, 2)
        self.cross = self.own * rng.uniform(0, 0.12, 2)
        self.bend = self.own * rng.uniform(-0.06, 0.06, 2)
        self.creep = self.square * CENT * rng.uniform(1, 4, 2)
        self.age = rng.uniform(1, 3) if young else rng.uniform(60, 300)
        self.rods = int(rng.choice([8, 10]))
        self.weather, self.day = rng.normal(0, 300), 0.0
        self.counted, self.turned, self.moved = np.zeros(2), np.zeros(2), np.zeros(2)

    def squares(self) -> Array:
        law = (
            self.square + self.own * self.turned + self.cross * self.turned[::-1] + self.bend * self.turned**2
        )
        return np.maximum(
            law + self.weather - self.creep * math.log1p(self.day / self.age) + self.moved, 900.0
        )

    def read(self, squares: Array) -> tuple[float, float]:
        top, bottom = np.sqrt(squares) * 2 ** (self.rng.normal(0, 3, 2) / 1200)
        return float(top), float(bottom)

    def turn(self, turns: Array) -> None:
        self.counted = self.counted + turns
        self.turned = self.turned + turns + np.where(turns != 0, self.rng.normal(0, 1 / 64, 2), 0.0)


@dataclass
class Case:
    """One drum to which one thing was done."""

    response: Response
    seen: Seen


def searched(drum: Drum) -> Response:
    """Learn from a search of 4 to 24 entries."""
    rng = drum.rng
    response = Response.prior(diameter_in=14, thread_mm=25.4 / 24, day=-drum.age)
    for entry in range(int(rng.integers(4, 25))):
        if entry:
            move = np.zeros(2)
            head = int(rng.integers(2))
            move[head] = (
                0.25
                if drum.counted[head] < -0.3 or (rng.random() < 0.5 and drum.counted[head] < 0.3)
                else -0.25
            )
            drum.turn(move)
        response = response.observe(
            tuple(drum.counted), hz=drum.read(drum.squares()), sd_cents=3.0, day=drum.day
        )
    return response


def case(seed: int, cause: str) -> Case:
    """Return one drum and what is seen of it after one thing was done."""
    rng = np.random.default_rng([seed, CAUSES.index(cause)])
    drum = Drum(rng, young=cause == "crept" or (cause == "nothing" and rng.random() < 0.2))
    response = searched(drum)
    read_at = drum.counted.copy()
    drum.day += float(rng.integers(1, 41)) if cause != "nothing" else float(rng.integers(1, 4))
    drum.weather += rng.normal(0, 120)
    uneven = [bool(rng.random() < 0.06), bool(rng.random() < 0.06)]
    head = int(rng.integers(2))
    if cause == "crept":
        crept = drum.square * CENT * np.array([rng.uniform(8, 30), rng.uniform(8, 30)])
        drum.creep = crept / math.log1p(drum.day / drum.age)
    elif cause == "weather":
        drum.weather += rng.choice([-1, 1]) * rng.uniform(1200, 3500)
    elif cause == "slipped":
        slip = rng.uniform(0.25, 0.75) / drum.rods
        drum.moved[head] -= drum.own[head] * slip
        drum.moved[1 - head] -= drum.cross[1 - head] * slip
        uneven[head] = bool(
            2 * drum.own[head] * slip / (drum.squares()[head] * CENT) > 5 and rng.random() < 0.9
        )
    elif cause == "miscounted":
        turns = np.zeros(2)
        turns[head] = rng.choice([-1, 1]) * rng.choice([0.125, 0.25])
        before = drum.turned.copy()
        drum.turn(turns)
        made = rng.choice([0.0, 2.0, -1.0, math.nan], p=[0.4, 0.2, 0.2, 0.2])
        if math.isnan(made):
            drum.counted = drum.counted - turns
        else:
            drum.turned = before + made * (drum.turned - before)
    elif cause == "changed":
        sign = rng.choice([-1, 1])
        drum.moved[head] += drum.squares()[head] * (2 ** (sign * rng.uniform(150, 500) / 600) - 1)
    if cause not in ("miscounted", "nothing", "crept") and rng.random() < 0.3:
        turns = np.zeros(2)
        turns[int(rng.integers(2))] = rng.choice([-0.25, 0.25])
        drum.turn(turns)
    squares = drum.squares()
    if cause == "undamped":
        squares = coupled(squares, rng.uniform(100, 220))
    recorded = rng.random() < 0.7
    return Case(
        response,
        Seen(
            position=(float(drum.counted[0]), float(drum.counted[1])),
            hz=drum.read(squares),
            sd_cents=(3.0, 3.0),
            day=drum.day,
            rods=(drum.rods, drum.rods),
            turned=(float(drum.counted[0] - read_at[0]), float(drum.counted[1] - read_at[1])),
            uneven=(uneven[0], uneven[1]) if recorded else (None, None),
            rang=(heard_ringing(rng, cause), heard_ringing(rng, cause)) if recorded else (None, None),
        ),
    )


def coupled(squares: Array, k: float) -> Array:
    """Return f² of two heads that both ring, by numpy's eigenvalues: the lower is the lower head's."""
    low, high = np.linalg.eigvalsh(np.array([[squares[0], -(k**2)], [-(k**2), squares[1]]]))
    low, high = max(low, 900.0), max(high, 900.0)
    return np.array([low, high]) if squares[0] < squares[1] else np.array([high, low])


def heard_ringing(rng: np.random.Generator, cause: str) -> bool | None:
    """Return what a recording says of the other head."""
    often = (0.5, 0.15) if cause == "undamped" else (0.05, 0.5)
    chance = rng.random()
    return True if chance < often[0] else False if chance < sum(often) else None


def said(one: Case) -> str:
    found = verdict(one.response, one.seen)
    return CANNOT if found is None or found.cause is None else found.cause


def confusion(seeds: range) -> Table:
    return {cause: Counter(said(case(seed, cause)) for seed in seeds) for cause in CAUSES}


def share(row: Counter[str], cause: str, *, cannot: bool = False, wrong: bool = False) -> float:
    """Return the share of a row that is right, right or "cannot tell", or wrong."""
    right, told = row[cause], row[CANNOT]
    if wrong:
        return (row.total() - right - told) / row.total()
    return (right + told * cannot) / row.total()


def passes(table: Table) -> bool:
    """Tell whether a table is good enough: hardly ever wrong, and not silent either."""
    rows = list(table.items())
    return (
        all(share(row, cause, cannot=True) >= 0.8 for cause, row in rows)
        and all(share(row, cause, wrong=True) <= 0.05 for cause, row in rows)
        and all(share(row, cause) >= 1 / 3 for cause, row in rows)
        and sum(share(row, cause) for cause, row in rows) >= 0.6 * len(rows)
    )


@pytest.fixture(scope="module")
def table() -> Table:
    return confusion(SEEDS)


@pytest.mark.long
def test_causes_are_told_apart(table: Table) -> None:
    assert passes(table), table


@pytest.mark.long
@pytest.mark.parametrize("word", ["crept", CANNOT])
def test_one_word_for_all_fails(word: str) -> None:
    assert not passes({cause: Counter({word: 100}) for cause in CAUSES})


def main(drums: int) -> None:
    """Print the table over so many drums of each cause."""
    table, write = confusion(range(SEEDS.start, SEEDS.start + drums)), sys.stdout.write
    columns = (*CAUSES, CANNOT)
    write(f"{'done':<12}" + "".join(f"{column:>12}" for column in columns) + f"{'wrong':>9}\n")
    for cause, row in table.items():
        cells = "".join(f"{row[column] / row.total():12.0%}" for column in columns)
        write(f"{cause:<12}{cells}{share(row, cause, wrong=True):9.1%}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else len(SEEDS))
