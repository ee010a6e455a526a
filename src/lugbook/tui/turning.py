"""The turning face of the bench: which head, which way, how far, which rod comes next, what to heed."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.reactive import reactive
from textual.style import Style
from textual.widgets import Static

from lugbook.desk.bench import Bench
from lugbook.desk.rounds import OpenRound
from lugbook.pitch import in_cents
from lugbook.plain import shown
from lugbook.records import NoteNames
from lugbook.tui.figures import pitch
from lugbook.tui.heard import cautions_first, head_words
from lugbook.tui.tall import LOW, TALL, amount, drawn

DONE, NEXT, LEFT = "■", "▶", "□"
"""The sign before a rod that is done, before the next, and before one that is left."""

_WORDS_LEFT_OUT = ("a hair and a half", "half a hair", "a hair")
"""Amounts that are words; they are drawn in low letters."""


class RodRow(Static):
    """The rods in the order to turn them; a click on one says that the round was stopped after it."""

    bench: reactive[Bench | None] = reactive(None, layout=True)

    class Named(Message):
        """The player clicked on a rod."""

        def __init__(self, rod: int) -> None:
            super().__init__()
            self.rod = rod

    def __init__(self, *, widget_id: str) -> None:
        super().__init__(markup=False, id=widget_id)

    def render(self) -> Content:
        """Return the row; the rod is kept in the style of its own text, so that a click finds it."""
        if self.bench is None or self.bench.round is None:
            return Content("")
        parts = []
        for sign, rod in rods_in_signs(self.bench.round):
            style = "bold" if sign == NEXT else "dim" if sign == DONE else ""
            text = Content.styled(f"{sign}{rod}", style) if style else Content(f"{sign}{rod}")
            parts.append(text.stylize(Style.from_meta({"rod": rod})))
        return Content("  " if self.size.width >= 6 * len(parts) else " ").join(parts)

    def on_click(self, event: Click) -> None:
        """Name the rod under the pointer."""
        rod = event.style.meta.get("rod")
        if isinstance(rod, int):
            event.stop()
            self.post_message(self.Named(rod))


class TallTurn(Static):
    """Head and way in low letters, then the amount and the next rod, tall."""

    bench: reactive[Bench | None] = reactive(None, layout=True)

    def __init__(self, *, widget_id: str) -> None:
        super().__init__(markup=False, id=widget_id)

    def render(self) -> Content:
        """Return the tall signs."""
        if self.bench is None or self.bench.round is None:
            return Content("")
        return Content(turn_block(self.bench.round, width=self.size.width))


class Turning(Vertical):
    """The whole face."""

    bench: reactive[Bench | None] = reactive(None)

    def __init__(self, *, language: NoteNames, widget_id: str) -> None:
        super().__init__(id=widget_id)
        self.language = language

    def compose(self) -> ComposeResult:
        """Compose what must be seen first, the tall signs, the row of rods and the small lines."""
        yield Static(id="careful", markup=False)
        yield TallTurn(widget_id="turn").data_bind(Turning.bench)
        yield RodRow(widget_id="rods").data_bind(Turning.bench)
        yield Static(id="progress", markup=False)
        yield Static(id="cautions", markup=False)

    def watch_bench(self, bench: Bench | None) -> None:
        """Show the small lines."""
        if bench is None or bench.round is None or not self.is_mounted:
            return
        first = self.query_one("#careful", Static)
        first.update(Content("\n".join(careful(bench.round))))
        first.display = bool(careful(bench.round))
        self.query_one("#progress", Static).update(
            Content(progress(bench, bench.round, language=self.language))
        )
        self.query_one("#cautions", Static).update(
            Content("\n".join(cautions(bench, bench.round, language=self.language)))
        )


def rods_in_signs(at_hand: OpenRound) -> tuple[tuple[str, int], ...]:
    """Return each rod in order with its sign."""
    return tuple(
        (DONE if rod in at_hand.turned else NEXT if rod == at_hand.next_rod else LEFT, rod)
        for rod, _ in at_hand.moves
    )


def way_of(at_hand: OpenRound) -> str:
    """Return ``tighten`` or ``loosen``."""
    return "tighten" if at_hand.amount_now > 0 else "loosen"


def careful(at_hand: OpenRound) -> tuple[str, ...]:
    """Return what must be seen before a rod is turned, in a few words each."""
    if at_hand.taking_back:
        return ("◀ Taking back, the last rod first.",)
    return tuple(f"! {caution.short}" for caution in at_hand.cautions)


def turn_block(at_hand: OpenRound, *, width: int) -> str:
    """Return head and way in low letters, a blank row, and seven rows with amount and next rod."""
    head, way = at_hand.part.removesuffix(" head").upper(), way_of(at_hand).upper()
    one_line = drawn(f"{head} {way}", signs=LOW)
    if one_line.width <= width:
        heading = (*one_line.rows, "")
    else:
        heading = (*drawn(head, signs=LOW).rows, "", *drawn(way, signs=LOW).rows)
    return "\n".join((*heading, *_amount_and_rod(at_hand, width=width)))


def progress(bench: Bench, at_hand: OpenRound, *, language: NoteNames) -> str:
    """Return how many rods are done, and the cents, small."""
    if bench.comparison is None:
        return at_hand.progress()
    return f"{at_hand.progress()}\n{head_words(bench, at_hand.side, language=language)}"


def cautions(bench: Bench, at_hand: OpenRound, *, language: NoteNames) -> tuple[str, ...]:
    """Return the desk's steps for this head, what to expect, and every caution."""
    if at_hand.taking_back:
        return tuple(map(shown, (*bench.remarks, *at_hand.way_back())))
    lines = [*bench.remarks, *(caution.sentence for caution in at_hand.cautions), *at_hand.steps]
    if bench.retuning is not None:
        expect = bench.retuning.expect
        near = None if expect is None else expect.near(at_hand.side)
        if expect is not None and near is not None:
            note = pitch(near.note, near.cents, language=language)
            lines.append(f"Expect about {note}, give or take {in_cents(expect.sd_cents)}.")
        others = {caution.sentence for caution in bench.retuning.cautions if caution not in at_hand.cautions}
        lines += [remark for remark in bench.retuning.remarks if remark not in others]
    return cautions_first(lines)


