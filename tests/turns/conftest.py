"""Fixtures of the turns floor: reference rows, and drums whose law is known exactly."""

import math
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lugbook.turns import Response
from lugbook.turns.learning import FirstPitch
from lugbook.turns.response import Response as ResponseClass
from lugbook.turns.state import B, C, Y

REFERENCE = Path(__file__).parent.parent / "reference"

Rows = Callable[[str], list[dict[str, Any]]]
KnownDrum = Callable[..., ResponseClass]


@pytest.fixture(scope="session")
def rows() -> Rows:
    """Give the rows of a reference table by its name; every row must name its source."""

    def read(name: str) -> list[dict[str, Any]]:
        table: list[dict[str, Any]] = tomllib.loads((REFERENCE / f"{name}.toml").read_text("utf-8"))["row"]
        assert table
        assert all(row["source"] for row in table)
        return table

    return read


@pytest.fixture
def new_drum() -> ResponseClass:
    """Give a 14 in drum with 12-24 rods of which nothing has been read."""
    return Response.prior(diameter_in=14, thread_mm=25.4 / 24)


@pytest.fixture
def known_drum(new_drum: ResponseClass) -> KnownDrum:
    """Give a drum whose pitches and slopes (Hz² per turn) are known without any doubt."""

    def make(
        *, hz: tuple[float, float], own: tuple[float, float], cross: tuple[float, float] = (0.0, 0.0)
    ) -> ResponseClass:
        mean = new_drum.state.mean.copy()
        mean[list(Y)], mean[list(B)], mean[list(C)] = np.square(hz), own, cross
        state = replace(new_drum.state, mean=mean, cov=np.zeros_like(new_drum.state.cov))
        return replace(new_drum, state=state, firsts=(FirstPitch(0.0, 1.0),) * 2, heard=(True, True))

    return make


@pytest.fixture(scope="session")
def cents() -> Callable[[float, float | None], float]:
    """Give the distance between two frequencies in cents, 1200·log2 of their ratio (A. J. Ellis)."""

    def distance(from_hz: float, to_hz: float | None) -> float:
        assert to_hz is not None
        return 1200 * math.log2(to_hz / from_hz)

    return distance
