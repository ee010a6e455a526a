"""Shared by the tests of the heads: the table of outside values."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

_HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def outside() -> dict[str, list[dict[str, Any]]]:
    """Outside values, each row with its source."""
    table = tomllib.loads((_HERE.parent / "reference" / "heads.toml").read_text(encoding="utf-8"))
    if not all(row.get("source") for rows in table.values() for row in rows):
        raise RuntimeError("a row of heads.toml has no source")
    return table
