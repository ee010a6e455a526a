"""Shared by the tests of the heads: the computed drums, and the table of outside values."""

import importlib.util
import sys
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

_HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def drums() -> ModuleType:
    """The module `computed.py` beside this file, loaded by its path: test folders are no packages."""
    spec = importlib.util.spec_from_file_location("lugbook_computed_drums", _HERE / "computed.py")
    if spec is None or spec.loader is None:
        raise RuntimeError("computed.py is missing")
    module = importlib.util.module_from_spec(spec)
    # Frozen dataclasses look their module up by name while they are made.
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def outside() -> dict[str, list[dict[str, Any]]]:
    """Outside values, each row with its source."""
    table = tomllib.loads((_HERE.parent / "reference" / "heads.toml").read_text(encoding="utf-8"))
    if not all(row.get("source") for rows in table.values() for row in rows):
        raise RuntimeError("a row of heads.toml has no source")
    return table
