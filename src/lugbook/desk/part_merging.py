"""A part put into a piece that is there: what it fills, what of an earlier reading it replaces, what stays.

Problem: what the player wrote is his, and the same part is read again after every slip in its file. So each
thing that a reading writes is known as read: a passage by its last words (`READ`), a rest by `Rest.read`,
length and bars by `Part.read_seconds` and `Part.read_bars`. All else is the player's, and stays; only rests
that he gave no bars give way, as nobody can tell which of the part's they are. The name of the part and of
its file are always those of the last reading.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lugbook.desk.keeping import checked
from lugbook.desk.pieces import place_of
from lugbook.desk.wording import counted, each_once, folded, minutes_text
from lugbook.plain import shown
from lugbook.records import Part, Piece
from lugbook.records.pieces import Rest, bars_text

READ = "(from the part)"
"""Ends the words of a passage that a reading wrote; without it they are the player's own."""

_Row = dict[str, Any]


def put_into(
    old: Piece,
    told: Mapping[str, Any],
    *,
    title: str | None,
    contexts: Sequence[str],
    changes: list[str],
) -> _Row:
    """Return what of a part goes into a piece that is there.

    Args:
        old: the piece.
        told: the fields of a piece that the part tells.
        title: what the player calls it now; None leaves it its title.
        contexts: words for its music, which are added.
        changes: takes what would change, and what stays though the part says otherwise, in sentences.
    """
    values: _Row = {}
    if title is not None and title != old.title:
        values["title"] = title
        changes.append(f"It is called {title} instead of {old.title}.")
    elif folded(told["title"]) != folded(old.title):
        changes.append(f"The title stays {old.title}; the part says {told['title']}.")
    for key in ("composer", "movement", "dynamics"):
        said, kept = told.get(key, ""), getattr(old, key)
        if said and not kept:
            values[key] = said
            changes.append(f"{key.capitalize()}: {said}.")
        elif said and folded(said) != folded(kept):
            stay = "stay" if key == "dynamics" else "stays"
            changes.append(f"{key.capitalize()} {stay} {kept}; the part says {said}.")
    new = [one for one in each_once(contexts) if folded(one) not in map(folded, old.contexts)]
    if new:
        values["contexts"] = [*old.contexts, *new]
        changes.append(f"For {', '.join(new)} too.")
    values["passages"] = _passages(old, told.get("passages", ()), changes)
    values["part"] = _part(old.part, told["part"], changes)
    return values


def _passages(old: Piece, read: Sequence[_Row], changes: list[str]) -> list[_Row]:
    """Return the passages the player wrote, with those that were *read* at other bars."""
    players = [one for one in old.passages if not one.words.endswith(READ)]
    taken = {one.bars for one in players if one.bars}
    new = [one for one in map(dict, read) if _bars_text(one) not in taken]
    before = [one for one in old.passages if one.words.endswith(READ)]
    if [(one.bars, one.words) for one in before] != [(_bars_text(one), one["words"]) for one in new]:
        place = f", in place of {len(before)} of an earlier reading" if before else ""
        changes.append(f"{counted(len(new), 'passage')} from the part{place}.")
    both = [*(one.model_dump(exclude_unset=True) for one in players), *new]
    return sorted(both, key=lambda one: (one.get("bar_from") or 0, one.get("bar_to") or 0))


def _part(old: Part | None, told: _Row, changes: list[str]) -> _Row:
    """Return the part block as it becomes, each key of it, or those of the *old* one would stay."""
    told = {"rests": [], **told}
    if old is None:
        changes.append(f"The part: {_in_short(checked(Part, told))}.")
        return {key: told.get(key) for key in Part.model_fields}
    stays: list[str] = []
    says = minutes_text(told["seconds"])
    if old.seconds not in (None, old.read_seconds):
        if old.seconds != told["seconds"]:
            stays.append(f"Its length stays {minutes_text(old.seconds)}; the part says {says}.")
        told["seconds"] = old.seconds
    if old.bars not in (None, old.read_bars):
        if told.get("bars") not in (None, old.bars):
            stays.append(f"It keeps its {counted(old.bars, 'bar')}; the part has {told['bars']}.")
        told["bars"] = old.bars
    told["rests"] = _rests(old.rests, told["rests"], stays)
    part = checked(Part, told)
    if old != part:
        changes.append(f"The part: {_in_short(part)}, in place of {_in_short(old)}.")
    changes += stays
    return {key: told.get(key) for key in Part.model_fields}


def _rests(old: Sequence[Rest], read: Sequence[_Row], stays: list[str]) -> list[_Row]:
    """Return the rests that were *read*, in order, with the player's among them at other bars."""
    players = [one for one in old if not one.read]
    without = [one for one in players if not one.bars]
    if without and read:
        times = ", ".join(minutes_text(one.seconds) for one in without)
        rests = "A rest" if len(without) == 1 else f"{len(without)} rests"
        gives = "gives" if len(without) == 1 else "give"
        stays.append(f"{rests} without bars ({times}) {gives} way to those of the part.")
        players = [one for one in players if one.bars]
    rows = []
    for one in read:
        mine = next((rest for rest in players if _meet(rest, one)), None)
        if mine is None:
            rows.append(one)
        elif (mine.bars, mine.seconds) != (_bars_text(one), one["seconds"]):
            stays.append(
                f"Your rest of {minutes_text(mine.seconds)} in {mine.bars} stays; "
                f"the part has {minutes_text(one['seconds'])} in {_bars_text(one)}."
            )
    for rest in players:
        row = rest.model_dump(exclude_unset=True)
        after = (at for at, one in enumerate(rows) if (one.get("bar_from") or 0) > (rest.bar_from or 0))
        rows.insert(next(after, len(rows)), row)
    return rows


def _meet(rest: Rest, read: _Row) -> bool:
    """Tell whether the player's *rest* and one that was read share a bar."""
    mine, theirs = place_of(dict(rest)), place_of(read)
    return mine is not None and theirs is not None and mine[0] <= theirs[1] and theirs[0] <= mine[1]


def _bars_text(values: Mapping[str, Any]) -> str:
    """Return the bars of a passage or rest that is not made yet, as its record writes them."""
    return bars_text(values["bar_from"], values.get("bar_to"))


def _in_short(part: Part) -> str:
    """Return a part in a few words."""
    said: Iterable[str] = (
        part.file and shown(part.file),
        "" if part.seconds is None else minutes_text(part.seconds),
        "" if part.bars is None else counted(part.bars, "bar"),
        counted(len(part.rests), "rest"),
    )
    return ", ".join(filter(None, said))
