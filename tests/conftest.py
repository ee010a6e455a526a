"""Shared by all tests: the computed drums, and the recorded ones."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def drums() -> ModuleType:
    """The folder `computed` beside this file, loaded by its path: test folders are no packages."""
    return load("computed_drums", Path(__file__).parent / "computed" / "__init__.py")


@pytest.fixture(scope="session")
def listening() -> ModuleType:
    """The bench `bench/listening.py`, loaded by its path."""
    return load("bench_listening", Path(__file__).parent / "bench" / "listening.py")


@pytest.fixture(scope="session")
def recorded() -> ModuleType:
    """The folder `recorded` beside this file."""
    return load("recorded_drums", Path(__file__).parent / "recorded" / "__init__.py")


@pytest.fixture(scope="session")
def real_drums() -> ModuleType:
    """The bench `bench/real_drums.py`, loaded by its path."""
    return load("bench_real_drums", Path(__file__).parent / "bench" / "real_drums.py")


@pytest.fixture(scope="session")
def night() -> ModuleType:
    """The file `concert_night.py` beside this one: a concert with its plan."""
    return load("concert_night", Path(__file__).parent / "concert_night.py")


def load(name: str, path: Path) -> ModuleType:
    """The module at *path*, or the package where it is an `__init__.py`."""
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise RuntimeError(f"{path} is missing")
    module = importlib.util.module_from_spec(spec)
    # Frozen dataclasses, and a package's own modules, look their module up by name while they are made.
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module
