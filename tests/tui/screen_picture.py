"""Draws a screen for the README: ``python tests/tui/screen_picture.py LIBRARY WHAT FILE.svg KEYS…``.

WHAT is a preset, ``drum/preset``, which is taken to the bench, or a concert, which stands still in time.
Each of KEYS is typed letter by letter, unless it is the name of a key in angle brackets: ``A3-8 '<enter>'``.
The library is copied first, so that nothing is written to it. The picture is a vector drawing; every run of
signs is placed by itself, so that programs which pull blanks together show it as browsers do, and it fetches
no font: the reader's own fixed-width one serves.
"""

import asyncio
import re
import shutil
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from lugbook.desk import open_desk
from lugbook.desk.desk import local_now
from lugbook.tui.app import LugbookApp
from lugbook.tui.bench import BenchScreen
from lugbook.tui.concert import ConcertScreen

SIZE = (80, 24)
COLUMN = 12.2
"""Width of a column in the drawing."""

_TEXT = re.compile(
    r'<text (class="[^"]*") x="([\d.]+)" (y="[\d.]+") textLength="[\d.]+" ([^>]*)>([^<]*)</text>'
)
_FETCHED = re.compile(r"@font-face \{[^}]*\}\s*|<!--.*?-->\s*", re.DOTALL)
"""Fonts that would be loaded from elsewhere, and the remark of the drawing library."""

_SIGN = re.compile(r"&#?\w+;|.")
_BLANK = "&#160;"
_KEYS = {" ": "space", "+": "plus", "-": "minus", ".": "full_stop", "/": "slash"}


EVENING = datetime(2026, 12, 5, 19, 30, tzinfo=UTC)
"""When the concert of the picture is."""


async def picture(library: Path, what: str, keys: list[str]) -> str:
    """Return the drawing of the bench or of a concert after *keys* were pressed."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "library"
        shutil.copytree(library, copy)
        desk = open_desk(
            library=str(copy),
            environment={"LUGBOOK_CONFIG": str(Path(folder) / "config")},
            clock=local_now if "/" in what else lambda: EVENING,
        )
        app = LugbookApp(desk)
        async with app.run_test(size=SIZE) as pilot:
            screen = (BenchScreen if "/" in what else ConcertScreen)(desk, what, keys=app.keys)
            await app.push_screen(screen)
            for key in ["", *keys]:
                one_key = key.startswith("<") and key.endswith(">")
                await pilot.press(*([key[1:-1]] if one_key else [_KEYS.get(sign, sign) for sign in key]))
                await pilot.pause()
                await app.workers.wait_for_complete()
                await pilot.pause()
                while isinstance(screen, BenchScreen) and not screen.settled:
                    await app.workers.wait_for_complete()
                    await pilot.pause()
            await pilot.pause()
            return steadied(app.export_screenshot(title="Lugbook"))


def steadied(drawing: str) -> str:
    """Return the *drawing* with each run of signs between blanks placed by itself."""

    def placed(found: re.Match[str]) -> str:
        style, x, y, rest, text = found.groups()
        signs = _SIGN.findall(text)
        runs, start = [], 0
        for end in (*(index for index, sign in enumerate(signs) if sign == _BLANK), len(signs)):
            if end > start:
                left, wide = float(x) + COLUMN * start, COLUMN * (end - start)
                run = "".join(signs[start:end])
                runs.append(f'<text {style} x="{left:.1f}" {y} textLength="{wide:.1f}" {rest}>{run}</text>')
            start = end + 1
        return "".join(runs)

    own = _FETCHED.sub("", drawing).replace("Fira Code", "monospace")
    return _TEXT.sub(placed, own)


if __name__ == "__main__":
    library_folder, shown, target, *typed = sys.argv[1:]
    Path(target).write_text(asyncio.run(picture(Path(library_folder), shown, typed)), encoding="utf-8")
