"""The map of a search as a picture, with the words that belong to it."""

from lugbook.cards.map_page import map_picture
from lugbook.desk.desk import Desk
from lugbook.desk.proposing import Next
from lugbook.desk.wording import day_text
from lugbook.plain import shown
from lugbook.trials.mapping import Map


def map_svg(desk: Desk, found: Next, map_: Map) -> str:
    """Return the map of a search as the text of an SVG file."""
    now = found.now
    kept = "" if now.kept is None else now.kept.entry.words
    return map_picture(
        map_,
        name=now.drum.name,
        search=now.name,
        when=day_text(desk.now().date()),
        next_words=found.sentence(),
        kept_words=f"Kept, entry {now.kept.number}: {shown(kept)}" if now.kept is not None and kept else "",
    )
