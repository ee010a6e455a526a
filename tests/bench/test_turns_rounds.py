"""How many rounds the advice needs to bring a simulated drum back, and how far its forecasts can be trusted.

The drum is simulated apart from the model: its law is bent, its heads pull at each other, the key errs by
1/64 turn each time, readings by 3 cents; it creeps, and weather comes and goes. A search by quarter turns,
within half a turn of where it began, leaves 0, 4, 12 or 24 entries. Then 20 days pass, and the drum is to be
brought to the sound of another such state.

A **round** is: read both heads, ask, round as a player is shown, turn. Reading goes on until both heads are
truly within 8 cents; the last reading, after which nothing is turned, is no round. A return that has not come
there after 12 rounds counts as 12. For comparison, on the same drums: a **thumb rule** (75 cents a quarter
turn, each head alone) and **perfect knowledge** of the law (but not of the key's and the readings' errors).

`python tests/bench/test_turns_rounds.py [drums]` prints the table.
"""

import math
import sys
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.turns import Response, coarsen, round_step
from lugbook.turns.kinship import kin_of
from lugbook.turns.prior import slope_limit

Array = npt.NDArray[np.float64]

TOLERANCE, MOST_ROUNDS, DAYS_AWAY = 8.0, 12, 20
THUMB_CENTS_PER_TURN = 300.0
ENTRIES = (0, 4, 12, 24)
NEIGHBOURS = np.array([[1, 0], [-1, 0], [0, 1], [0, -1]]) * 0.25

REACH = 0.5
"""The search stays within so many turns of where it began."""

CENT = 2 * math.log(2) / 1200
"""One cent as a share of f²."""


