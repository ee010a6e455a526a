"""demo/run: it shows the main job, leaves nothing behind, and fails where a command fails."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

HEADINGS = 11
"""Listen, check, way back, change, response, rods, two more drums, nearest, search, presets, a concert."""


def run_demo(demo: Path, *, command: Path, scratch: Path) -> subprocess.CompletedProcess[str]:
    scratch.mkdir()
    # One thread for the sums: several fight for the processor where tests run side by side.
    threads = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    environment = {**os.environ, **threads, "LUGBOOK": str(command), "TMPDIR": str(scratch)}
    return subprocess.run(
        [str(demo / "run")],
        env=environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def answering(code: int, *, folder: Path) -> Path:
    """A command in Lugbook's place that says its arguments and ends with *code*."""
    command = folder / "answering"
    command.write_text(f'#!/bin/sh\necho "asked: $*"\nexit {code}\n', encoding="utf-8")
    command.chmod(0o755)
    return command


def test_it_runs_the_main_job_and_leaves_nothing_behind(demo: Path, tmp_path: Path) -> None:
    lugbook = Path(sys.executable).with_name("lugbook")
    before = sorted(path for path in demo.rglob("*") if "__pycache__" not in path.parts)

    done = run_demo(demo, command=lugbook, scratch=tmp_path / "scratch")

    assert done.returncode == 0, done.stderr
    assert done.stdout.count("\n== ") == HEADINGS
    for command in (
        "listen",
        "check",
        "retune",
        "change",
        "response",
        "map",
        "next",
        "presets",
        "concert plan",
    ):
        assert f"\n$ lugbook {command} " in done.stdout
    assert list((tmp_path / "scratch").iterdir()) == []
    assert sorted(path for path in demo.rglob("*") if "__pycache__" not in path.parts) == before


def test_an_answer_of_no_does_not_end_it(demo: Path, tmp_path: Path) -> None:
    done = run_demo(demo, command=answering(1, folder=tmp_path), scratch=tmp_path / "scratch")

    assert done.returncode == 0
    assert (
        "$ lugbook presets --for 'big orchestral tutti'\nasked: presets --for big orchestral tutti"
        in done.stdout
    )


@pytest.mark.parametrize("code", [2, 3, 4, 70])
def test_a_failure_ends_it_with_the_same_code(code: int, demo: Path, tmp_path: Path) -> None:
    done = run_demo(demo, command=answering(code, folder=tmp_path), scratch=tmp_path / "scratch")

    assert done.returncode == code
    assert done.stdout.count("asked: ") == 1
    assert "The demo stops" in done.stderr
    assert list((tmp_path / "scratch").iterdir()) == []
