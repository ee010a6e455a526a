"""Reference rows for the pitch tests: a test that asks for `<table>_row` runs once per row of that table."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

REFERENCE = Path(__file__).parents[1] / "reference"
ROW_TABLES = {
    "cents_row": "pitch_cents.toml",
    "frequency_row": "pitch_frequencies.toml",
    "interval_row": "pitch_intervals.toml",
    "name_row": "pitch_names.toml",
    "nearest_row": "pitch_nearest.toml",
}

# A busy machine must not fail a law for being slow.
settings.register_profile("no-deadline", deadline=None)
settings.load_profile("no-deadline")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    for fixture in ROW_TABLES.keys() & set(metafunc.fixturenames):
        rows = _rows(ROW_TABLES[fixture])
        ids = [" ".join(str(value) for key, value in row.items() if key != "source") for row in rows]
        metafunc.parametrize(fixture, rows, ids=ids)


@pytest.fixture(scope="session")
def reference_folder() -> Path:
    return REFERENCE


def _rows(name: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads((REFERENCE / name).read_text(encoding="utf-8"))["row"]
    return rows
