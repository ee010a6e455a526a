"""What was ticked off, asked by task: one task may hold several ticks, a head each."""

from collections.abc import Sequence

from lugbook.records import SIDES, Entry, HeadSide, Ticked


def is_whole(ticked: Sequence[Ticked], key: str) -> bool:
    """Tell whether what *key* names is done by what was *ticked* off."""
    return any(one.whole for one in ticked if one.what == key)


def entries_of(ticked: Sequence[Ticked], key: str) -> tuple[str, ...]:
    """Return the entries by which what *key* names is done, or partly done."""
    return tuple(entry for one in ticked if one.what == key for entry in one.entries)


def without(ticked: Sequence[Ticked], one: Ticked) -> tuple[Ticked, ...]:
    """Return what is *ticked* off once *one* of it is taken back: the rest of its change is not the whole."""
    return tuple(
        not_whole(other) if other.what == one.what else other for other in ticked if other is not one
    )


def heads_turned(entries: Sequence[str], log: Sequence[Entry]) -> frozenset[HeadSide]:
    """Return the heads that these *entries* of a log turned."""
    turned = [one for one in log if one.stands_for in entries]
    return frozenset(side for side in SIDES if any(one.turn.of(side) for one in turned))


def not_whole(one: Ticked) -> Ticked:
    """Return a tick that is only a part of its change."""
    return one.model_copy(update={"whole": False})
