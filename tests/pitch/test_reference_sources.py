"""Every value that comes from outside says where it comes from."""

import tomllib
from pathlib import Path


def test_every_row_of_every_reference_file_names_its_source(reference_folder: Path) -> None:
    files = sorted(reference_folder.glob("*.toml"))
    without = []
    for file in files:
        tables = tomllib.loads(file.read_text(encoding="utf-8"))
        rows = [row for rows in tables.values() if isinstance(rows, list) for row in rows]
        if not rows:
            without.append(f"{file.name} has no rows")
        for number, row in enumerate(rows, 1):
            source = row.get("source") if isinstance(row, dict) else None
            if not (isinstance(source, str) and source.strip()):
                without.append(f"{file.name}, row {number}")

    assert len(files) >= 5
    assert without == []
