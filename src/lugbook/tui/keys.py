"""The keys of the commands: Textual's bindings, the user's wishes, and the key table of the README."""

import difflib
from collections.abc import Iterable, Mapping

from textual.binding import Binding

from lugbook.tui.commands import ALWAYS, BY_ID, COMMANDS, commands_at
from lugbook.tui.places import AT_DRUM, PLACES, READING_KEYS, TYPING, WHERE, Place

_SIGNS = {
    "question_mark": "?",
    "slash": "/",
    "escape": "esc",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "plus": "+",
    "minus": "-",
}
_NAMES = {"?": "question_mark", "/": "slash", " ": "space", "+": "plus", "-": "minus"}


def bindings(*places: Place) -> list[Binding]:
    """Return the bindings of a screen that has these *places*; each carries its command's id."""
    return [
        Binding(command.key, command.id, command.label, id=command.id, tooltip=command.sentence)
        for command in commands_at(*places)
        if not command.everywhere
    ]


def bindings_everywhere() -> list[Binding]:
    """Return the bindings of the program as a whole, with the keys that cannot be taken from them."""
    rows = [command for command in COMMANDS if command.everywhere]
    return [
        *(Binding(row.key, row.id, row.label, id=row.id, tooltip=row.sentence) for row in rows),
        *(Binding(key, command, show=False, priority=True) for command, key in ALWAYS.items()),
    ]


def sign_of(key: str) -> str:
    """Return how the *key* is written for the player, such as ``?`` or ``ctrl+s``."""
    return _SIGNS.get(key, key)


def keys_in_use(wanted: Mapping[str, str]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return the key of every command after the user's wishes, and a sentence for each wish refused.

    Args:
        wanted: command id → key, from the user's settings.
    """
    keys = {command.id: command.key for command in COMMANDS}
    refused: list[str] = []
    for id_, wish in wanted.items():
        key = _NAMES.get(wish, wish.strip())
        reason = _reason_against(id_, key)
        if reason:
            refused.append(f"keys: {id_} = {wish!r} {reason}")
        else:
            keys[id_] = key
    while clash := _first_clash(keys):
        loser = next((id_ for id_ in clash if keys[id_] != BY_ID[id_].key), clash[0])
        other = clash[1] if loser == clash[0] else clash[0]
        refused.append(f"keys: {loser} = {sign_of(keys[loser])!r} is the key of {other} already")
        keys[loser] = BY_ID[loser].key
    return keys, tuple(refused)


def markdown_table() -> str:
    """Return the table of keys as Markdown, for the README."""
    lines = ["| Key | Command | What it does | Where |", "| --- | --- | --- | --- |"]
    for command in COMMANDS:
        always = ALWAYS.get(command.id, command.key)
        key = f"`{sign_of(command.key)}`" + (f" `{always}`" if always != command.key else "")
        where = (
            "everywhere" if command.places == PLACES else ", ".join(map(WHERE.__getitem__, command.places))
        )
        lines.append(f"| {key} | `{command.id}` | {command.sentence} | {where} |")
    return "\n".join(lines) + "\n"


def clashes(keys: Mapping[str, str]) -> Iterable[tuple[str, str]]:
    """Yield each pair of command ids that share a key at a place."""
    for place in PLACES:
        seen: dict[str, str] = {}
        for command in commands_at(place):
            if (first := seen.setdefault(keys[command.id], command.id)) != command.id:
                yield first, command.id


def _first_clash(keys: Mapping[str, str]) -> tuple[str, str] | None:
    return next(iter(clashes(keys)), None)


def _reason_against(id_: str, key: str) -> str:
    if id_ not in BY_ID:
        near = difflib.get_close_matches(id_, BY_ID, n=1)
        return "is for no command" + (f"; the nearest is {near[0]}" if near else "")
    command = BY_ID[id_]
    if not key or "," in key:
        return "must be one key"
    if key in ALWAYS.values() and ALWAYS.get(id_) != key:
        return "is a key that is always the same"
    if set(command.places) & set(AT_DRUM) and key in READING_KEYS:
        return "begins a reading at the bench; take a letter from I to Z"
    if set(command.places) & set(TYPING) and not command.everywhere and (len(key) == 1 or key == "space"):
        return "types text where this command is used; take a key such as f5"
    return ""
