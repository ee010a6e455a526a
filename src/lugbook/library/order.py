"""The order of log entries that several machines wrote, and the corrections among them.

Within one writer the order of the files holds, even where its clock went back. Across writers entries are
merged by UTC time, then by writer. A correction takes the place of the entry it corrects.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from lugbook.records import Entry


@dataclass(frozen=True)
class Corrected:
    """Entries with their corrections applied."""

    entries: tuple[Entry, ...]
    """Each entry at its place in its last wording; what was struck out is gone."""

    unknown: tuple[Entry, ...]
    """Corrections of an entry that is not there; those that strike nothing out stand at their own place."""


def merged(by_writer: Mapping[str, Sequence[Entry]]) -> tuple[Entry, ...]:
    """Return the entries of all writers in one order.

    An entry counts as no earlier than the entries its own writer made before it, so a clock that went back
    never moves it in front of them.

    Args:
        by_writer: writer → its entries in file order.
    """
    keyed = []
    for writer, entries in by_writer.items():
        latest = None
        for place, entry in enumerate(entries):
            latest = entry.at if latest is None else max(latest, entry.at)
            keyed.append((latest, writer, place, entry))
    keyed.sort(key=lambda one: one[:3])
    return tuple(entry for *_, entry in keyed)


def corrected(entries: Iterable[Entry]) -> Corrected:
    """Apply the corrections among *entries*, which are in order and have unique ids.

    A correction of a correction stands at the place of the first entry. Of several at one place, the last in
    order holds that is not itself corrected. One that strikes out (`void`) leaves nothing at that place.
    Corrections that name each other in a ring name nothing that is there.
    """
    raw = tuple(entries)
    known = {entry.id for entry in raw}
    named = {entry.id: entry.corrects for entry in raw if entry.corrects is not None}
    targets = {one: target for one, target in named.items() if target in known}
    for member in _in_rings(targets):
        del targets[member]
    roots = _roots(known, targets)
    at_place: dict[str, Entry] = {}
    superseded = set(targets.values())
    for entry in raw:
        if entry.id not in superseded:
            at_place[roots[entry.id]] = entry
    last = (at_place[entry.id] for entry in raw if entry.id in at_place)
    return Corrected(
        entries=tuple(entry for entry in last if not entry.void),
        unknown=tuple(entry for entry in raw if entry.id in named and entry.id not in targets),
    )


def _in_rings(targets: Mapping[str, str]) -> set[str]:
    """Return the ids from which the *targets* lead back to themselves."""
    members: set[str] = set()
    done: set[str] = set()
    for start in targets:
        trail: dict[str, int] = {}
        at: str | None = start
        while at is not None and at not in done:
            done.add(at)
            trail[at] = len(trail)
            at = targets.get(at)
        if at in trail:
            members.update(list(trail)[trail[at] :])
    return members


def _roots(known: Iterable[str], targets: Mapping[str, str]) -> dict[str, str]:
    """Return for each id the one at whose place it stands; *targets* hold no ring."""
    roots: dict[str, str] = {}
    for start in known:
        trail = [start]
        while trail[-1] not in roots and trail[-1] in targets:
            trail.append(targets[trail[-1]])
        root = roots.get(trail[-1], trail[-1])
        roots.update(dict.fromkeys(trail, root))
    return roots