def amount_block(at_hand: OpenRound) -> tuple[str, ...]:
    """Return seven rows with the turns for the next rod, tall; words without a number in low letters."""
    number, words = _number_and_words(at_hand)
    if words and not number:
        first, _, last = words.upper().rpartition(" ")
        return (*drawn(first, signs=LOW).rows, "", *drawn(last, signs=LOW).rows)
    sign = "+" if at_hand.amount_now > 0 else "−"
    return amount(f"{sign}{number}").rows


def below_amount(at_hand: OpenRound) -> str:
    """Return what is not drawn of the turns and stands below them, such as ``and a hair``."""
    number, words = _number_and_words(at_hand)
    return f"and {words}" if words and number else ""


def rod_block(at_hand: OpenRound, *, caption: str = "next rod") -> tuple[str, ...]:
    """Return seven rows with a caption and the next rod, tall."""
    rod = "" if at_hand.next_rod is None else str(at_hand.next_rod)
    return (caption, *drawn(rod, signs=TALL).rows, "")


def beside(left: Sequence[str], right: Sequence[str], *, width: int) -> tuple[str, ...]:
    """Return two blocks of as many rows side by side, with a gap of 2 to 10 columns."""
    indent = max(len(row) for row in left)
    gap = max(2, min(10, width - indent - max(len(row) for row in right)))
    return tuple(f"{one:<{indent + gap}}{other}".rstrip() for one, other in zip(left, right, strict=True))


def _amount_and_rod(at_hand: OpenRound, *, width: int) -> tuple[str, ...]:
    rows = beside(amount_block(at_hand), rod_block(at_hand), width=width)
    return (*rows, below) if (below := below_amount(at_hand)) else rows


def _number_and_words(at_hand: OpenRound) -> tuple[str, str]:
    words = next((words for words in _WORDS_LEFT_OUT if at_hand.shown.endswith(words)), "")
    return at_hand.shown.removesuffix(words).removesuffix(" and "), words
