"""Reading the options of one command: argparse, with every error as one plain sentence.

Only the parser of the command that was asked for is built. Abbreviated options are off, because a script that
uses one would break the day another option begins alike.
"""

import argparse
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from lugbook.errors import BadValue, ExitCode
from lugbook.plain import shown

if TYPE_CHECKING:
    from lugbook.cli.output import Output
    from lugbook.desk import Desk

LONGEST_ECHO = 60
"""Characters of a wrong word that an error repeats."""

Arguments = argparse.Namespace
"""The options of one command, as they were typed."""


class Parser(argparse.ArgumentParser):
    """A parser of one command that raises `BadValue` where argparse would print and exit."""

    def __init__(self, command: str, *, after: str, about: str, library: str | None) -> None:
        super().__init__(
            prog=f"lugbook {command}",
            usage=f"lugbook {command} {after} [options]".replace("  ", " "),
            description=f"{about[:1].upper()}{about[1:]}.",
            allow_abbrev=False,
            add_help=False,
        )
        self._command = command
        self._options: list[str] = []
        self.add_argument("-h", "--help", action="help", help="print this")
        self.add_argument("--library", metavar="DIR", default=library, help="the library's folder")

    def add_argument(self, *names: str, **settings: Any) -> argparse.Action:  # noqa: ANN401 -- handed on to argparse as it is
        """Add an argument as argparse does, and remember how its option is written."""
        action = super().add_argument(*names, **settings)
        self._options += action.option_strings
        return action

    def read(self, words: Sequence[str]) -> Arguments:
        """Return the options that *words* name.

        Raises:
            BadValue: an option is not known, a value is missing or there is one too many.
        """
        self._refuse_unknown(words)
        arguments, left = self.parse_known_args(words)
        if left:
            raise BadValue(f"{cut(left[0])} is one word too many for {self.prog}.", hint=self._see())
        return arguments

    def error(self, message: str) -> NoReturn:
        """Raise what argparse says as one sentence."""
        sentence = f"{message[:1].upper()}{message[1:]}".rstrip(".")
        raise BadValue(shown(f"{sentence}."), hint=self._see())

    def _refuse_unknown(self, words: Sequence[str]) -> None:
        for word in words:
            if word == "--":
                return
            name = word.partition("=")[0]
            if name.startswith("--") and " " not in name and name not in self._options:
                raise unknown("option", name, self._options, of=self.prog, see=self._see())

    def _see(self) -> str:
        return f"`{self.prog} --help` tells more."


class Deed(NamedTuple):
    """What a command takes and what it does."""

    options: Callable[[Parser], object]
    """Adds the command's arguments to its parser."""
    run: "Callable[[Arguments, Desk, Output], ExitCode]"
    """Does it, and says what came of it."""
    needs_library: Callable[[Arguments], bool] = lambda _: True
    """Whether there must be a library already."""


def unknown(kind: str, word: str, known: Sequence[str], *, of: str, see: str = "") -> BadValue:
    """Return the error for a *word* that is none of *known*, with the nearest of them.

    Args:
        kind: what it should be: a command, an option.
        word: what was typed.
        known: what there is.
        of: whose.
        see: what to say where nothing is near.
    """
    # Imported on use: it is needed after a slip of the pen alone.
    import difflib

    near = difflib.get_close_matches(word, known, n=3, cutoff=0.5)
    hint = f"Nearest: {', '.join(near)}." if near else see or f"There are {', '.join(known)}."
    return BadValue(f"{of} has no {kind} {cut(word)}.", hint=hint)


def cut(text: str) -> str:
    """Return *text* in quotes as an error repeats it: safe to show, and short."""
    short = text if len(text) <= LONGEST_ECHO else f"{text[:LONGEST_ECHO]}…"
    return f"'{shown(short)}'"
