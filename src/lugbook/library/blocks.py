"""The bytes of a log file cut into the blocks of its entries, before anything in them is read.

A damaged block hides no other, and one that was cut off while being written is known: its ``id``, which comes
last, is missing.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from lugbook.library.encoding import HEADER, LOG_HEAD
from lugbook.library.problems import Unreadable
from lugbook.library.reading import keys_of

_HEADER_LINE = re.compile(
    rb"^(?:\xef\xbb\xbf)?[ \t]*\[\[[ \t]*entry[ \t]*\]\][ \t]*(?:#.*)?\r?$", re.MULTILINE
)
"""The line before each entry; by hand it may have blanks, a remark, or a byte order mark before it."""

_LAST_LINE = re.compile(rb'^id[ \t]*=[ \t]*"[^"\r\n]*"[ \t]*\r?\n(?=\r?\n)', re.MULTILINE)
"""The end of an entry as it is written: its id, then a blank line."""

_ID_LINE = re.compile(rb'id[ \t]*=[ \t]*"[^"]*"[ \t]*')
"""An id that was written whole."""


@dataclass(frozen=True)
class Block:
    """One block of a log file: what should be one entry."""

    start: int
    """Where its header begins in the file, in bytes."""
    line: int
    """The number of its header's line."""
    data: bytes
    """What follows the header, from the end of its line on."""
    headless: bool = False
    """Whether the header is missing."""


def split(data: bytes) -> tuple[bytes, list[Block]]:
    """Return what stands before the first header, and the blocks."""
    headers = [(match.start(), match.end()) for match in _HEADER_LINE.finditer(data)]
    last_line = data.rfind(b"\n") + 1
    if 0 < len(data) - last_line < len(HEADER) and HEADER.startswith(data[last_line:]):
        headers.append((last_line, len(data)))  # a header that was cut off
    if not headers:
        return data, []
    ends = [start for start, _ in headers[1:]] + [len(data)]
    blocks, line, counted = [], 1, 0
    for (start, after), end in zip(headers, ends, strict=True):
        line += data.count(b"\n", counted, start)
        counted = start
        blocks += _whole_and_rest(Block(start, line, data[after:end]), end=end)
    return data[: headers[0][0]], blocks


def _whole_and_rest(block: Block, *, end: int) -> list[Block]:
    """Part *block* after its id where only that makes it readable: the header of the next was damaged."""
    last = _LAST_LINE.search(block.data)
    if last is None or not block.data[last.end() :].strip() or _is_toml(block.data):
        return [block]
    whole, rest = block.data[: last.end()], block.data[last.end() :]
    line = block.line + whole.count(b"\n")
    return [Block(block.start, block.line, whole), Block(end - len(rest), line, rest, headless=True)]


def good_length(head: bytes, blocks: list[Block], data: bytes) -> int:
    """Return how many bytes of the file *data* were written whole."""
    if blocks:
        return blocks[-1].start if _is_torn(blocks[-1].data) else len(data)
    return 0 if not head.endswith(b"\n") and not _is_toml(head) else len(data)


def _is_torn(block: bytes) -> bool:
    """Tell whether a last block lacks its end; one that was damaged by hand still ends in its id."""
    lines = block.rstrip().splitlines()
    if lines and _ID_LINE.fullmatch(lines[-1].strip()):
        return False
    try:
        return "id" not in keys_of(block, path=Path())
    except Unreadable:
        return True


def _is_toml(data: bytes) -> bool:
    try:
        keys_of(data, path=Path())
    except Unreadable:
        return False
    return True


def before(data: bytes) -> bytes:
    """Return what has to stand between the *data* of a file and a new block."""
    if not data.strip():
        return LOG_HEAD
    if data.endswith((b"\n\n", b"\n\r\n")):
        return b""
    return b"\n" if data.endswith(b"\n") else b"\n\n"
