"""The README and the table of commands say the same."""

from pathlib import Path

from lugbook.tui.keys import markdown_table

README = Path(__file__).parents[2] / "README.md"


def test_the_readme_has_the_table_of_keys() -> None:
    """The key table of the README is the one that the table of commands gives."""
    assert markdown_table().strip() in README.read_text(encoding="utf-8")