class Drum:
    """A drum whose law nobody but this class knows."""

    days_between = 0
    """How many days lie between two trials of the search."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.square = np.array([rng.uniform(200, 320), rng.uniform(240, 400)]) ** 2
        self.own = self.square * CENT * 4 * rng.uniform(35, 120, 2)
        self.cross = self.own * rng.uniform(0, 0.12, 2)
        self.bend = self.own * rng.uniform(-0.06, 0.06, 2)
        self.creep, self.age = self.square * CENT * rng.uniform(1, 5, 2), rng.uniform(1, 60)
        self.weather, self.rest = rng.normal(0, 700), np.zeros(2)
        self.counted, self.turned, self.day = np.zeros(2), np.zeros(2), 0.0
        self.temperature_c: float | None = None
        """What a thermometer beside it shows; None where there is none."""

    def squares(self, turned: Array) -> Array:
        """Return f² of both heads at a true position today."""
        law = self.square + self.own * turned + self.cross * turned[::-1] + self.bend * turned**2
        return law + self.weather + self.rest - self.creep * math.log1p(self.day / self.age)

    @property
    def hz(self) -> Array:
        # Whoever simulates far turns meets slack heads; a reading needs some pitch.
        return np.sqrt(np.maximum(self.squares(self.turned), 625.0))

    def slopes(self) -> Array:
        own = self.own + 2 * self.bend * self.turned
        return np.array([[own[0], self.cross[0]], [self.cross[1], own[1]]])

    def read(self) -> tuple[float, float]:
        top, bottom = self.hz * 2 ** (self.rng.normal(0, 3, 2) / 1200)
        return float(top), float(bottom)

    def turn(self, turns: Array) -> None:
        self.counted = self.counted + turns
        self.turned = self.turned + turns + np.where(turns != 0, self.rng.normal(0, 1 / 64, 2), 0.0)

    def wait(self, days: int) -> None:
        for _ in range(days):
            keeps = math.exp(-1 / 5)
            self.weather = self.weather * keeps + 700 * math.sqrt(1 - keeps**2) * self.rng.normal()
            self.rest = self.rest + self.square * CENT * self.rng.normal(0, 0.7, 2)
        self.day += days


class WarmDrum(Drum):
    """A drum whose weather is the temperature of the air, a thermometer beside it, tried every third day."""

    days_between = 3

    def __init__(self, rng: np.random.Generator) -> None:
        super().__init__(rng)
        self.per_kelvin, self.kelvins = rng.uniform(-300, 150), rng.normal(0, 4)
        self._show()

    def wait(self, days: int) -> None:
        for _ in range(days):
            super().wait(1)
            keeps = math.exp(-1 / 5)
            self.kelvins = self.kelvins * keeps + 4 * math.sqrt(1 - keeps**2) * self.rng.normal()
        self._show()

    def _show(self) -> None:
        self.weather, self.temperature_c = self.per_kelvin * self.kelvins, 20 + self.kelvins


class ShelfDrum(Drum):
    """One of a shelf of drums that answer somewhat alike: shares of the limit about a common one."""

    def __init__(self, rng: np.random.Generator) -> None:
        super().__init__(rng)
        self.common = rng.uniform(0.08, 0.25)
        self.others = [self.common * math.exp(rng.normal(0, 0.25)) for _ in range(3)]
        share = self.common * np.exp(rng.normal(0, 0.25, 2))
        self.own = share * slope_limit(diameter_in=14, thread_mm=25.4 / 24)
        self.cross = self.own * rng.uniform(0, 0.12, 2)
        self.bend = self.own * rng.uniform(-0.06, 0.06, 2)


@dataclass
class Tally:
    """What was found over many drums."""

    rounds: list[int] = field(default_factory=list)
    turned_z: list[float] = field(default_factory=list)
    """Errors of forecasts of a turn, in their own standard deviations."""
    away_z: list[float] = field(default_factory=list)
    """Errors of forecasts over the days away."""
    silent_cents: list[float] = field(default_factory=list)
    """Errors of each head after a silent change."""

    @property
    def mean_rounds(self) -> float:
        return float(np.mean(self.rounds))


def cents(hz: Array, of: Array) -> Array:
    return np.asarray(1200 * np.log2(hz / of), dtype=np.float64)


def covered(z: list[float]) -> float:
    """Return the share of errors inside the central 90 % of a normal distribution."""
    return float(np.mean(np.abs(z) < 1.6449))


def observed(response: Response, drum: Drum) -> tuple[Response, Array]:
    hz = drum.read()
    celsius, day = drum.temperature_c, drum.day
    where = tuple(drum.counted)
    return response.observe(where, hz=hz, sd_cents=3.0, day=day, temperature_c=celsius), np.array(hz)


def unknown(_: Drum) -> Response:
    """A drum alone on its shelf."""
    return Response.prior(diameter_in=14, thread_mm=25.4 / 24)


def beside_others(drum: Drum) -> Response:
    """A drum beside three others that are known to a twentieth."""
    others = drum.others if isinstance(drum, ShelfDrum) else []
    kin = kin_of([(math.log(share), 0.05) for share in others])
    return Response.prior(diameter_in=14, thread_mm=25.4 / 24, kin=(kin, kin))


def searched(drum: Drum, entries: int, begin: Callable[[Drum], Response] = unknown) -> Response:
    """Search by quarter turns: hear a neighbour, keep it one time in three, else turn back."""
    response = begin(drum)
    moves: list[Array] = []
    undo: Array | None = None
    for entry in range(entries):
        if entry:
            if undo is not None and drum.rng.random() > 0.35:
                move, undo = undo, None
            else:
                if undo is not None or len(moves) < 3:
                    moves = list(drum.rng.permutation(NEIGHBOURS))
                while (np.abs(drum.counted + (move := moves.pop())) > REACH).any():
                    pass
                undo = -move
            drum.turn(move)
            drum.wait(drum.days_between)
        response, _ = observed(response, drum)
    return response


def another_state(drum: Drum) -> Array:
    """Return the pitches that another state, whole quarter turns away, has today."""
    away = np.zeros(2)
    while not away.any():
        away = drum.rng.integers(-2, 3, 2) * 0.25 - drum.counted
    return np.sqrt(drum.squares(drum.turned + away))


def rounded(turns: Array, cents_per_turn: Array) -> Array:
    steps = [round_step(cents_per_turn=abs(float(one)), tolerance_cents=TOLERANCE) for one in cents_per_turn]
    return np.array([coarsen(float(turn), step=step) for turn, step in zip(turns, steps, strict=True)])


Advise = Callable[[Response, Drum, Array, Array], tuple[Array, Array]]
"""From what is known, the drum, the reading and the target: turns, and cents per turn for the rounding."""


def by_model(response: Response, drum: Drum, hz: Array, target: Array) -> tuple[Array, Array]:
    here, day, celsius = tuple(drum.counted), drum.day, drum.temperature_c
    pair = (float(target[0]), float(target[1]))
    advice = response.turns_to(pair, position=here, day=day, temperature_c=celsius)
    there = response.predict(tuple(drum.counted + 0.25), day=day)
    return np.array(advice.turns), 4 * cents(np.array(there.hz, dtype=np.float64), hz)


def by_shorter(response: Response, drum: Drum, hz: Array, target: Array) -> tuple[Array, Array]:
    """Advise the turn of least expected squared error, shorter by 1/(1 + (sd/turn)²)."""
    advice = response.turns_to(
        (float(target[0]), float(target[1])), position=tuple(drum.counted), day=drum.day
    )
    turns, sd = np.array(advice.turns, float), np.array(advice.sd_turns, float)
    return turns**3 / np.maximum(turns**2 + sd**2, 1e-12), by_model(response, drum, hz, target)[1]


def by_thumb(_: Response, __: Drum, hz: Array, target: Array) -> tuple[Array, Array]:
    per_turn = np.full(2, THUMB_CENTS_PER_TURN)
    return cents(target, hz) / per_turn, per_turn


def by_law(_: Response, drum: Drum, hz: Array, target: Array) -> tuple[Array, Array]:
    turns: Array = np.zeros(2)
    for _step in range(6):
        chords = drum.slopes() + np.diag(drum.bend * turns)
        turns = np.asarray(np.linalg.solve(chords, target**2 - hz**2), dtype=np.float64)
    return turns, drum.own / (target**2 * CENT)


def returned(
    seed: int,
    entries: int,
    advise: Advise,
    tally: Tally,
    *,
    kind: type[Drum] = Drum,
    begin: Callable[[Drum], Response] = unknown,
) -> None:
    """Search, wait, bring the drum to its target, and note what happened."""
    drum = kind(np.random.default_rng(seed))
    response = searched(drum, entries, begin)
    target = another_state(drum)
    drum.wait(DAYS_AWAY)
    if entries and advise is by_model:
        there = response.predict(tuple(drum.counted), day=drum.day)
        tally.away_z += list(cents(drum.hz, np.array(there.hz, float)) / np.array(there.sd_cents, float))
    rounds = 0
    while rounds < MOST_ROUNDS and not (np.abs(cents(drum.hz, target)) <= TOLERANCE).all():
        response, hz = observed(response, drum)
        rounds += 1
        turns = rounded(*advise(response, drum, hz, target))
        there = response.predict(tuple(drum.counted + turns), day=drum.day)
        drum.turn(turns)
        z = cents(drum.hz, np.array(there.hz, float)) / np.array(there.sd_cents, float)
        tally.turned_z += list(z[turns != 0])
    tally.rounds.append(rounds)


def changed_silently(seed: int, entries: int, tally: Tally, *, kind: type[Drum] = Drum) -> None:
    """After the days away, turn to the target without hearing the drum."""
    drum = kind(np.random.default_rng(seed))
    response = searched(drum, entries)
    target = another_state(drum)
    drum.wait(DAYS_AWAY)
    drum.turn(rounded(*by_model(response, drum, drum.hz, target)))
    tally.silent_cents += list(np.abs(cents(drum.hz, target)))


def run(seeds: range, entries: int, advise: Advise = by_model) -> Tally:
    tally = Tally()
    for seed in seeds:
        returned(seed, entries, advise, tally)
        if advise is by_model and entries:
            changed_silently(seed, entries, tally)
    return tally


SEEDS = range(70_000, 70_500)
"""Drums that nothing was tuned on."""


@pytest.fixture(scope="module")
def tallies() -> dict[int, Tally]:
    return {entries: run(SEEDS, entries) for entries in ENTRIES}


@pytest.mark.long
@pytest.mark.parametrize(("entries", "most"), [(0, 3.5), (4, 2.7), (12, 2.35), (24, 2.3)])
def test_a_drum_is_back_in_few_rounds(tallies: dict[int, Tally], entries: int, most: float) -> None:
    assert tallies[entries].mean_rounds <= most


@pytest.mark.long
def test_it_is_nearer_to_perfect_knowledge_than_to_the_thumb(tallies: dict[int, Tally]) -> None:
    thumb, perfect = run(SEEDS, 12, by_thumb).mean_rounds, run(SEEDS, 12, by_law).mean_rounds
    learned = tallies[12].mean_rounds
    assert perfect < learned < thumb
    assert learned - perfect < 0.25 * (thumb - perfect)


@pytest.mark.long
@pytest.mark.parametrize("entries", ENTRIES)
def test_nine_forecasts_in_ten_come_true(tallies: dict[int, Tally], entries: int) -> None:
    assert 0.85 <= covered(tallies[entries].turned_z) <= 0.95


@pytest.mark.long
def test_half_of_the_silent_changes_land_within_twelve_cents(tallies: dict[int, Tally]) -> None:
    assert np.median(tallies[12].silent_cents) <= 12


def run_warm(seeds: range, *, thermometer: bool) -> float:
    """Return the median error of silent changes after 24 entries, with a thermometer looked at or not."""
    tally = Tally()
    for seed in seeds:
        changed_silently(seed, 24, tally, kind=WarmDrum if thermometer else BlindDrum)
    return float(np.median(tally.silent_cents))


class BlindDrum(WarmDrum):
    """The same drum, and nobody looks at the thermometer."""

    def _show(self) -> None:
        super()._show()
        self.temperature_c = None


def run_shelf(seeds: range, begin: Callable[[Drum], Response]) -> float:
    """Return the mean rounds of drums of which nothing is written down."""
    tally = Tally()
    for seed in seeds:
        returned(seed, 0, by_model, tally, kind=ShelfDrum, begin=begin)
    return tally.mean_rounds


@pytest.mark.long
def test_other_drums_of_the_shelf_save_rounds() -> None:
    assert run_shelf(SEEDS, beside_others) < run_shelf(SEEDS, unknown) - 0.1


@pytest.mark.long
def test_a_thermometer_brings_silent_changes_nearer() -> None:
    assert run_warm(SEEDS, thermometer=True) < 0.9 * run_warm(SEEDS, thermometer=False)


def main(drums: int) -> None:
    """Print the table over so many drums."""
    seeds, write = range(70_000, 70_000 + drums), sys.stdout.write
    for name, advise in (("thumb rule", by_thumb), ("perfect knowledge", by_law)):
        write(f"{name:<20} {run(seeds, 12, advise).mean_rounds:5.2f} rounds\n")
    write(f"{'shorter, 0 entries':<20} {run(seeds, 0, by_shorter).mean_rounds:5.2f} rounds\n")
    write("entries  rounds  >5 rounds  90 % after a turn  90 % after 20 days  silent: median, within 12\n")
    for entries in ENTRIES:
        tally = run(seeds, entries)
        line = f"{entries:7d}  {tally.mean_rounds:6.2f}  {np.mean(np.array(tally.rounds) > 5):9.1%}"
        line += f"  {covered(tally.turned_z):17.1%}"
        if entries:
            silent = np.array(tally.silent_cents)
            line += (
                f"  {covered(tally.away_z):18.1%}  {np.median(silent):8.1f} c, {np.mean(silent <= 12):8.0%}"
            )
        write(line + "\n")
    shelf = [run_shelf(seeds, begin) for begin in (unknown, beside_others)]
    write(f"0 entries, a shelf of drums somewhat alike: {shelf[0]:.2f}, three others known {shelf[1]:.2f}\n")
    warm = [run_warm(seeds, thermometer=seen) for seen in (False, True)]
    write(f"24 entries, weather all temperature, silent: {warm[0]:.1f} c, thermometer read {warm[1]:.1f} c\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else len(SEEDS))
