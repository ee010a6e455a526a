"""Why a silent change cannot be offered, in one sentence; each ends with what to do instead."""

from collections.abc import Iterable, Sequence

from lugbook.desk.cautions import Caution
from lugbook.desk.rounds import taken_up
from lugbook.desk.visits import void_sides
from lugbook.desk.wording import day_text
from lugbook.library import open_round_entry
from lugbook.records import SIDES, Drum, Entry, HeadSide, Preset


def why_not_at_all(drum: Drum, entries: Sequence[Entry]) -> str | None:
    """Return why no preset of *drum* can be reached by turns alone just now; None where one can."""
    if not drum.turns_offered:
        return f"{drum.name} is tensioned with rope: it has no rods to turn. Bring it there by ear."
    calf = [side for side in SIDES if (head := drum.head_on(side)) is not None and head.material == "calf"]
    if calf:
        which = "Both heads are" if len(calf) == len(SIDES) else f"The {calf[0]} head is"
        return f"{which} calf, which drifts within hours: its turns are never trusted unheard. Read it first."
    entry = open_round_entry(entries)
    left = None if entry is None else taken_up(drum, entry)
    return None if left is None else left.unfinished()


def why_not_by(drum: Drum, name: str, preset: Preset, *, instead: str) -> str | None:
    """Return why the turns that *preset* keeps do not count; None where they do.

    Args:
        drum: the drum.
        name: the preset's ``drum/preset``.
        preset: its record.
        instead: the ``drum/preset`` to be reached, which pitches still lead to.
    """
    back = f"`lugbook retune {instead} --top R --bottom R` brings it there by pitch."
    bare = bare_sides(drum, preset)
    if bare:
        which = "either head" if len(bare) == len(SIDES) else f"the {bare[0]} head"
        return f"{preset.name} ({name}) keeps no turns of {which}. {back}"
    void = void_sides(drum, preset)
    if not void:
        return None
    which = (
        "Both heads are"
        if len(void) == len(SIDES) and drum.tension != "single"
        else "The rods are"
        if drum.tension == "single"
        else f"The {void[0]} head is"
    )
    since = "; ".join(dict.fromkeys(_since(drum, side) for side in void))
    return f"{which} in another count{since}, so the turns of {preset.name} ({name}) are void. {back}"


def bare_sides(drum: Drum, preset: Preset) -> tuple[HeadSide, ...]:
    """Return the heads whose turns *preset* does not keep; in single tension one head's are enough."""
    bare = tuple(side for side in SIDES if preset.position(side) is None)
    return () if drum.tension == "single" and len(bare) < len(SIDES) else bare


def why_not_past(careful: Iterable[Caution], *, own: Iterable[HeadSide], name: str) -> str | None:
    """Return why the turns go too far; None where they pass no limit that the preset itself has not passed.

    Args:
        careful: what to be careful of.
        own: heads that stand past their limit in the preset itself.
        name: the preset's ``drum/preset``.
    """
    allowed = set(own)
    past = next((one for one in careful if one.past_limit and one.side not in allowed), None)
    if past is None:
        return None
    return (
        f"These turns go {past.short} ({past.side} head). "
        f"Read the drum and let `lugbook retune {name} --top R --bottom R` lead."
    )


def _since(drum: Drum, side: HeadSide) -> str:
    count, head = drum.count_of(side), drum.head_on(side)
    if count is None:
        return ", or in none"
    if head is not None and head.on > count.since.date():
        return f" (another head since {day_text(head.on)})"
    why = f" ({count.why})" if count.why else ""
    return f" since {day_text(count.since.date())}{why}"
