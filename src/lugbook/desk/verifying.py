"""Checking every file of the library, and what does not fit together among them."""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from lugbook.desk.desk import Desk
from lugbook.library import Problem
from lugbook.records import SIDES, Drum, Preset, Record


@dataclass(frozen=True, slots=True)
class Verified:
    """What was found."""

    files: int
    """How many files were read."""
    problems: tuple[Problem, ...]


def verify(desk: Desk) -> Verified:
    """Read every file of the library and return all problems."""
    found = (*desk.library.problems(), *_strangers(desk), *_void_counts(desk), *_lost_names(desk))
    return Verified(files=len(desk.library.files()), problems=found)


def _strangers(desk: Desk) -> Iterator[Problem]:
    """Yield the keys that this version does not know: a newer version's, or slips of the pen."""
    library = desk.library
    drums, presets = library.drums().items, library.presets().items
    kept: list[tuple[Path, Record]] = [(one.path, one.record) for one in drums.values()]
    kept += [(one.path, one.record) for one in presets.values()]
    kept += [(one.path, one.record) for one in library.pieces().items.values()]
    kept += [(one.path, one.record) for one in library.concerts().items.values()]
    if not desk.shared_problems():
        settings = library.settings()
        kept.append((settings.path, settings.record))
    for path, record in kept:
        for where, near in _unknown(record):
            yield _stranger(path, where, near)
    for slug, stored in drums.items():
        for entry in library.log(slug).raw:
            for where, near in _unknown(entry):
                yield _stranger(stored.path.parent / "log", f"entry {entry.id}, {where}", near)


def _stranger(path: Path, where: str, near: str) -> Problem:
    return Problem(path, where, "this version does not know this key, which stays as it is", near)


def _unknown(record: Record, prefix: str = "") -> Iterator[tuple[str, str]]:
    """Yield the dotted unknown keys of *record*, each with the nearest known one, which may be empty."""
    for key in record.unknown_keys():
        near = difflib.get_close_matches(key, type(record).model_fields, n=1)
        yield f"{prefix}{key}", near[0] if near else ""
    for name in type(record).model_fields:
        value = getattr(record, name)
        if isinstance(value, Record):
            yield from _unknown(value, f"{prefix}{name}.")
        elif isinstance(value, tuple):
            for number, one in enumerate(value, 1):
                if isinstance(one, Record):
                    yield from _unknown(one, f"{prefix}{name}.{number}.")


def _void_counts(desk: Desk) -> Iterator[Problem]:
    """Yield the counts that presets name and their drums never had."""
    drums = desk.library.drums().items
    for name, stored in desk.library.presets().items.items():
        home = drums.get(name.partition("/")[0])
        if home is not None:
            yield from _counts_of(stored.record, home.record, stored.path)


def _counts_of(preset: Preset, drum: Drum, path: Path) -> Iterator[Problem]:
    known = [count.id for count in drum.counts]
    for side in SIDES:
        position = preset.position(side)
        if position is not None and position.count not in known:
            what = f'"{position.count}" is no count of the drum'
            right = f"one of {', '.join(known)}" if known else "no turns"
            yield Problem(path, f"turns.{side}.count", what, right)


def _lost_names(desk: Desk) -> Iterator[Problem]:
    """Yield what concerts that are still to come name and the library does not have.

    What a concert of the past or a piece names is history: a drum may have been sold since.
    """
    library, today = desk.library, desk.now().date()
    drums, presets, pieces = library.drum_slugs(), library.preset_ids(), library.piece_slugs()
    for stored in library.concerts().items.values():
        concert = stored.record
        if concert.on is not None and concert.on < today:
            continue
        named = [("drums", "drum", name, drums) for name in concert.drums]
        for number, item in enumerate(concert.items, 1):
            named += [(f"items.{number}.presets", "preset", name, presets) for name in item.presets]
            named += [(f"items.{number}.piece", "piece", item.piece, pieces)] * bool(item.piece)
        for where, what, name, known in named:
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                yield Problem(
                    stored.path, where, f'"{name}" is no {what} of the library', near[0] if near else ""
                )
