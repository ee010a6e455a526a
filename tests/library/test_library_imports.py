"""Start-up: what a fresh interpreter has to load for the library."""

import subprocess
import sys

import pytest

HEAVY = {"numpy", "music21", "textual", "filelock", "platformdirs", "soundfile", "difflib"}


def _loaded(code: str) -> set[str]:
    """Return the top-level modules a fresh interpreter has loaded after running *code*."""
    report = "\nimport sys; print(*{name.partition('.')[0] for name in sys.modules})"
    run = subprocess.run([sys.executable, "-c", code + report], capture_output=True, text=True, check=True)
    return set(run.stdout.split())


def test_importing_the_library_loads_nothing_heavy() -> None:
    loaded = _loaded("import lugbook.library")

    assert {"lugbook", "pydantic"} <= loaded
    assert not loaded & HEAVY


@pytest.mark.parametrize("deed", ["drums()", "presets()", "problems()"])
def test_reading_loads_nothing_heavy(deed: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    root = tmp_path_factory.mktemp("library")
    (root / "drums" / "x").mkdir(parents=True)
    (root / "drums" / "x" / "drum.toml").write_text('name = "x"\ndiameter_in = 14\n', encoding="utf-8")
    loaded = _loaded(
        "from pathlib import Path; from datetime import UTC, datetime; from lugbook.library import Library\n"
        f"path = Path({str(root)!r})\n"
        "library = Library(path, now=lambda: datetime.now(UTC), lock_folder=path, writer='kqmzpt')\n"
        f"library.{deed}"
    )

    assert not loaded & HEAVY
