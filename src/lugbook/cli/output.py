"""The only place of the command line that writes: data to stdout, words to stderr, all of it safe to show.

Both are collected and written at the end, the data first, so that an answer is never mixed up with words and
a command that fails half-way prints no half answer.
"""

import json
import math
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from typing import TextIO

from lugbook.plain import aligned, shown

Json = Mapping[str, object]
"""What a command prints with --json."""


class Output:
    """What one command says.

    Args:
        stdout: where data goes.
        stderr: where words go.
        stdin: where a question is answered; None where nobody can.
    """

    def __init__(self, stdout: TextIO, stderr: TextIO, stdin: TextIO | None = None) -> None:
        self._stdout, self._stderr, self._stdin = stdout, stderr, stdin
        self._data: list[str] = []
        self._words: list[str] = []
        self._passing = 0

    def data(self, *lines: str) -> None:
        """Add lines to the answer; control characters are made visible."""
        self._data += [shown(line) for line in lines]

    def table(self, rows: Iterable[Sequence[str]]) -> None:
        """Add rows to the answer, their columns aligned."""
        self.data(*aligned(rows))

    def json(self, value: Json) -> None:
        """Add *value* to the answer as JSON; a number that is not finite becomes null."""
        text = json.dumps(_finite(value), ensure_ascii=False, allow_nan=False, indent=2)
        self._data.append("".join(one if one.isprintable() or one == "\n" else _escaped(one) for one in text))

    def csv(self, rows: Iterable[Sequence[str]]) -> None:
        """Add *rows* to the answer as CSV of RFC 4180; control characters are made visible."""
        # Imported on use: one command of many needs them.
        import csv
        import io
        import os

        text = io.StringIO(newline="")
        csv.writer(text).writerows([shown(cell) for cell in row] for row in rows)
        # Lines end with CR LF; the LF is written between the lines of the answer, on Windows with its CR.
        end = "" if os.linesep == "\r\n" else "\r"
        self._data += [f"{line}{end}" for line in text.getvalue().split("\r\n")[:-1]]

    def passing(self, line: str) -> None:
        """Show a line on a terminal until something else is said; nowhere else.

        Like a question it is written at once: it tells that something is under way.
        """
        if not self._stderr.isatty():
            return
        # What is shorter than the line before it leaves nothing of that standing.
        text = shown(line).ljust(self._passing)
        self._passing = len(text.rstrip())
        # A terminal that went away is found out when the answer is written.
        with suppress(OSError):
            self._stderr.write(f"\r{text}" if line else f"\r{text}\r")
            self._stderr.flush()

    def asked(self, question: str) -> bool | None:
        """Write what was collected, ask a question, and return whether the answer is yes.

        Return None, with nothing written, where nobody is there to answer: all three streams have to be
        terminals, or the player would not see what the question is about.
        """
        if self._stdin is None:
            return None
        if not all(stream.isatty() for stream in (self._stdin, self._stdout, self._stderr)):
            return None
        self.flush()
        self._stderr.write(f"{shown(question)} [y/N] ")
        self._stderr.flush()
        answer = ""
        try:
            # What is no text is no yes.
            with suppress(UnicodeDecodeError):
                answer = self._stdin.readline()
        finally:
            if not answer.endswith("\n"):
                self._stderr.write("\n")
        return answer.strip().casefold() in ("y", "yes")

    def words(self, *lines: str) -> None:
        """Add lines for the player, which are no part of the answer."""
        self._words += [shown(line) for line in lines]

    def forget_data(self) -> None:
        """Drop the answer: the command failed."""
        self._data.clear()

    def flush(self) -> None:
        """Write everything that was collected."""
        if self._passing:
            self.passing("")
        for stream, lines in ((self._stdout, self._data), (self._stderr, self._words)):
            if lines:
                stream.write("\n".join(lines) + "\n")
                lines.clear()
            stream.flush()


class ProgressLine:
    """Shows how much of something long is done, once that takes longer than a second.

    Args:
        out: where it is shown.
        doing: what is under way, in a word.
        clock: seconds, from any start.
    """

    def __init__(
        self, out: Output, *, doing: str = "Listening", clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._out, self._doing, self._clock = out, doing, clock
        self._next = clock() + _PATIENCE_S

    def __call__(self, share: float) -> None:
        """Take notice that *share* is done, from 0 to 1."""
        now = self._clock()
        if now >= self._next:
            self._next = now + _PAUSE_S
            self._out.passing(f"{self._doing}: {math.floor(100 * min(share, 1.0))} % (Ctrl+C stops)")


_PATIENCE_S, _PAUSE_S = 1.0, 0.1
"""How long nothing is shown, and how often the line changes after that."""


def _finite(value: object) -> object:
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, Mapping):
        return {key: _finite(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(one) for one in value]
    return value


def _escaped(character: str) -> str:
    """Return *character* as JSON writes it in ASCII: exact, and nothing a terminal acts on."""
    return json.dumps(character)[1:-1] if character != "\x7f" else "\\u007f"
