"""The searches of a drum, as its logbook tells them: what is kept, what is untried, what no longer counts.

Nothing of a search is kept but its entries; here they are played again, one after another. The first is
where it starts. A verdict holds a state against the kept one. States heard before no longer count once a
count begins anew, once a state that was heard before is read again and its pitch has drifted past the
tolerance, and on calf once the day is over: then the search goes on from where the drum stands.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lugbook.desk.desk import Desk
from lugbook.desk.drifting import FirstReadings
from lugbook.desk.journal import position_after, with_open_rounds
from lugbook.desk.replaying import Replay, place_of_entry
from lugbook.desk.wording import folded
from lugbook.errors import NotFound
from lugbook.library import open_round_entry
from lugbook.library.folder import not_found
from lugbook.records import Drum, Entry, HeardAt, PerHead
from lugbook.trials import Judgment, Search
from lugbook.trials.grid import Pair

AT_THE_DRUM: HeardAt = "at the drum"


@dataclass(frozen=True, slots=True)
class Row:
    """One entry of a search."""

    number: int
    """Its number in the search, from 1."""
    entry: Entry
    void: str = ""
    """Why what was heard of it no longer counts; empty where it counts."""


@dataclass(frozen=True, slots=True)
class SearchNow:
    """A search as it stands."""

    drum_id: str
    drum: Drum
    name: str
    rows: tuple[Row, ...]
    search: Search | None
    """What was heard and what is left to try; None on a drum without rods, and where no state counts."""
    here: PerHead
    """Where the heads stand by the logbook."""
    context: str
    """The music that it is for."""
    heard: HeardAt
    """Where its states are heard and judged."""
    ended: bool
    """Whether the player ended it."""
    judged: tuple[tuple[Judgment, Row], ...]
    """Each verdict that counts, with its entry."""
    unfinished: bool
    """Whether a round of the rods was stopped part-way."""
    remarks: tuple[str, ...]
    told: Mapping[Pair, Row]
    """Place → the entry that tells of the state there: the latest with words or verdict, else the latest."""
    read: FirstReadings
    """The first readings that count of each place."""

    @property
    def contradictions(self) -> tuple[tuple[Row, ...], ...]:
        """Entries whose verdicts cannot all be true."""
        wrong = self.search.contradictions if self.search is not None else ()
        return tuple(self.entries_of(those) for those in wrong)

    def entries_of(self, judgments: Iterable[Judgment]) -> tuple[Row, ...]:
        """Return the entries that some judgments stand in."""
        those = set(judgments)
        return tuple(row for judgment, row in self.judged if judgment in those)

    @property
    def settled(self) -> bool:
        """Whether every neighbour of the kept state is closed, or the player ended the search."""
        return self.ended or (self.search is not None and self.search.settled)

    @property
    def place(self) -> Pair:
        """Where the heads stand by the logbook, in turns."""
        return self.here.top or 0.0, self.here.bottom or 0.0

    @property
    def kept(self) -> Row | None:
        """The entry that tells of the kept state; None where none does."""
        return None if self.search is None else self.told.get(self.search.kept)

    @property
    def waiting(self) -> Row | None:
        """The state that the drum stands in, where something of it was heard and nothing judged yet."""
        if self.search is None or self.place in self.search.heard:
            return None
        row = self.told.get(self.place)
        # One that has its verdict was heard elsewhere than the search is judged.
        waits = row is not None and row.entry.verdict is None and was_heard(row.entry)
        return row if waits else None


def search_now(desk: Desk, drum_id: str, name: str | None = None) -> SearchNow:
    """Return a search of a drum as it stands.

    Args:
        desk: the desk.
        drum_id: the drum.
        name: of the search; where None, the latest that was not ended, else the latest.

    Raises:
        NotFound: there is no such search.
    """
    found = present_search(desk, drum_id, name)
    if found is None:
        raise NotFound(
            f"No search was begun on {desk.library.drum(drum_id).record.name} yet.",
            hint=f"Write down how it stands: lugbook try {drum_id} --for MUSIC --top R --words TEXT",
        )
    return found


def present_search(desk: Desk, drum_id: str, name: str | None = None) -> SearchNow | None:
    """Return the search *name* of a drum, else the present one; None where none was begun and none named.

    Raises:
        NotFound: there is no search of that name.
    """
    found = find_search(desk, drum_id, name)
    if found is None and name is not None:
        raise not_found("search", name, known=search_names(desk.library.log(drum_id).entries))
    return found


def find_search(desk: Desk, drum_id: str, name: str | None = None) -> SearchNow | None:
    """Return the search *name* of a drum, or the present one where None; None where there is no such."""
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    return search_in(desk, drum_id, drum, entries, name)


def every_search(desk: Desk, drum_id: str) -> tuple[SearchNow, ...]:
    """Return every search of a drum, that of the latest entry first.

    Raises:
        NotFound: there is no such drum.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    latest_first = reversed(by_search(entries).values())
    return tuple(_played(desk, drum_id, drum, entries, tuple(of_it)) for of_it in latest_first)


