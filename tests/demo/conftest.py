"""The demo's modules stand beside its script, outside every package, so its folder is put on the path."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import numpy.typing as npt
import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "demo"))

if TYPE_CHECKING:
    import numpy as np


@pytest.fixture(scope="session")
def demo() -> Path:
    """The demo's folder."""
    return ROOT / "demo"


@pytest.fixture(scope="session")
def presets_folder() -> Path:
    """The folder of the starting points."""
    return ROOT / "presets"


@pytest.fixture(scope="session")
def made_recordings() -> "dict[str, npt.NDArray[np.int16]]":
    """The recordings as the script computes them, once for all tests."""
    from demo_recordings import recordings  # after the path is set

    return recordings()
