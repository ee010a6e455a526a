"""The rules of the house that no other check sees."""

import ast
import re
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCES = sorted((ROOT / "src").rglob("*.py"))
MOST_LINES = 330
TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "demo",
    "presets",
    "pyproject.toml",
    "src",
    "tests",
}
WITHOUT_NUMPY = {"errors", "plain", "progress", "pitch", "records", "library", "cards", "desk", "cli", "tui"}
ONLY_IN = {
    "textual": {"tui"},
    "rich": {"tui"},
    "music21": {"pitch", "scores"},
    "tomli_w": {"library"},
    "tomllib": {"library"},
    "soundfile": {"sound"},
    "threadpoolctl": {"heads"},
    "xml": {"cards", "scores"},
    "jinja2": {"cards"},
    "segno": {"cards"},
}


def _floor(source: Path) -> str:
    below = source.relative_to(ROOT / "src" / "lugbook")
    return below.parts[0].removesuffix(".py")


def _imported(source: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.partition(".")[0])
    return names


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_file_has_one_job(source: Path) -> None:
    """A file that grows past the limit had two jobs."""
    assert len(source.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_package_is_used_on_its_floor_only(source: Path) -> None:
    """A library that belongs to one floor is imported nowhere else."""
    floor, names = _floor(source), _imported(source)

    strangers = {name for name, floors in ONLY_IN.items() if name in names and floor not in floors}
    if floor in WITHOUT_NUMPY:
        strangers |= {"numpy"} & names

    assert not strangers


def test_the_top_level_holds_what_it_should() -> None:
    """Nothing but the agreed files, folders and dot files is tracked at the top."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout, so there is nothing tracked to look at")
    top = {line.partition("/")[0] for line in listed.stdout.splitlines()}

    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL


def test_the_pins_name_no_address() -> None:
    """The tested set is names and versions only, and holds every package the project asks for."""
    lines = (ROOT / "tests" / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = [line for line in lines if line and not line.startswith("#")]
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    asked = project["project"]["dependencies"] + project["dependency-groups"]["dev"]
    asked += [one for extra in project["project"]["optional-dependencies"].values() for one in extra]

    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.]+", pin) for pin in pins)
    pinned = {re.sub(r"[-_.]+", "-", pin.partition("==")[0]).lower() for pin in pins}
    wanted = {re.split(r"[<>=!\[; ]", one)[0].lower().replace("_", "-") for one in asked}
    assert wanted <= pinned


def test_every_silenced_check_has_its_reason() -> None:
    """Where a check is silenced, the same line says why."""
    silenced = re.compile(r"#\s*(?:noqa|type: ignore|pragma: no cover)(?P<rest>.*)")
    codes = re.compile(r"\[[^]]*\]|:? ?[A-Z]+\d+")
    bare = []
    for source in [*SOURCES, *(ROOT / "tests").rglob("*.py"), *(ROOT / "demo").rglob("*.py")]:
        if source == Path(__file__):
            continue
        for number, line in enumerate(source.read_text(encoding="utf-8").splitlines(), 1):
            found = silenced.search(line)
            if found and not re.search("[a-z]{3,} [a-z]{2,}", codes.sub("", found["rest"])):
                bare.append(f"{source.relative_to(ROOT)}:{number}")

    assert not bare


def test_outside_values_name_their_source() -> None:
    """Every row of every table of outside values says where it comes from."""
    tables = sorted((ROOT / "tests" / "reference").glob("*.toml"))
    without = []
    for table in tables:
        for key, rows in tomllib.loads(table.read_text(encoding="utf-8")).items():
            if isinstance(rows, list):
                without += [f"{table.name}: {key}" for row in rows if not str(row.get("source", "")).strip()]

    assert tables
    assert not without
