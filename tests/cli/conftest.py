"""The command line in process, on a library in a temporary folder, and recordings whose pitch is known."""

import io
import json
import math
import os
import shutil
import struct
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lugbook.cli.main import main

Ran = tuple[int, str, str]
"""Exit code, what came on stdout, what came on stderr."""

RATE_HZ = 11_025
"""Sample rate of the recordings: low, so that they are quickly made and heard."""


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """Environment variables that lead to empty folders."""
    return {"LUGBOOK_LIBRARY": str(tmp_path / "library"), "LUGBOOK_CONFIG": str(tmp_path / "user")}


@pytest.fixture
def cli(environment: dict[str, str]) -> Callable[..., Ran]:
    """Run one command in process."""

    def run(*words: str) -> Ran:
        stdout, stderr = io.StringIO(), io.StringIO()
        code = main(list(words), stdout=stdout, stderr=stderr, environment=environment)
        return code, stdout.getvalue(), stderr.getvalue()

    return run


@pytest.fixture
def ask(cli: Callable[..., Ran]) -> Callable[..., tuple[int, Any]]:
    """Run one command with --json and return its exit code and what stdout held."""

    def run(*words: str) -> tuple[int, Any]:
        code, out, err = cli(*words, "--json")

        def refuse(constant: str) -> float:
            raise ValueError(f"{constant} is no number of JSON")

        assert out, err
        return code, json.loads(out, parse_constant=refuse)

    return run


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with a snare, a rope drum, and a preset of each, made by the commands themselves."""
    folder = tmp_path_factory.mktemp("filled")
    environment = {"LUGBOOK_LIBRARY": str(folder / "library"), "LUGBOOK_CONFIG": str(folder / "user")}
    for words in (
        ("drum", "add", "Concert snare", "--diameter", "14", "--depth", "6.5"),
        (
            "preset",
            "add",
            "concert-snare",
            "Dry étude",
            "--top",
            "A3+4",
            "--bottom",
            "Eb4",
            "--for",
            "dry étude",
        ),
        ("drum", "add", "Old march", "--diameter", "15", "--tension", "rope", "--rods", "0"),
        ("preset", "add", "old-march", "March", "--top", "E", "--bottom", "A", "--for", "field drum"),
    ):
        stderr = io.StringIO()
        code = main(list(words), stdout=io.StringIO(), stderr=stderr, environment=environment)
        assert code == 0, stderr.getvalue()
    return folder / "library"


@pytest.fixture
def shelf(cli: Callable[..., Ran], filled: Path, library: Path) -> Callable[..., Ran]:
    """Run commands on a copy of the filled library."""
    shutil.copytree(filled, library)
    return cli


@pytest.fixture
def library(tmp_path: Path) -> Path:
    """The folder of the library."""
    return tmp_path / "library"


@pytest.fixture
def taps(tmp_path: Path) -> Callable[..., str]:
    """Write a recording of three taps near the hoop of a damped-down drum head; return its path.

    Each tap is a sum of decaying lines, of which the second, at the pitch that is asked for, is the one a tap
    near the hoop sounds; the others lie at ratios within the range of air-loaded heads.
    """

    def write(name: str, hz: float) -> str:
        rate, path = RATE_HZ, tmp_path / name
        lines = ((0.80, 0.35, 0.18), (1.0, 1.0, 0.35), (1.34, 0.5, 0.25), (1.66, 0.3, 0.2))
        tap = [
            sum(
                level
                * math.sin(2 * math.pi * hz * ratio * index / rate)
                * 10 ** (-3 * index / (t60_s * rate))
                for ratio, level, t60_s in lines
            )
            for index in range(rate // 2)
        ]
        samples = [0.0] * (rate // 5) + 3 * (tap + [0.0] * (rate // 5))
        _write_wave(path, samples, rate)
        return str(path)

    return write


@pytest.fixture
def silence(tmp_path: Path) -> str:
    """The path of a recording of nothing."""
    path = tmp_path / "silence.wav"
    _write_wave(path, [0.0] * RATE_HZ, RATE_HZ)
    return str(path)


def _write_wave(path: Path, samples: list[float], rate: int) -> None:
    loudest = max(map(abs, samples)) or 1.0
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        whole = (round(20_000 * sample / loudest) for sample in samples)
        file.writeframes(struct.pack(f"<{len(samples)}h", *whole))


@pytest.fixture
def python(environment: dict[str, str]) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Run a fresh interpreter; its streams are UTF-8 unless told otherwise."""

    def run(*words: str, **variables: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *words],
            env={**os.environ, **environment, **variables},
            capture_output=True,
            encoding="utf-8",
            check=False,
            timeout=60,
            stdin=subprocess.DEVNULL,
        )

    return run
