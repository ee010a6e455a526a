"""What records share: telling what was found, showing one, putting it away, bringing it back."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol, TypeVar

from lugbook.cli.parser import Arguments, Deed, Parser
from lugbook.cli.values import add_json
from lugbook.errors import ExitCode

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.cli.shapes import Shape
    from lugbook.desk import Desk
    from lugbook.library import Problem
    from lugbook.records import Record

Which = Callable[[Parser], None]
"""Adds the arguments that name one record to a parser."""


class WithProblems(Protocol):
    """What was found, and what could not be read."""

    @property
    def problems(self) -> "Sequence[Problem]":
        """What could not be read."""


F = TypeVar("F", bound=WithProblems)


def tell(
    found: F,
    arguments: Arguments,
    out: "Output",
    *,
    shape: "Callable[[F], Shape]",
    text: "Callable[[F, Output], None]",
    remarks: Sequence[str] = (),
) -> None:
    """Tell what was found.

    Args:
        found: what is told.
        arguments: say whether it is told as JSON.
        out: where it is told.
        shape: returns its JSON.
        text: tells it in rows.
        remarks: said before what could not be read.
    """
    if arguments.json:
        out.json(shape(found))
    else:
        text(found, out)
    out.words(*remarks, *(problem.sentence() for problem in found.problems))


def showing(which: Which, get: "Callable[[Arguments, Desk], tuple[Record, dict[str, str]]]") -> Deed:
    """Return the deed that shows one record.

    Args:
        which: names the record.
        get: returns it, and what stands above its own rows.
    """

    def options(parser: Parser) -> None:
        which(parser)
        add_json(parser)

    def run(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
        from lugbook.cli import texts

        record, above = get(arguments, desk)
        if arguments.json:
            out.json(record.model_dump(mode="json"))
        else:
            texts.record(record, out, **above)
        return ExitCode.FINE

    return Deed(options, run)


def removing(
    noun: str, which: Which, names: Sequence[str], remove: "Callable[[Desk, Sequence[str]], Sequence[str]]"
) -> Deed:
    """Return the deed that puts one record away.

    Args:
        noun: what it is, as one types it.
        which: names the record.
        names: the arguments that name it, the last one alone being its own id.
        remove: puts it away, and returns what comes of it in sentences.
    """

    def run(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
        typed = [getattr(arguments, name) for name in names]
        said = remove(desk, typed)
        out.data(typed[-1])
        out.words(f"Removed; `lugbook {noun} restore {' '.join(typed)}` brings it back.", *said)
        return ExitCode.FINE

    return Deed(which, run)


def restoring(which: Which, restore: "Callable[[Arguments, Desk], str]", *, back: str) -> Deed:
    """Return the deed that brings one record back.

    Args:
        which: names the record.
        restore: brings it back and returns its id.
        back: says that it is back.
    """

    def run(arguments: Arguments, desk: "Desk", out: "Output") -> ExitCode:
        out.data(restore(arguments, desk))
        out.words(back)
        return ExitCode.FINE

    return Deed(which, run)
