"""The items of a concert as they were shown: changing them, and the presets that one can be played with."""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.desk.concerts import edit_concert
from lugbook.desk.desk import Desk
from lugbook.desk.keeping import Values
from lugbook.desk.matching import matcher
from lugbook.desk.programmes import ItemRow, Programme, programme
from lugbook.desk.running import Change
from lugbook.desk.shelf import PresetRow, presets
from lugbook.errors import ChangedUnderneath
from lugbook.plain import shown


@dataclass(frozen=True, slots=True)
class Changed:
    """A concert whose items were changed, and what is newly to be said of it."""

    programme: Programme
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One preset that an item can be played with."""

    row: PresetRow
    taken: bool
    """Whether the item is played with it."""
    why: str
    """What speaks for it, in a few words; empty where nothing does."""


def change_items(desk: Desk, found: Programme, changes: Sequence[Change]) -> Changed:
    """Change the items of a concert, whose numbers are those of *found*.

    Args:
        desk: the desk.
        found: the concert as it was shown.
        changes: what is to be done with its items.

    Raises:
        BadRecord: they make no items.
        BadValue: there is no item of a number.
        ChangedUnderneath: somebody else changed the items since; nothing was written.
        NotFound: a preset that they name is not there.
    """
    stored = desk.library.concert(found.id)
    if stored.record.items != found.concert.items:
        raise ChangedUnderneath(
            f"The items of {shown(found.concert.name)} were changed by someone else since they were shown, "
            "so nothing was written.",
            hint="Look at them as they are now, and do it then.",
        )
    # What was compared is what is replaced: what comes in between is noticed when it is written.
    kept = edit_concert(desk, found.id, {}, changes, stored=stored)
    known = {_without_numbers(one) for one in found.remarks}
    fresh = [one for one in kept.remarks if _without_numbers(one) not in known]
    return Changed(programme(desk, found.id), tuple(fresh))


def choices(desk: Desk, found: Programme, number: int) -> tuple[Choice, ...]:
    """Return the presets that item *number* can be played with: of drums that travel, the best first."""
    row = found.rows[number - 1]
    match = matcher(desk)
    stored = desk.library.pieces().items.get(row.item.piece) if row.item.piece else None
    served = stored.record.served if stored is not None else ()
    ranked = []
    for preset in presets(desk).rows:
        taken = preset.id in row.presets
        if not taken and preset.drum not in found.drums:
            continue
        fit = match.fit(preset.contexts, row.contexts)
        fits = fit.fits and bool(row.contexts)
        why = (
            "served in it"
            if preset.id in served
            else "for its music"
            if fits
            else "for a part of its music"
            if fit.score
            else ""
        )
        merit = (taken, preset.id in served, fits, fit.score)
        ranked.append((merit, Choice(preset, taken=taken, why=why)))
    ranked.sort(key=lambda one: one[0], reverse=True)
    return tuple(choice for _, choice in ranked)


def played_with(row: ItemRow, preset: str) -> Values:
    """Return the values of an item that is played with *preset* too, or no more where it was.

    A drum stands in one preset at a time, so that another of the same drum gives way. What was tacet is so no
    more.
    """
    drum = preset.partition("/")[0]
    others = [one for one in row.presets if one.partition("/")[0] != drum]
    return {"presets": others if preset in row.presets else [*others, preset], "tacet": None}


def for_music(row: ItemRow, contexts: Sequence[str]) -> Values:
    """Return the values of an item that is for these *contexts*; what was tacet is no more."""
    return {"contexts": list(contexts), "tacet": None if contexts else row.item.tacet or None}


def tacet(row: ItemRow) -> Values:
    """Return the values of an item that is tacet, or no more where it was; it is played with nothing then."""
    return {"tacet": None} if row.item.tacet else {"tacet": True, "presets": [], "contexts": []}


def _without_numbers(remark: str) -> str:
    """Return a remark without the numbers of items, which a move changes."""
    return "".join(one for one in remark if not one.isdigit())
