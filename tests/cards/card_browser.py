"""Cards in a real browser: what is printed, and whether all of it lies where it can be read."""

import json
import os
import re
import shutil
import subprocess
from html import unescape
from pathlib import Path
from typing import Any

import pytest

BROWSER = next(
    filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None
)
"""The browser that is installed; None where there is none."""

POINT_PX = 96 / 72
"""CSS: an inch is 96 pixels, or 72 points."""

NEEDS_BROWSER = [
    pytest.mark.long,
    pytest.mark.skipif(
        BROWSER is None and "CI" not in os.environ,
        reason="Chromium, which shows and prints the cards, is not installed",
    ),
]
"""The marks of tests that look at cards in it."""

_LOOK = """
<script>
window.addEventListener('load', () => {
  const card = document.querySelector('.card'), box = card.getBoundingClientRect(), wrong = [];
  const inside = (a, b) =>
    a.left >= b.left - 0.6 && a.right <= b.right + 0.6 && a.top >= b.top - 0.6 && a.bottom <= b.bottom + 0.6;
  const walker = document.createTreeWalker(card, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (!node.data.trim()) continue;
    const clip = node.parentElement.closest('.clip');
    const cell = (clip || node.parentElement).closest(
      'td, th, li, .pair > div, .said, .map, .foot > div, .column');
    const range = document.createRange();
    range.selectNodeContents(node);
    const rects = clip ? [clip.getBoundingClientRect()] : [...range.getClientRects()];
    for (const rect of rects)
      for (const outer of [box, cell && cell.getBoundingClientRect()])
        if (outer && !inside(rect, outer)) wrong.push(node.data.trim().slice(0, 60));
  }
  for (const one of card.querySelectorAll('.whole'))
    if (one.scrollHeight > one.clientHeight + 1) wrong.push('cut: ' + one.textContent.slice(0, 60));
  for (const picture of card.querySelectorAll('svg'))
    if (!inside(picture.getBoundingClientRect(), box)) wrong.push('picture');
  const parts = [...card.children].map(one => one.getBoundingClientRect());
  parts.forEach((part, i) => { if (i && part.top < parts[i - 1].bottom - 0.6) wrong.push('part ' + i); });
  const told = document.createElement('pre');
  told.id = 'told';
  told.textContent = JSON.stringify({
    wrong, title: document.title,
    fetched: performance.getEntriesByType('resource').map(one => one.name),
    letters: Math.min(...[...card.querySelectorAll('p, td, th, li, h1, h2, .row')]
      .filter(one => one.textContent.trim()).map(one => parseFloat(getComputedStyle(one).fontSize))),
    free: parts.at(-1).top - parts.at(-2).bottom, height: box.height,
  });
  document.body.append(told);
});
</script>
"""
_POLICY = re.compile(r"<meta http-equiv=.Content-Security-Policy.*?>")


def look(page: str, folder: Path) -> dict[str, Any]:
    """Return what a browser sees: what lies outside its place, the title, what was fetched.

    The page forbids every script, so that the one that looks is let into a copy without its policy.
    """
    without, removed = _POLICY.subn("", page)
    assert removed == 1
    dom = dumped(without.replace("</body>", f"{_LOOK}</body>"), folder)
    told = re.search(r'<pre id="told">(.*?)</pre>', dom, re.DOTALL)
    assert told, dom[:2000]
    seen: dict[str, Any] = json.loads(unescape(told[1]))
    return seen


def dumped(page: str, folder: Path) -> str:
    """Return the page as the browser has it once it is loaded."""
    return _run(page, folder, "--dump-dom").decode()


def printed(page: str, folder: Path) -> bytes:
    """Return the page as the browser prints it, as PDF."""
    target = folder / "card.pdf"
    _run(page, folder, f"--print-to-pdf={target}", "--no-pdf-header-footer")
    return target.read_bytes()


def pages_of(pdf: bytes) -> list[tuple[float, float]]:
    """Return width and height of each page of a PDF in mm."""
    assert pdf.startswith(b"%PDF")
    count = len(re.findall(rb"/Type\s*/Page\b", pdf))
    boxes = re.findall(rb"/MediaBox\s*\[0 0 ([0-9.]+) ([0-9.]+)\s*\]", pdf)
    assert count == len(boxes)
    return [(float(width) * 25.4 / 72, float(height) * 25.4 / 72) for width, height in boxes]


def _run(page: str, folder: Path, *what: str) -> bytes:
    assert BROWSER is not None, "no browser: .ci/run installs Chromium"
    source = folder / "card.html"
    source.write_text(page, encoding="utf-8")
    command = [
        *(BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"),
        *("--no-first-run", "--disable-background-networking", "--disable-component-update"),
        *(f"--user-data-dir={folder / 'browser'}", "--window-size=1000,1400", *what),
    ]
    ran = subprocess.run([*command, source.as_uri()], capture_output=True, timeout=120, check=False)
    assert ran.returncode == 0, ran.stderr.decode(errors="replace")
    return ran.stdout
