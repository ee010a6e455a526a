"""Crash notes."""

from pathlib import Path

from lugbook import __version__
from lugbook.library.crashes import keep_crash_note


def test_no_note_overwrites_another(tmp_path: Path) -> None:
    """Notes of one second stand beside each other, each whole, headed by the version."""
    notes = [keep_crash_note(tmp_path / "user", f"fault {number}") for number in range(3)]

    assert len(set(notes)) == 3
    for number, note in enumerate(notes):
        head, *rest = note.read_text(encoding="utf-8").splitlines()
        assert __version__ in head
        assert rest == [f"fault {number}"]
