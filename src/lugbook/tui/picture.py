"""The picture of a recording that was read: its level with the taps, and the lines to choose from."""

from collections.abc import Callable
from typing import ClassVar

from rich.cells import set_cell_size
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from lugbook.desk import Desk
from lugbook.desk.asking import Taken
from lugbook.desk.bench import Bench
from lugbook.desk.choosing import choose, lines_heard
from lugbook.desk.comparing import HeadResult
from lugbook.desk.listening import Heard
from lugbook.heads.gathering import Line, foremost
from lugbook.heads.hearing import Hearing
from lugbook.heads.wording import facts, mode_words, taps_words
from lugbook.pitch import in_cents, nearest, signed
from lugbook.plain import shown
from lugbook.records import HeadSide, NoteNames
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.figures import cents_in_words, hertz, pitch
from lugbook.tui.keys import bindings
from lugbook.tui.waves import LEFT_OUT, USED, waves

MOST_LINES = 16
"""Lines that are listed; a drum has no more that a player could mean."""

_WIDE = 70
"""From this many columns on, each line has all its numbers."""

_READING, _OTHER, _CURSOR = "●", "○", "›"
"""The signs before the line that is the reading, before one that may be meant instead, and at the cursor."""


class PictureScreen(DeedScreen):
    """What was heard of one head."""

    PLACES = ("picture",)
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(*PLACES)]

    def __init__(
        self,
        desk: Desk,
        bench: Bench,
        side: HeadSide,
        *,
        taken: Taken,
        heard: Heard,
        then: Callable[[Bench], None],
        keys: dict[str, str],
    ) -> None:
        super().__init__(desk, place="picture", keys=keys)
        self.bench = bench
        self.side = side
        self.taken = taken
        self.heard = heard
        self.language = desk.user.note_names
        self.then = then
        self.lines = tuple(reversed(foremost(lines_heard(taken), most=MOST_LINES)))
        self._cursor = -1

    def compose(self) -> ComposeResult:
        """Compose the words, the level, the lines, and the lines below."""
        title = f"Picture   {self.bench.drum.name} · {self.side} head"
        yield Static(Content(shown(title)), id="title", markup=False)
        yield Static(id="summary", markup=False)
        yield Static(id="level", markup=False)
        yield Static(id="columns", markup=False)
        yield OptionList(id="lines", markup=False, compact=True)
        yield self.said_line()
        yield self.key_line()

    def on_mount(self) -> None:
        """Show the lines, the cursor on the reading."""
        super().on_mount()
        self._show()
        lines = self.query_one(OptionList)
        lines.highlighted = next(
            place for place, line in enumerate(self.lines) if is_reading(line, self.taken)
        )
        lines.focus()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._show()

    def action_back(self) -> None:
        """Go back to the bench."""
        self.dismiss()

    def action_choose(self) -> None:
        """Take the line under the cursor for the pitch."""
        line = self.lines[self.query_one(OptionList).highlighted or 0]
        if is_reading(line, self.taken):
            self.say("This is the reading already: go to another line with the arrow keys.")
            return
        self.ask("writing", lambda: choose(self.desk, self.bench, self.side, line.hz), self._chosen)

    def _chosen(self, bench: Bench) -> None:
        self.bench, self.taken = bench, bench.taken(self.side) or self.taken
        self._show()
        self.say("Kept: this is the line that you hear on this head.")
        self.then(bench)

    @on(OptionList.OptionSelected)
    def _option_selected(self) -> None:
        self.action_choose()

    @on(OptionList.OptionHighlighted)
    def _cursor_moved(self, event: OptionList.OptionHighlighted) -> None:
        lines = self.query_one(OptionList)
        for place in {self._cursor, event.option_index} & set(range(len(self.lines))):
            lines.replace_option_prompt_at_index(place, self._row(place, cursor=event.option_index))
        self._cursor = event.option_index

    def _show(self) -> None:
        width = max(self.size.width - 2, 20)
        comparison = self.bench.comparison
        result = comparison.head(self.side) if comparison is not None else None
        words = summary(self.taken, self.heard, result, language=self.language)
        self.query_one("#summary", Static).update(Content(words))
        # The lines are what one chooses from: a low window leaves the level fewer rows.
        rows = min(max((self.size.height - 16) // 2, 2), 6)
        drawn = waves(self.heard.levels, self.heard.hearing.taps, width=width, rows=rows)
        self.query_one("#level", Static).update(Content("\n".join(drawn)))
        self.query_one("#columns", Static).update(Content(heading(width)))
        lines = self.query_one(OptionList)
        before = lines.highlighted
        lines.set_options(Option(self._row(place, cursor=before)) for place in range(len(self.lines)))
        lines.highlighted = before

    def _row(self, place: int, *, cursor: int | None) -> Content:
        width = max(self.size.width - 2, 20)
        text = line_text(self.lines[place], self.taken, self.heard, width=width, language=self.language)
        return Content((_CURSOR if place == cursor else " ") + text)


def picture_of(
    desk: Desk, bench: Bench, side: HeadSide, *, then: Callable[[Bench], None], keys: dict[str, str]
) -> PictureScreen | None:
    """Return the page for one head, or None where it was not read from a recording just now.

    Args:
        desk: the desk.
        bench: the state at the drum.
        side: which head.
        then: takes the bench after a choice.
        keys: the key of every command.
    """
    taken = bench.taken(side)
    if taken is None or taken.heard is None:
        return None
    return PictureScreen(desk, bench, side, taken=taken, heard=taken.heard, then=then, keys=keys)


def was_heard(taken: Taken | None) -> bool:
    """Tell whether a reading is from a recording that was listened to just now."""
    return taken is not None and taken.heard is not None


def is_reading(line: Line, taken: Taken) -> bool:
    """Tell whether *line* is the present reading: the one chosen, else the one that was read."""
    if taken.reading.chosen:
        return taken.hz is not None and abs(line.hz - taken.hz) < _SAME_HZ
    return line.role == "reading"


_SAME_HZ = 0.001
"""A pitch is written down with three decimals."""


def summary(taken: Taken, heard: Heard, result: HeadResult | None, *, language: NoteNames) -> str:
    """Return what was read, in words."""
    first = [pitch(taken.note, taken.cents, language=language), hertz(taken.hz)]
    first.append(f"± {in_cents(taken.reading.sd_cents)}")
    if result is not None:
        first.append(cents_in_words(result.off_cents, result.word))
    if taken.reading.chosen:
        first.append("chosen by you")
    said = [f"{heading_} {fact}" for heading_, fact in facts(heard.hearing)]
    return "\n".join(("   ".join(first), _taps(heard.hearing), " · ".join(said)))


def _taps(hearing: Hearing) -> str:
    left = len(hearing.taps) - sum(tap.used for tap in hearing.taps)
    taps = f"{taps_words(hearing)}: {USED} used" + (f", {LEFT_OUT} left out" if left else "")
    return f"{taps}   {_READING} the reading, {_OTHER} or this"


def heading(width: int) -> str:
    """Return what stands over the columns of the lines."""
    if width < _WIDE:
        return f"   {'sounds':<14}{'note':<9}{'hertz':>7}"
    return f"   {'sounds':<21}{'note':<10}{'hertz':>8}{'level':>9}{'rings':>9}{'in taps':>10}"


def line_text(line: Line, taken: Taken, heard: Heard, *, width: int, language: NoteNames) -> str:
    """Return the row of a line: its sign, where it sounds, note, hertz, and where there is room the rest.

    Args:
        line: the line.
        taken: the reading.
        heard: what was heard.
        width: columns to use.
        language: of note names.
    """
    sign = _READING if is_reading(line, taken) else _OTHER if line.role else " "
    near = nearest(line.hz, a4_hz=taken.a4_hz, digits=0)
    name = pitch(near.note, near.cents, language=language)
    sounds = mode_words(line.mode) or "–"
    if width < _WIDE:
        return f"{sign} {set_cell_size(sounds, 14)}{set_cell_size(name, 9)}{line.hz:>7.1f}"
    if line.mode:
        sounds = f"{sounds} ({line.mode})"
    level = "" if line.level_db is None else f"{signed(line.level_db)} dB"
    rings = "" if line.t60_s is None else f"{line.t60_s:.2f} s"
    taps = f"{line.taps} of {sum(tap.used for tap in heard.hearing.taps)}" if line.taps else ""
    said = "" if not is_reading(line, taken) else "  yours" if taken.reading.chosen else "  read"
    return (
        f"{sign} {set_cell_size(sounds, 21)}{set_cell_size(name, 10)}"
        f"{line.hz:>8.1f}{level:>9}{rings:>9}{taps:>10}{said}"
    )
