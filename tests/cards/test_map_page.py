"""The map of a search as a page: its signs and words, its frames, and that it stays readable at any size."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lugbook.cards.map_page import map_picture
from lugbook.trials import Search
from lugbook.trials.mapping import Map, map_of

Read = Callable[[str], Any]
SVG = "{http://www.w3.org/2000/svg}"
NAMES = {(0.0, 0.0): 1, (0.25, 0.0): 2, (0.25, -0.25): 3}


def searched() -> Map:
    """Top up was better, bottom down from there the same; the drum stands at the last one."""
    search = Search(limits=((None, 0.25), (None, None)))
    search.tell("better", position=(0.25, 0.0))
    search.tell("same", position=(0.25, -0.25))
    return map_of(search, proposal=search.propose(), here=(0.25, -0.25), numbers=NAMES)


def drawn(read: Read, map_: Map, **words: str) -> Any:  # noqa: ANN401 -- the picture's class lives in the conftest
    named = {"name": "Concert snare", "search": "dry étude", "when": "25 November 2026", **words}
    return read(map_picture(map_, **named))


def test_each_state_has_sign_number_and_word(read_picture: Read) -> None:
    picture = drawn(read_picture, searched(), next_words="Try the bottom head ¼ up.")
    texts = [text.words for text in picture.texts]

    for sign, word in (("● 2", "kept"), ("○ 1", "beaten"), ("= 3", "same"), ("▶", "next"), ("×", "limit")):
        assert texts.index(word) == texts.index(sign) + 1
    assert texts.count("▲ drum here") == 1
    assert texts[texts.index("▲ drum here") - 1] == "same"
    assert "Try the bottom head ¼ up." in texts
    assert {"dry étude" in one for one in texts if one.startswith("Search")} == {True}


def test_axes_are_in_turns_and_states_lie_at_theirs(read_picture: Read) -> None:
    picture = drawn(read_picture, searched())
    place = {text.words: text for text in picture.texts}

    def middle(words: str) -> float:
        return float(place[words].left + place[words].right) / 2

    assert middle("● 2") == pytest.approx(middle("¼"), abs=8) or place["¼"].top < place["● 2"].top
    assert middle("○ 1") < middle("● 2") < middle("×")
    assert place["= 3"].top > place["● 2"].top > place["▶"].top
    assert {"top head, turns from its reference", "bottom head, turns", "½", "−¼"} <= set(place)


def test_the_kept_state_has_the_heaviest_frame_and_the_next_one_a_dashed_one(read_picture: Read) -> None:
    root = drawn(read_picture, searched()).root
    strokes = [one for one in root.iter(f"{SVG}path") if one.attrib.get("stroke")]
    widths = sorted(float(one.attrib["stroke-width"]) for one in strokes)

    assert widths[-1] > 1.5 * widths[-2]
    assert sum("stroke-dasharray" in one.attrib for one in strokes) == 1


def test_it_stands_for_itself_and_tells_who_cannot_see_it(read_picture: Read) -> None:
    root = drawn(read_picture, searched(), name="<b>&\x1b[2J").root
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")

    assert root.attrib["role"] == "img"
    assert title.text == "Map of the search dry étude on <b>&␛[2J"
    assert "top ¼, bottom 0: kept (entry 2)" in desc.text
    assert "top ¼, bottom −¼: same (entry 3), the drum stands here" in desc.text
    assert not [one for one in root.iter() if one.tag.endswith(("style", "image", "script"))]


def test_single_tension_is_one_line(read_picture: Read) -> None:
    search = Search(together=True)
    search.tell("better", position=(0.25, 0.25))
    search.tell("worse", position=(0.5, 0.5))
    picture = drawn(read_picture, map_of(search, here=(0.5, 0.5)))
    states = [text for text in picture.texts if text.words in ("kept", "beaten", "worse")]

    assert [text.words for text in states] == ["worse", "kept", "beaten"]
    assert len({round(text.left + text.right) for text in states}) == 1
    assert "both heads, turns" in [text.words for text in picture.texts]


def _walked(steps: list[int], *, together: bool) -> Map:
    search = Search(step=1 / 64, together=together)
    for number in steps:
        place = search.ask()
        assert place is not None
        search.tell(("better", "same", "worse")[number], position=place)
        if search.settled:
            break
    numbers = {place: number for number, place in enumerate(search.heard, 1)}
    return map_of(search, proposal=search.propose(), here=search.here, numbers=numbers)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.integers(0, 2), min_size=1, max_size=40), st.booleans(), st.text(max_size=200))
def test_nothing_runs_over_anything_however_long_the_search(
    read_picture: Read,
    steps: list[int],
    together: bool,
    words: str,
) -> None:
    map_ = _walked(steps, together=together)
    picture = drawn(read_picture, map_, name=words, search=words, next_words=words * 3, kept_words=words)

    assert not picture.outside()
    assert not picture.overlapping()
    assert [text.words for text in picture.texts].count("kept") == 1


def test_what_is_too_far_to_be_drawn_is_said(read_picture: Read) -> None:
    search = Search()
    for number in range(1, 30):
        search.tell("better", position=(number / 4, 0.0))
    picture = drawn(read_picture, map_of(search))

    assert "states further off are not drawn" in picture.words
    assert "kept" in picture.words
