"""The player's own test passages, three to six, played on every state of a search and marked + 0 −."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from lugbook.desk.desk import Desk
from lugbook.desk.keeping import merged
from lugbook.desk.wording import folded
from lugbook.errors import BadValue
from lugbook.library import save_user
from lugbook.plain import shown
from lugbook.records import UserSettings

LEAST, MOST = 3, 6
"""Fewer passages tell too little of a state, and more are not played on each (common practice, no source)."""

MARKS: Mapping[str, str] = {"+": "+", "0": "0", "-": "-", "−": "-"}
"""What may be typed → the mark: the passage speaks well, so-so, or badly."""


@dataclass(frozen=True, slots=True)
class Passages:
    """The passages of a player, and whether pitches stay hidden until a state was judged."""

    names: tuple[str, ...]
    hide_pitches: bool
    remarks: tuple[str, ...] = ()


def passages(desk: Desk) -> Passages:
    """Return the player's test passages."""
    return _of(desk.user)


def set_passages(
    desk: Desk, *, names: Iterable[str] | None = None, hide_pitches: bool | None = None
) -> Passages:
    """Keep the player's test passages in the user's settings.

    Args:
        desk: the desk; its own settings stay as they were.
        names: of the passages, none to have none; None leaves them as they are.
        hide_pitches: whether pitches stay hidden until words and verdict are in; None leaves it as it is.

    Raises:
        BadRecord: a name cannot be kept.
        BadValue: there are more than six, or one is named twice.
        LibraryDamaged: the user's settings are damaged, and are left as they are.
        LibraryMissing: they cannot be written.
    """
    values: dict[str, object] = {}
    if names is not None:
        values["passages"] = _checked(tuple(names))
    if hide_pitches is not None:
        values["hide_pitches"] = hide_pitches
    user = merged(desk.user, values)
    save_user(desk.user_folder, user)
    found = _of(user)
    few = f"{len(found.names)} of them tell little of a state: {LEAST} to {MOST} do."
    return replace(found, remarks=(few,)) if 0 < len(found.names) < LEAST else found


def marked(desk: Desk, typed: Iterable[tuple[str, str]]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return passage → mark in the spelling of the player's list, and remarks on those that are not on it.

    Args:
        desk: the desk.
        typed: name and mark of each.

    Raises:
        BadValue: no such mark, or a passage that is marked twice.
    """
    listed = {folded(name): name for name in desk.user.passages}
    found: dict[str, str] = {}
    strange: list[str] = []
    for name, sign in typed:
        mark = MARKS.get(sign)
        if mark is None:
            raise BadValue(
                f"{shown(name)}: {shown(sign[:20])!r} is no mark of a passage.",
                hint="Marks are + (speaks well), 0 (so-so) and - (badly).",
            )
        spelled = listed.get(folded(name), name)
        if folded(spelled) in map(folded, found):
            raise BadValue(f"{shown(name)} is marked twice.", hint="Give each passage one mark.")
        found[spelled] = mark
        if folded(name) not in listed:
            strange.append(name)
    if not strange:
        return found, ()
    names = ", ".join(map(shown, strange))
    yours = f"yours are {', '.join(map(shown, desk.user.passages))}" if listed else "you listed none yet"
    return found, (f"Not among your test passages: {names}; {yours}.",)


def _checked(names: tuple[str, ...]) -> tuple[str, ...]:
    clean = tuple(name.strip(" ") for name in names)
    if len(clean) > MOST:
        raise BadValue(
            f"{len(clean)} test passages are too many to play on every state: {MOST} are the most.",
            hint=f"Choose {LEAST} to {MOST} that ask different things of the drum.",
        )
    for place, name in enumerate(clean):
        if folded(name) in map(folded, clean[:place]):
            raise BadValue(f"{shown(name)} is named twice.", hint="Give each passage its own name.")
    return clean


def _of(user: UserSettings) -> Passages:
    return Passages(user.passages, user.hide_pitches)
