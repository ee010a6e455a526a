"""The starting points come from the installed program, or from the checkout when it runs from source."""

from pathlib import Path

import pytest

from lugbook.errors import LibraryDamaged
from lugbook.library import starting, starting_points

POINT = """
format = 1
name = "{name}"
contexts = ["march"]
diameter_in = [13, 14]
top_from = "G3"
top_to = "A3"
bottom_from = "D4"
bottom_to = "E4"
interval = "a fifth, bottom higher"
snares = "just free"
basis = "common practice, no source"
"""


def _put(folder: Path, *slugs: str) -> None:
    folder.mkdir(exist_ok=True)
    for slug in slugs:
        (folder / f"{slug}.toml").write_text(POINT.format(name=slug.title()), encoding="utf-8")


def test_starting_points_are_read_by_slug_in_order(tmp_path: Path) -> None:
    _put(tmp_path, "wet", "dry")

    assert [(slug, point.name) for slug, point in starting_points(tmp_path).items()] == [
        ("dry", "Dry"), ("wet", "Wet"),
    ]  # fmt: skip
    assert starting_points(tmp_path)["dry"].diameter_in == (13, 14)


def test_the_wheels_own_come_before_those_of_a_checkout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wheel, checkout = tmp_path / "wheel", tmp_path / "checkout"
    _put(checkout, "from-checkout")
    monkeypatch.setattr(starting, "_IN_WHEEL", wheel)
    monkeypatch.setattr(starting, "_IN_CHECKOUT", checkout)
    assert list(starting_points()) == ["from-checkout"]

    _put(wheel, "from-wheel")
    assert list(starting_points()) == ["from-wheel"]


def test_a_damaged_one_is_told(tmp_path: Path) -> None:
    _put(tmp_path, "dry")
    (tmp_path / "dry.toml").write_text("name = 5\n", encoding="utf-8")

    with pytest.raises(LibraryDamaged, match=r"dry\.toml"):
        starting_points(tmp_path)


def test_those_that_come_with_the_program_can_be_read_and_say_what_they_rest_on() -> None:
    for slug, point in starting_points().items():
        assert point.basis, slug
        assert point.diameter_in[0] <= point.diameter_in[1], slug
