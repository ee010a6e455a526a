"""The page that shows how a drum's heads answer to turns: cents a quarter turn, the line, the drift."""

from lugbook.cards.plot import DRIFT_WORDS, SIGNS, drifted, plotted
from lugbook.desk import Desk
from lugbook.desk.answering import DrumAnswer
from lugbook.plain import aligned
from lugbook.records import SIDES
from lugbook.tui.pages import LinesScreen

_WIDEST = 100
"""A graph of more columns shows nothing more."""


def response_page(desk: Desk, found: DrumAnswer, *, keys: dict[str, str]) -> LinesScreen:
    """Return the page."""
    title = f"Response   {found.name}"
    return LinesScreen(desk, title=title, lines=lambda width: response_lines(found, width=width), keys=keys)


def response_lines(found: DrumAnswer, *, width: int) -> tuple[str, ...]:
    """Return table, graphs and remarks in lines for *width* columns."""
    graph = min(width, _WIDEST)
    lines = list(aligned(found.rows()))
    if max(map(len, lines)) > width:
        # Narrow windows get a line for each number instead of the table.
        (_, *names), *rows = found.rows()
        lines = [
            line
            for where, *said in rows
            for line in (where, *(f"  {name}: {one}" for name, one in zip(names, said, strict=True) if one))
        ]
    for side in SIDES:
        head = found.head(side)
        lines += ["", f"{side.capitalize()} head: {head.basis}", SIGNS]
        lines += plotted(head.curve, width=graph, a4_hz=found.a4_hz, limit_turns=head.turns_max)
    lines += ["", DRIFT_WORDS]
    lines += drifted([found.top.curve, found.bottom.curve], day=found.day, width=graph)
    remarks = (*found.remarks, *found.top.remarks, *found.bottom.remarks)
    return (*lines, *(("", *remarks) if remarks else ()))
