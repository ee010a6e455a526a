"""The demo's searches: one that is settled, one that is open, and the picture of the first."""

import re
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

from lugbook.desk import Desk
from lugbook.desk.chart import search_map
from lugbook.desk.desk import open_desk
from lugbook.desk.mapping import map_svg
from lugbook.desk.proposing import next_trial


def desk_of(demo: Path, tmp_path: Path) -> Desk:
    return open_desk(
        library=str(demo / "library"),
        environment={"LUGBOOK_CONFIG": str(tmp_path)},
        clock=lambda: datetime(2026, 11, 26, 12, tzinfo=UTC),
    )


def test_the_search_for_the_dry_etude_ends_at_its_preset(demo: Path, tmp_path: Path) -> None:
    desk = desk_of(demo, tmp_path)
    found = next_trial(desk, "concert-snare")
    turns = desk.library.preset("concert-snare/dry-etude").record.turns

    assert found.now.settled
    assert not found.now.contradictions
    assert found.now.search is not None
    assert turns.top is not None
    assert turns.bottom is not None
    assert found.now.search.kept == (turns.top.amount, turns.bottom.amount)


def test_the_search_on_the_piccolo_can_be_gone_on_with(demo: Path, tmp_path: Path) -> None:
    found = next_trial(desk_of(demo, tmp_path), "piccolo-snare")

    assert found.proposal is not None
    assert not found.now.settled
    assert [row.entry.verdict for row in found.now.rows] == [None, "worse", None]


def test_the_map_in_the_readme_is_that_of_the_search(demo: Path, tmp_path: Path) -> None:
    """`lugbook --library demo/library map concert-snare --svg demo/map.svg` makes it anew."""

    def words(text: str) -> list[str]:
        root = ElementTree.fromstring(text)  # noqa: S314 -- a picture of this repository
        found = [element.text or "" for element in root.iter() if element.tag.endswith("text")]
        # The day it was drawn stands in it.
        return [one for one in found if not re.fullmatch(r"\d+ \w+ \d{4}", one)]

    found = next_trial(desk_of(demo, tmp_path), "concert-snare")
    map_ = search_map(found)
    assert map_ is not None
    kept = words((demo / "map.svg").read_text(encoding="utf-8"))
    assert kept == words(map_svg(desk_of(demo, tmp_path), found, map_))
    assert len(kept) > 20
