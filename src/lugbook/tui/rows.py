"""The rows of the shelf: which presets stay when the player filters, and how each is written."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from rich.cells import cell_len, set_cell_size
from textual.content import Content

from lugbook.desk import Desk, shelf
from lugbook.desk.shelf import DrumRow, PresetRow
from lugbook.desk.wording import counted, folded, holds_words
from lugbook.library import Problem
from lugbook.pitch import parse_pitch
from lugbook.plain import shown
from lugbook.records import NoteNames
from lugbook.tui.figures import note_name, pitch
from lugbook.tui.keys import sign_of

_WIDE = 70
"""From this many columns on a preset takes one row, else two."""


@dataclass(frozen=True, slots=True)
class Stock:
    """All that is on the shelf."""

    drums: tuple[DrumRow, ...] = ()
    presets: tuple[PresetRow, ...] = ()
    problems: tuple[Problem, ...] = ()
    waiting: Mapping[str, str] = field(default_factory=dict)
    """The rounds that were stopped part-way, in a few words each, by the slug of their drum."""
    removed: str = ""
    """The id of the drum or preset that was removed last and can be brought back; empty without one."""
    exists: bool = True
    """Whether there is a library at all."""

    def contexts(self) -> tuple[str, ...]:
        """Return the kinds of music that presets are for, in order of the alphabet."""
        return tuple(sorted({one for row in self.presets for one in row.contexts}, key=folded))


@dataclass(frozen=True, slots=True)
class Sieve:
    """What the player wants to see."""

    words: str = ""
    """Words that must all be found."""
    context: str = ""
    """A kind of music; empty for all."""

    def keeps(self, row: PresetRow) -> bool:
        """Tell whether a preset stays: letters with and without accents count as the same."""
        text = " ".join((row.name, row.drum_name, row.drum, *row.contexts, row.words))
        return holds_words(text, self.words) and (not self.context or self.context in row.contexts)


def read_stock(desk: Desk) -> Stock:
    """Read all that is on the shelf."""
    if not desk.library.exists:
        return Stock(exists=False)
    drums, presets = shelf.drums(desk), shelf.presets(desk)
    problems = tuple(dict.fromkeys((*drums.problems, *presets.problems)))
    return Stock(
        drums=drums.rows,
        presets=presets.rows,
        problems=problems,
        waiting=shelf.waiting_rounds(desk),
        removed=shelf.last_removed(desk),
    )


def shelved(stock: Stock, sieve: Sieve) -> tuple[tuple[DrumRow | None, tuple[PresetRow, ...]], ...]:
    """Return each drum with those of its presets that stay; a drum of None could not be read.

    A drum without any preset left is shown only while nothing is filtered.
    """
    kept = [row for row in stock.presets if sieve.keeps(row)]
    known = {drum.slug for drum in stock.drums}
    filtered = bool(sieve.words.strip() or sieve.context)
    groups: list[tuple[DrumRow | None, tuple[PresetRow, ...]]] = []
    for drum in stock.drums:
        own = tuple(row for row in kept if row.drum == drum.slug)
        if own or not filtered:
            groups.append((drum, own))
    lost = tuple(row for row in kept if row.drum not in known)
    if lost:
        groups.append((None, lost))
    return tuple(groups)


def drum_text(drum: DrumRow | None, *, waiting: str = "") -> Content:
    """Return the heading of a drum, with the round that is *waiting*."""
    if drum is None:
        return Content.styled("drum that cannot be read", "bold")
    tension = "" if drum.tension == "separate" else f", {drum.tension} tension"
    left = f"   ▶ {waiting}" if waiting else ""
    return Content.styled(shown(drum.name), "bold") + Content(f"   {drum.size}{tension}{left}")


def preset_text(row: PresetRow, *, width: int, language: NoteNames, twin: bool) -> Content:
    """Return the row of a preset: name, both pitches, interval, kinds of music.

    Args:
        row: the preset.
        width: columns to use.
        language: of note names.
        twin: whether another preset of the drum has the same name, so that the slug is shown too.
    """
    name = shown(f"{row.name} ({row.preset})" if twin else row.name)
    top, bottom = (pitch_text(text, language=language) for text in (row.top, row.bottom))
    interval, contexts = shown(row.interval or ""), shown(", ".join(row.contexts))
    if width >= _WIDE:
        name_size = 18 + (width - _WIDE) // 4
        sizes = (name_size, 9, 9, 18)
        cells = map(cell, (name, top, bottom, interval), sizes)
        return Content("  " + "".join(cells) + cell(contexts, width - 2 - sum(sizes)))
    first = f"  {cell(name, max(width - 20, 10))}{cell(top, 9)}{bottom}"
    second = f"    {interval}{' · ' if interval and contexts else ''}{contexts}"
    return Content("\n".join(set_cell_size(line, width).rstrip() for line in (first, second)))


def pitch_text(text: str, *, language: NoteNames) -> str:
    """Return a kept pitch as the player writes it, such as ``A3 +4``; a dash where there is none."""
    if not text:
        return "–"
    kept = parse_pitch(text)
    if kept.note is None:
        return kept.text()
    return (
        pitch(kept.note, kept.cents, language=language)
        if kept.cents
        else note_name(kept.note, language=language)
    )


def twins(rows: Iterable[PresetRow]) -> frozenset[tuple[str, str]]:
    """Return drum and folded name of presets that share both with another."""
    seen: set[tuple[str, str]] = set()
    twice: set[tuple[str, str]] = set()
    for row in rows:
        key = (row.drum, folded(row.name))
        (twice if key in seen else seen).add(key)
    return frozenset(twice)


def count_text(stock: Stock, sieve: Sieve, *, problems_key: str) -> str:
    """Return what is shown, in words: how many presets, the filter, the files that cannot be read."""
    kept = sum(sieve.keeps(row) for row in stock.presets)
    total = len(stock.presets)
    parts = [f"{kept} of {total} presets" if kept != total else counted(total, "preset")]
    if sieve.context:
        parts.append(f"for {shown(sieve.context)}")
    return " · ".join((*parts, *count_rest(sieve.words, stock.problems, problems_key=problems_key)))


def count_rest(words: str, problems: Iterable[Problem], *, problems_key: str) -> list[str]:
    """Return what is said after a count: the words of the filter, and how many files cannot be read."""
    parts = [f"with “{shown(words.strip())}”"] if words.strip() else []
    files = len({problem.path for problem in problems})
    if files:
        parts.append(f"! {counted(files, 'file')} cannot be read ({problems_key})")
    return parts


def cell(text: str, size: int) -> str:
    """Return *text* in exactly *size* columns, cut with an ellipsis where it is longer."""
    if cell_len(text) >= size:
        text = set_cell_size(text, max(size - 2, 0)).rstrip() + "…"
    return set_cell_size(text, size)


def welcome(keys: dict[str, str], *, demo: bool) -> str:
    """Return what a player reads before there is a library."""
    lines = ["There is no library yet.", ""]
    if demo:
        lines += [f"{sign_of(keys['open_demo'])}   look around in the demo library of an invented player", ""]
    lines += [f"{sign_of(keys['add_drum'])}   put down your first drum; the library is begun with it"]
    return "\n".join(lines)
