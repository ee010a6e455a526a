"""How many turns of the key a search takes, on simulated ears that nothing was tuned on.

An ear likes one state best, and others the less the further they lie from it, along an ellipse that lies
aslant. Some have bumps beside it, some cannot tell small differences, some err once in twenty.

- **Paper** is the same search with a pencil: of the sides that are untried one is taken at random, and what
  was heard is not heard again. It is played several times.
- **Knowing the ear** is the way straight to the best state, with its sides heard around it: 6 steps for the
  three sides that do not lie on the way, or 8 for all four where the start is the best.

Turns are counted in steps of the key, both heads together, from state to state and back to the kept state at
the end. Proven is an end of which no side is better, by the ear itself.

`python tests/bench/test_searches.py [searches]` prints the table.
"""

import itertools
import math
import sys
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pytest

from lugbook.trials import Search
from lugbook.trials.judgments import Verdict

Place = tuple[int, int]

SIDES: tuple[Place, ...] = ((1, 0), (-1, 0), (0, 1), (0, -1))
SEEDS = range(70_000, 70_060)
"""Ears that nothing was tuned on."""

PAPERS = 8
"""So often each search is played on paper."""

FAR, NEAR = 8.0, 3.0
"""The best state lies within so many steps of the start, on each head."""

_GRID = [(x, y) for x in range(-14, 15) for y in range(-14, 15)]


class Ear:
    """What one player likes, which nobody but this class knows."""

    def __init__(
        self, seed: int, *, reach: float, bumps: float = 0.0, tie: float = 0.0, wrong: float = 0.0
    ) -> None:
        self.rng = rng = np.random.default_rng(seed)
        self.best = rng.uniform(-reach, reach, 2)
        self.ratio = math.exp(rng.uniform(-0.7, 0.7))
        self.skew = rng.uniform(-0.5, 0.5)
        self.waves = rng.uniform((0.5, 0.5, 0, 0), (2, 2, 2 * math.pi, 1), (3, 4))
        self.bumps, self.tie, self.wrong = bumps, tie, wrong

    def likes(self, place: Place) -> float:
        """Return how much it likes a state, in steps from the best."""
        x, y = place[0] - self.best[0], place[1] - self.best[1]
        liking = -math.sqrt(self.ratio * x * x + y * y / self.ratio + 2 * self.skew * x * y)
        for across, up, phase, height in self.waves:
            liking += self.bumps * height * math.sin(across * place[0] + up * place[1] + phase)
        return liking

    def true(self, heard: Place, kept: Place) -> Verdict:
        """Return what it hears when it does not err."""
        gain = self.likes(heard) - self.likes(kept)
        return "same" if abs(gain) <= self.tie else "better" if gain > 0 else "worse"

    def says(self, heard: Place, kept: Place) -> Verdict:
        """Return what it says."""
        said = self.true(heard, kept)
        if self.rng.random() >= self.wrong:
            return said
        return "worse" if said == "better" else "better"

    def knowing(self) -> float:
        """Return the steps of somebody who knows it."""
        best = max(_GRID, key=self.likes)
        away = abs(best[0]) + abs(best[1])
        return away + 6 if away else 8


@dataclass
class Tally:
    """What came of the searches of one row."""

    turns: int = 0
    paper: float = 0.0
    knowing: float = 0.0
    searches: int = 0
    proven: int = 0
    ended: int = 0
    twice: int = 0
    wrong: int = 0
    wrong_doubted: int = 0
    right: int = 0
    right_doubted: int = 0
    heard: list[int] = field(default_factory=list)


def on_paper(ear: Ear, rng: np.random.Generator) -> int:
    """Return the steps of one search on paper."""
    kept = here = (0, 0)
    heard, steps = {kept}, 0
    while sides := [side for side in beside(kept) if side not in heard]:
        after = sides[int(rng.integers(len(sides)))]
        steps += apart(here, after)
        here = after
        heard.add(after)
        if ear.says(after, kept) == "better":
            kept = after
    return steps + apart(here, kept)


def searched(ear: Ear, tally: Tally) -> None:
    """Play one search to its end, and take it in."""
    search, here, asked = Search(), (0, 0), []
    for _ in range(400):
        position = search.ask()
        if position is None:
            break
        place, kept = steps_of(position), steps_of(search.kept)
        tally.turns += apart(here, place)
        here = place
        asked.append(place)
        search.tell(ear.says(place, kept))
    kept = steps_of(search.kept)
    tally.turns += apart(here, kept)
    tally.searches += 1
    tally.ended += search.settled
    tally.twice += len(asked) - len(set(asked))
    doubted = set(search.doubted)
    for one in search.judgments:
        heard, against = (steps_of((top / 64, bottom / 64)) for top, bottom in (one.heard, one.against))
        if ear.true(heard, against) == one.verdict:
            tally.right += 1
            tally.right_doubted += one in doubted
        else:
            tally.wrong += 1
            tally.wrong_doubted += one in doubted
    tally.proven += all(ear.true(side, kept) != "better" for side in beside(kept))
    tally.heard.append(len(asked))


