"""Searches of the standard functions of optimisation end where an exhaustive search says that they may.

The stopping rule is that of pattern searches: no neighbour is better (Hooke and Jeeves, J. ACM 8, 212, 1961;
Kolda, Lewis and Torczon, SIAM Review 45, 385, 2003; from memory). Every place of the grid for which that
holds is counted out here, apart from the search.
"""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt
import pytest

from lugbook.trials import Search
from lugbook.trials.search import Limits

Array = npt.NDArray[np.float64]
Pair = tuple[float, float]
Number = TypeVar("Number", float, Array)
Function = Callable[[Any, Any], Any]
"""Of x and y, numbers or arrays; the less the better."""


def rosenbrock(x: Number, y: Number) -> Number:
    return (1 - x) ** 2 + 100 * (y - x**2) ** 2


def booth(x: Number, y: Number) -> Number:
    return (x + 2 * y - 7) ** 2 + (2 * x + y - 5) ** 2


def himmelblau(x: Number, y: Number) -> Number:
    return (x**2 + y - 11) ** 2 + (x + y**2 - 7) ** 2


FUNCTIONS: dict[str, Function] = {"rosenbrock": rosenbrock, "booth": booth, "himmelblau": himmelblau}
STARTS = ((0.0, 0.0), (-3.0, 2.0), (3.5, -3.5))
WIDE: Limits = ((-4.0, 4.0), (-4.0, 4.0))
TIGHT: Limits = ((-1.0, 0.5), (-2.0, 2.5))
"""Leaves every least value outside."""


@pytest.fixture(scope="module")
def rows() -> dict[str, dict[str, Any]]:
    file = Path(__file__).parent.parent / "reference" / "trials.toml"
    return {row["name"]: row for row in tomllib.loads(file.read_text(encoding="utf-8"))["functions"]}


def play(search: Search, function: Function) -> None:
    """Play a search to its end with an ear that never errs and hears nothing twice."""
    asked = set()
    while (position := search.ask()) is not None:
        assert position not in asked
        asked.add(position)
        gain = function(*search.kept) - function(*position)
        search.tell("better" if gain > 0 else "worse" if gain < 0 else "same")


def nowhere_better(function: Function, box: Limits, step: float) -> set[Pair]:
    """Return every place of a grid of which no neighbour inside the box is better."""
    xs, ys = (np.arange(round((most or 0) / step) - round((least or 0) / step) + 1) for least, most in box)
    x, y = np.meshgrid(xs * step + (box[0][0] or 0), ys * step + (box[1][0] or 0), indexing="ij")
    around = np.pad(function(x, y), 1, constant_values=np.inf)
    here = around[1:-1, 1:-1]
    beside = np.stack([around[2:, 1:-1], around[:-2, 1:-1], around[1:-1, 2:], around[1:-1, :-2]])
    least = (beside >= here).all(axis=0)
    return set(zip(x[least].tolist(), y[least].tolist(), strict=True))


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_functions_are_least_where_they_are_known_to_be(
    name: str, rows: dict[str, dict[str, Any]]
) -> None:
    for x, y in rows[name]["least_at"]:
        assert FUNCTIONS[name](x, y) == pytest.approx(0, abs=1e-8)


@pytest.mark.parametrize("name", FUNCTIONS)
@pytest.mark.parametrize("start", STARTS)
def test_each_step_ends_at_a_best_state_of_its_grid(name: str, start: Pair) -> None:
    """By quarter turns, and by each finer step from there."""
    search = Search(start=start, limits=WIDE)
    play(search, FUNCTIONS[name])
    assert search.kept in nowhere_better(FUNCTIONS[name], WIDE, 1 / 4)
    for step in (1 / 8, 1 / 16, 1 / 32):
        search.refine()
        play(search, FUNCTIONS[name])

        assert search.settled
        assert search.kept in nowhere_better(FUNCTIONS[name], WIDE, step)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_inside_tight_limits_it_ends_at_a_best_state_of_what_is_left(name: str) -> None:
    search = Search(limits=TIGHT)
    play(search, FUNCTIONS[name])
    (least_x, most_x), (least_y, most_y) = TIGHT

    assert search.kept in nowhere_better(FUNCTIONS[name], TIGHT, 1 / 4)
    assert all((least_x or 0) <= x <= (most_x or 0) for x, _ in search.heard)
    assert all((least_y or 0) <= y <= (most_y or 0) for _, y in search.heard)


def test_a_best_state_at_the_limit_is_kept_there() -> None:
    """Booth falls towards (1, 3), which lies past two limits."""
    search = Search(limits=TIGHT)
    play(search, booth)

    assert search.kept == (0.5, 2.5)
    assert set(search.past_limits) == {(0.75, 2.5), (0.5, 2.75)}


@pytest.mark.parametrize("name", ["booth", "himmelblau"])
@pytest.mark.parametrize("start", STARTS)
def test_the_finest_step_ends_beside_a_known_least_value(
    name: str, start: Pair, rows: dict[str, dict[str, Any]]
) -> None:
    search = Search(start=start, limits=((-5.0, 5.0), (-5.0, 5.0)))
    play(search, FUNCTIONS[name])
    while search.step > 1 / 64:
        search.refine()
        play(search, FUNCTIONS[name])
    off = [np.abs(np.subtract(search.kept, least)).max() for least in rows[name]["least_at"]]

    assert min(off) <= rows[name]["within"] / 64


@pytest.mark.parametrize("name", FUNCTIONS)
@pytest.mark.parametrize("start", [(0.0, 0.0), (-3.0, -2.5), (3.5, -1.0)])
def test_one_rod_for_both_heads_ends_at_a_best_state_of_its_line(name: str, start: Pair) -> None:
    search = Search(start=start, limits=WIDE, together=True)
    function = FUNCTIONS[name]
    play(search, function)

    def beside(turned: float) -> Pair:
        return search.kept[0] + turned, search.kept[1] + turned

    line = [beside(turned / 4) for turned in range(-40, 41)]
    line = [place for place in line if max(map(abs, place)) <= 4]
    values = [np.inf, *(function(*place) for place in line), np.inf]
    best = [
        place
        for place, here, one, other in zip(line, values[1:-1], values, values[2:], strict=False)
        if here <= min(one, other)
    ]

    assert search.kept in best
    assert search.kept[0] - search.kept[1] == start[0] - start[1]
