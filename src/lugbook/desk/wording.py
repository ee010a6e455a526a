"""Sizes, heads and days in a few words, and text made comparable."""

import unicodedata
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from lugbook.desk.voiding import OF_OTHER_WIRES, is_void
from lugbook.records import Drum, Head, HeadSide, Preset, Tension
from lugbook.turns.amounts import show_turns

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


NOTHING = "–"
"""Stands where a row has nothing to say."""

_UNITS = {"in": "inches", "mm": "mm", "hz": "Hz", "cents": "cents", "mil": "mil", "c": "°C", "pct": "%"}
"""Last part of a key → the unit it stands for."""

_SAID = {
    "a4": "A4 (Hz)",
    "after_s": "time after",
    "by": "had by",
    "film_mil": "thickness (mil)",
    "hz_max": "pitch at most (Hz)",
    "on": "day",
    "seconds": "how long",
    "stage_drums": "drums that fit on the stage",
    "sd_cents": "uncertainty (cents)",
    "thread_mm": "travel a turn (mm)",
    "turns_max": "turns at most",
    "turns_min": "turns at least",
}
"""Keys whose parts do not say what they are."""


def key_words(key: str) -> str:
    """Return the dotted *key* of a record in words, with its unit: ``top.sd_cents`` is of the top."""
    group, _, name = key.rpartition(".")
    words = name.split("_")
    said = _SAID.get(name)
    if said is None and len(words) > 1 and words[-1] in _UNITS:
        said = f"{' '.join(words[:-1])} ({_UNITS[words[-1]]})"
    return " ".join((*group.split("."), said or " ".join(words))).strip()


def size_text(drum: Drum) -> str:
    """Return a drum's size such as ``14 × 6.5 in``."""
    depth = f" × {drum.depth_in:g}" if drum.depth_in is not None else ""
    return f"{drum.diameter_in:g}{depth} in"


def head_text(head: Head) -> str:
    """Return a head in a phrase such as ``film, 10 mil``."""
    parts: list[str] = [head.material]
    if head.film_mil is not None:
        parts.append(f"{head.film_mil:g} mil")
    if head.plies > 1:
        parts.append(f"{head.plies} plies")
    if head.name:
        parts.append(head.name)
    return ", ".join(parts)


def turned_part(tension: Tension, side: HeadSide) -> str:
    """Return what is turned: ``bottom head``, or ``rods`` where one rod pulls both heads."""
    return "rods" if tension == "single" else f"{side} head"


def turns_text(amount: float) -> str:
    """Return an amount with its unit, such as ``2½ turns`` or ``¼ turn``."""
    return f"{show_turns(amount)} turn{'' if 0 < abs(amount) <= 1 else 's'}"


def setting_text(drum: Drum, preset: Preset) -> str:
    """Return how the *drum* is set beside its pitches: snares, muffling, sticks, and how it speaks."""
    snares = preset.snares.text()
    parts = (
        ("Snares", f"{snares} ({OF_OTHER_WIRES})" if is_void(drum, preset) else snares),
        ("Muffling", preset.muffling),
        ("Sticks", preset.sticks),
        ("Playing spot", preset.playing_spot),
        ("Sound", preset.words),
    )
    return " ".join(f"{what}: {said.rstrip('.')}." for what, said in parts if said)


def counted(number: int, thing: str) -> str:
    """Return how many of a *thing* there are, such as ``1 bar`` or ``12 bars``."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def numbered(numbers: Iterable[int]) -> str:
    """Return which items are meant, such as ``item 3``, ``the items 3 to 5`` or ``the items 3, 4 and 9``.

    Args:
        numbers: of the items, in order, at least one.
    """
    which = tuple(numbers)
    if len(which) == 1:
        return f"item {which[0]}"
    if len(which) > 2 and which[-1] - which[0] == len(which) - 1:
        return f"the items {which[0]} to {which[-1]}"
    return f"the items {', '.join(map(str, which[:-1]))} and {which[-1]}"


def minutes_text(seconds: float) -> str:
    """Return *seconds* as minutes and seconds, such as ``2:05``."""
    whole, rest = divmod(round(seconds), 60)
    return f"{whole}:{rest:02}"


def day_text(day: date) -> str:
    """Return a day such as ``3 May 2026``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def folded(text: str) -> str:
    """Return *text* for comparing: without case, accents or doubled spaces."""
    plain = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).casefold().split())


def holds_words(text: str, words: str) -> bool:
    """Tell whether *text* holds each of these *words*; case and accents do not matter."""
    plain = folded(text)
    return all(word in plain for word in folded(words).split())


def each_once(texts: Iterable[str]) -> tuple[str, ...]:
    """Return *texts* without those that come again but for case, accents or doubled spaces."""
    kept: dict[str, str] = {}
    for text in texts:
        kept.setdefault(folded(text), text)
    return tuple(kept.values())


def contexts_once(values: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the *values* of a record with each word for music among them once."""
    words = values.get("contexts")
    if not isinstance(words, list | tuple) or not all(isinstance(one, str) for one in words):
        return values  # what is no list of texts is refused by the record
    return {**values, "contexts": each_once(words)}