def beside(place: Place) -> list[Place]:
    return [(place[0] + x, place[1] + y) for x, y in SIDES]


def apart(one: Place, other: Place) -> int:
    return abs(one[0] - other[0]) + abs(one[1] - other[1])


def steps_of(position: tuple[float, float]) -> Place:
    return round(position[0] * 4), round(position[1] * 4)


ROWS: dict[str, Callable[[int], Ear]] = {
    "best within 8 steps": lambda seed: Ear(seed, reach=FAR),
    "best within 3 steps": lambda seed: Ear(seed, reach=NEAR),
    "with bumps, within 8": lambda seed: Ear(seed, reach=FAR, bumps=0.35),
    "small differences not heard, within 8": lambda seed: Ear(seed, reach=FAR, tie=0.15),
    "one verdict in twenty wrong, within 8": lambda seed: Ear(seed, reach=FAR, wrong=0.05),
    "both, within 8": lambda seed: Ear(seed, reach=FAR, tie=0.15, wrong=0.05),
}
TRUE = tuple(ROWS)[:4]
"""Rows whose ears do not err."""


def run(make: Callable[[int], Ear], seeds: range) -> Tally:
    """Return what comes of the searches with these ears."""
    tally = Tally()
    for seed in seeds:
        searched(make(seed), tally)
        tally.paper += (
            sum(on_paper(make(seed), np.random.default_rng((seed, again))) for again in range(PAPERS))
            / PAPERS
        )
        tally.knowing += make(seed).knowing()
    return tally


@pytest.fixture(scope="module")
def tallies() -> dict[str, Tally]:
    return {name: run(make, SEEDS) for name, make in ROWS.items()}


@pytest.mark.long
def test_at_most_eight_tenths_of_the_turns_of_a_search_on_paper(tallies: dict[str, Tally]) -> None:
    """Where somebody who knows the ear needs a little over half of them."""
    tally = tallies["best within 8 steps"]
    assert 0.5 < tally.knowing / tally.paper < 0.62
    assert tally.turns <= 0.80 * tally.paper


@pytest.mark.long
@pytest.mark.parametrize("name", ROWS)
def test_no_row_takes_more_turns_than_paper(tallies: dict[str, Tally], name: str) -> None:
    assert tallies[name].turns < 0.97 * tallies[name].paper


@pytest.mark.long
@pytest.mark.parametrize("name", ROWS)
def test_every_search_ends_and_hears_no_state_twice(tallies: dict[str, Tally], name: str) -> None:
    tally = tallies[name]
    assert (tally.ended, tally.twice) == (tally.searches, 0)


@pytest.mark.long
@pytest.mark.parametrize("name", TRUE)
def test_an_ear_that_does_not_err_ends_at_a_proven_best_and_is_not_doubted(
    tallies: dict[str, Tally], name: str
) -> None:
    tally = tallies[name]
    assert tally.proven == tally.searches
    assert tally.wrong == 0
    assert tally.right_doubted <= 0.01 * tally.right


@pytest.mark.long
def test_of_the_wrong_verdicts_a_part_is_found_and_hardly_a_right_one(tallies: dict[str, Tally]) -> None:
    tally = tallies["one verdict in twenty wrong, within 8"]
    assert tally.wrong > 20
    assert tally.wrong_doubted >= 0.2 * tally.wrong
    assert tally.right_doubted <= 0.02 * tally.right


def test_the_bench_itself_counts_right() -> None:
    """An ear whose best is the start: four sides, each heard once, 8 steps on any way round."""
    ear = Ear(1, reach=0.0)
    tally = Tally()
    searched(ear, tally)

    assert (tally.turns, tally.heard, tally.proven) == (8, [4], 1)
    assert ear.knowing() == 8
    assert [ear.true(one, (0, 0)) for one in itertools.islice(beside((0, 0)), 2)] == ["worse", "worse"]


def main(searches: int) -> None:
    """Print the table over so many searches."""
    seeds, write = range(SEEDS.start, SEEDS.start + searches), sys.stdout.write
    write(f"{'ears':<38}  states  turns  of paper  knowing  proven  twice  doubted: wrong  right\n")
    for name, make in ROWS.items():
        tally = run(make, seeds)
        write(
            f"{name:<38}  {np.mean(tally.heard):6.1f}  {tally.turns / 4 / tally.searches:5.2f}"
            f"  {tally.turns / tally.paper:8.2f}  {tally.knowing / tally.paper:7.2f}"
            f"  {tally.proven / tally.searches:6.0%}  {tally.twice:5}"
            f"  {tally.wrong_doubted:4} of {tally.wrong:3}  {tally.right_doubted / tally.right:9.1%}\n"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else len(SEEDS))
