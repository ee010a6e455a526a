"""Slugs can be copied to any system: short, plain, unique without case, no reserved name."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.library.slugs import LONGEST, RESERVED, is_slug, make_slug


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Old field drum", "old-field-drum"),
        ("Große Trommel", "grosse-trommel"),
        ("GROẞE", "grosse"),
        ("Dry étude", "dry-etude"),
        ("Crème brûlée, no. 2", "creme-brulee-no-2"),
        ("Tamburo con corde; Bärenhäuter", "tamburo-con-corde-barenhauter"),
        ("Æther Øst Œuvre Łódź Þor Đ İstanbul ırmak", "aether-ost-oeuvre-lodz-thor-d-istanbul-irmak"),
        ("14×5½", "14-51-2"),
        ("½ tight", "1-2-tight"),
        ("ﬁne", "fine"),
        ("A3+4", "a3-4"),
        ("---", "drum"),
        ("小太鼓", "drum"),
        ("\x1b[2J", "2j"),
        ("", "drum"),
        ("CON", "con-2"),
        ("aux", "aux-2"),
        ("COM¹", "com1-2"),
        ("con.toml", "con-toml"),
        ("a" * 60, "a" * 48),
        ("a" * 47 + " b", "a" * 47),
        ("../../etc/passwd", "etc-passwd"),
    ],
)
def test_a_slug_is_made_from_a_name(name: str, slug: str) -> None:
    assert slug == make_slug(name, taken=[])


def test_a_name_of_which_nothing_is_left_gives_the_given_word() -> None:
    assert make_slug("!", taken=["preset"], empty="preset") == "preset-2"


def test_taken_slugs_are_counted_past_whatever_their_case() -> None:
    assert make_slug("Dry", taken=["DRY", "dry-2", "Dry-3"]) == "dry-4"


def test_a_number_is_put_within_the_limit() -> None:
    assert make_slug("b" * 60, taken=["b" * 48]) == "b" * 46 + "-2"
    assert make_slug("c" * 45 + "-def", taken=["c" * 45 + "-de"]) == "c" * 45 + "-2"


@given(name=st.text(), taken=st.lists(st.text(max_size=5)))
def test_every_slug_is_legal_and_new(name: str, taken: list[str]) -> None:
    slug = make_slug(name, taken=taken)

    assert is_slug(slug)
    assert re.fullmatch(r"[a-z0-9-]{1,48}", slug)
    assert slug not in {one.lower() for one in taken}
    assert slug not in RESERVED


@given(names=st.lists(st.text(max_size=4), max_size=12))
def test_slugs_made_one_after_another_are_unique(names: list[str]) -> None:
    taken: list[str] = []
    for name in names:
        taken.append(make_slug(name, taken=taken))

    assert len(set(taken)) == len(names)


@given(name=st.text())
def test_a_slug_is_its_own_slug(name: str) -> None:
    slug = make_slug(name, taken=[])

    assert slug == make_slug(slug, taken=[])


@pytest.mark.parametrize(
    "text",
    ["", "A", "é", "a b", "-a", "a-", "a/b", "..", ".", "a.b", "con", "nul", "lpt9", "com0", "a\n", "a" * 49],
)
def test_what_no_slug_can_be(text: str) -> None:
    assert not is_slug(text)


@pytest.mark.parametrize("text", ["a", "0", "a-b", "a--b", "con-2", "com10", "a" * LONGEST])
def test_what_a_slug_can_be(text: str) -> None:
    assert is_slug(text)
