"""Cards as pages to print: one HTML file each, which fetches nothing and runs nothing.

The pages are templates of the folder ``pages``. Whatever comes from a record is escaped, without exception:
no template marks a text as safe, and a missing value is an error rather than a gap on a page.
"""

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

from lugbook.cards.blank_chart import TURNED, VERDICT
from lugbook.cards.card_map import Grid, grid_of, more_words
from lugbook.cards.card_text import essentials
from lugbook.cards.concert_details import careful, more_of, on_paper, orders_of
from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.concert_fit import Room, fitted
from lugbook.cards.concert_layout import PLAYED_SHARE
from lugbook.cards.facts import Card, CardDrum, CardPreset
from lugbook.cards.qr import code_of
from lugbook.pitch import signed
from lugbook.plain import shown
from lugbook.trials.mapping import Map

if TYPE_CHECKING:
    from jinja2 import Environment

PaperName = Literal["a6", "a5", "a4", "letter"]
"""What a card is printed on, upright."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, and how much of what goes on it."""

    width_mm: float
    height_mm: float
    preset_em_mm: float
    """Size of the letters of a preset's card: the larger the sheet, the further it is read from."""
    list_em_mm: float
    """Size of the letters of a drum's card and of a chart, which hold more on a larger sheet."""
    presets: int
    """Most presets on the card of a drum."""
    states: int
    """Lines of a chart to pencil in."""
    concert_em_mm: tuple[float, float]
    """Least and largest size of the letters of a concert's card."""

    @property
    def margin_mm(self) -> float:
        """Round what is written."""
        return self.width_mm * 0.045

    @property
    def code_mm(self) -> float:
        """Side of a QR code."""
        return self.width_mm * 0.24


PAPERS: dict[PaperName, Paper] = {
    "a6": Paper(105, 148, 2.75, 2.6, 4, 8, (2.5, 3.2)),
    "a5": Paper(148, 210, 3.9, 3.5, 7, 12, (3.0, 4.5)),
    "a4": Paper(210, 297, 5.5, 4.8, 9, 15, (3.6, 6.0)),
    "letter": Paper(215.9, 279.4, 5.2, 4.6, 8, 14, (3.6, 6.0)),
}
"""The sheets: ISO 216, and ANSI letter (8½ × 11 in)."""

_ACROSS, _UP, _FEW = 5, 5, 3
"""Most columns and rows of the map on a page, and where the turns are finer than a sixteenth."""

_LONG = 8
"""Turns in more letters than this take two lines of the map."""


def card_page(card: Card, *, paper: PaperName = "a6", qr: bool = False) -> str:
    """Return a card as the text of an HTML file.

    Args:
        card: what stands on it.
        paper: the sheet, upright.
        qr: whether its essentials stand on it as a QR code too.

    Raises:
        BadValue: a QR code is asked for and the package that makes it is not installed.
    """
    sheet = PAPERS[paper]
    values: dict[str, object] = {
        "card": card,
        "paper": sheet,
        "qr": code_of(essentials(card)) if qr else None,
        "em_mm": sheet.preset_em_mm if isinstance(card, CardPreset) else sheet.list_em_mm,
    }
    if isinstance(card, CardPreset):
        name = "preset.html"
        grid = None if card.map is None else _grid(card.map.map)
        values |= {"grid": grid, "further": "" if grid is None else more_words(grid.more)}
    elif isinstance(card, CardDrum):
        name = "drum.html"
        values |= {"most": _most_presets(card, sheet), "left": ", ".join(left_out(card, paper=paper))}
        # Few presets stand in larger letters: there is room for them.
        values["few"] = len(card.presets) <= sheet.presets // 2
    elif isinstance(card, CardConcert):
        name = "concert.html"
        page = fitted(card, _room(sheet, qr=qr))
        values |= {"page": page, "shows": page.shows, "em_mm": f"{page.em_mm:.3f}"}
        values |= {
            "careful": careful,
            "more_of": more_of,
            "orders_of": orders_of,
            "on_paper": on_paper,
            "PLAYED_SHARE": PLAYED_SHARE,
        }
    else:
        name = "blank.html"
        values |= {"verdict": VERDICT, "turned": TURNED}
    return _environment().get_template(name).render(values) + "\n"


def left_out(card: Card, *, paper: PaperName, qr: bool = False) -> tuple[str, ...]:
    """Return what of a card does not stand on its page for want of room, in words; empty where all does."""
    sheet = PAPERS[paper]
    if isinstance(card, CardConcert):
        return fitted(card, _room(sheet, qr=qr)).left_out
    more = len(card.presets) - _most_presets(card, sheet) if isinstance(card, CardDrum) else 0
    return (more_of(more, "preset"),) if more > 0 else ()


def _most_presets(card: CardDrum, sheet: Paper) -> int:
    # Remarks take the room of one.
    return sheet.presets - bool(card.remarks)


def _room(sheet: Paper, *, qr: bool) -> Room:
    # Half a millimetre of the height is left free, as on every card: rounded up it would begin a second page.
    height_mm = sheet.height_mm - 0.5 - 2 * sheet.margin_mm
    least_mm, most_mm = sheet.concert_em_mm
    code_mm = sheet.code_mm if qr else 0.0
    return Room(sheet.width_mm - 2 * sheet.margin_mm, height_mm - 0.2, most_mm, least_mm, code_mm)


def _grid(map_: Map) -> Grid:
    """Return the map in as many rows as there is room for: turns that take long words need two lines each."""
    grid = grid_of(map_, across=_ACROSS, up=_UP)
    wordy = any(len(turns) > _LONG for turns in (*grid.tops, *(turns for turns, _ in grid.rows)))
    return grid_of(map_, across=_FEW, up=_FEW) if wordy else grid


@cache
def _environment() -> "Environment":
    # Imported on use: only a page needs templates, and no other command waits for them.
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("lugbook.cards", "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_visible,
    )
    environment.filters["signed"] = signed
    environment.filters["number"] = "{:g}".format
    return environment


def _visible(value: object) -> object:
    """Return a text in one line with its control characters made visible; anything else as it is."""
    return " ".join(map(shown, value.split("\n"))) if type(value) is str else value