def search_in(
    desk: Desk, drum_id: str, drum: Drum, entries: tuple[Entry, ...], name: str | None
) -> SearchNow | None:
    """Return the search *name*, or the present one, of a drum whose *entries* are given; None without one."""
    searches = by_search(entries)
    if name is None:
        latest_first = list(reversed(searches.values()))
        going_on = (of_it for of_it in latest_first if not of_it[-1].settled)
        found = next(going_on, latest_first[0] if latest_first else None)
    else:
        found = searches.get(folded(name))
    return None if found is None else _played(desk, drum_id, drum, entries, tuple(found))


def by_search(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    """Return the entries of each search by its folded name, the search of the latest entry last."""
    keys: dict[str, str] = {}
    found: dict[str, list[Entry]] = {}
    for entry in entries:
        if entry.search:
            key = keys.setdefault(entry.search, folded(entry.search))
            found.setdefault(key, []).append(entry)
            found[key] = found.pop(key)
    return found


def search_names(entries: Iterable[Entry]) -> list[str]:
    """Return the names of the searches in *entries*, that of the latest entry last."""
    return [of_it[-1].search for of_it in by_search(entries).values()]


def was_heard(entry: Entry) -> bool:
    """Tell whether something of a state was heard in an *entry*, and it was not only turned to."""
    read = entry.top is not None or entry.bottom is not None or entry.snares is not None
    return read or bool(entry.words or entry.bounce or entry.passages or entry.verdict)


def _played(
    desk: Desk, drum_id: str, drum: Drum, entries: tuple[Entry, ...], of_it: tuple[Entry, ...]
) -> SearchNow:
    uneven = {entry.stands_for: heads for entry, heads in with_open_rounds(entries)}
    replay = Replay(desk, drum, place=_heard_at(of_it), entries=of_it, uneven=uneven)
    rows = tuple(
        Row(number, entry, replay.void.get(entry.stands_for, "")) for number, entry in enumerate(of_it, 1)
    )
    by_id = {row.entry.stands_for: row for row in rows}
    search = replay.search
    return SearchNow(
        drum_id=drum_id,
        drum=drum,
        name=of_it[-1].search,
        rows=rows,
        search=search,
        here=position_after(drum, entries),
        context=next((entry.context for entry in reversed(of_it) if entry.context), ""),
        heard=replay.place,
        ended=of_it[-1].settled,
        judged=tuple((judgment, by_id[entry.stands_for]) for judgment, entry in replay.told),
        unfinished=open_round_entry(entries) is not None,
        remarks=tuple(replay.remarks),
        told=_told_by(rows),
        read=replay.read,
    )


def _told_by(rows: tuple[Row, ...]) -> dict[Pair, Row]:
    found: dict[Pair, Row] = {}
    for row in rows:
        place = place_of_entry(row.entry)
        if place is None or row.void or row.entry.kind == "round":
            continue
        before = found.get(place)
        if before is None or _tells(row.entry) or not _tells(before.entry):
            found[place] = row
    return found


def _tells(entry: Entry) -> bool:
    return bool(entry.words) or entry.verdict is not None


def _heard_at(entries: tuple[Entry, ...]) -> HeardAt:
    """Return where a search is heard: where its first entry that says so was."""
    return next((entry.heard for entry in entries if entry.heard), AT_THE_DRUM)
