"""Writing a setting of the snares down: with the state of a search that it belongs to, or by itself."""

from collections.abc import Iterable
from dataclasses import dataclass

from lugbook.desk.appending import append
from lugbook.desk.desk import Desk
from lugbook.desk.journal import position_after, with_counts
from lugbook.desk.keeping import checked
from lugbook.desk.searches import SearchNow, present_search
from lugbook.desk.stating import State, whole_entry
from lugbook.desk.trying import add_to, entry_of, in_order, try_state
from lugbook.desk.voiding import of_other_wires
from lugbook.errors import NotPossible
from lugbook.library import Log
from lugbook.plain import shown
from lugbook.records import Entry, SnareSetting


@dataclass(frozen=True, slots=True)
class Written:
    """What was written down."""

    entry: Entry
    setting: SnareSetting
    added: bool
    """Whether it went to the state of a search that was written down already."""
    search: str
    """The search that the entry belongs to; empty where none."""

    def sentence(self) -> str:
        """Say what was written down, and where."""
        of = f", in the search {shown(self.search)}" if self.search else ""
        return f"Written down{of}: {shown(self.setting.text())}."


def keep_setting(
    desk: Desk,
    drum_id: str,
    setting: SnareSetting,
    *,
    entry_id: str | None = None,
    search: str | None = None,
) -> Written:
    """Write a setting of the snares down.

    It goes to the entry named; else to the present state of the search, where that is the latest entry of the
    logbook and no other setting was written in it; else into an entry of its own. Without a search under way
    none is begun.

    Args:
        desk: the desk.
        drum_id: the drum.
        setting: what was found.
        entry_id: the entry of a search that it belongs to.
        search: the name of a search; the present one where None.

    Raises:
        NotFound: there is no such entry or search.
    """
    there, name = entry_id, search
    if there is None:
        now = _search(desk, drum_id, search)
        if now is None:
            return Written(_alone(desk, drum_id, setting), setting, added=False, search="")
        there, name = _present(desk, now, setting), now.name
    if there is None:
        kept = try_state(desk, drum_id, State(values={"snares": setting}), search=name)
    else:
        setting = _grown(entry_of(desk.library.log(drum_id).entries, there).snares, setting)
        kept = add_to(desk, drum_id, there, State(values={"snares": setting}))
    return Written(kept.entry, setting, added=there is not None, search=kept.entry.search)


def keep_buzzes(desk: Desk, drum_id: str, notes: Iterable[str], *, search: str | None = None) -> Written:
    """Add notes of other instruments that set the wires off to the setting that was written down last.

    Raises:
        NotPossible: no setting was written down with these wires.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    last = next((one for one in reversed(entries) if one.snares is not None), None)
    if last is None or last.snares is None or of_other_wires(drum, last.snares, found=last.at.date()):
        raise NotPossible(
            f"No setting of the snares of {shown(drum.name)} was written down with the wires that are on.",
            hint=f"Sweep them first: lugbook sweep {drum_id}",
        )
    buzzes = tuple(dict.fromkeys((*last.snares.buzzes_with, *notes)))
    before = last.snares.model_dump(exclude_unset=True)
    if position_after(drum, entries).bottom != last.position.bottom:
        # The bottom head was turned since: its numbers are of another tension, the notes that ring are not.
        before = {"wires": last.snares.wires}
    setting = checked(SnareSetting, {**before, "buzzes_with": buzzes})
    return keep_setting(desk, drum_id, setting, search=search)


def _search(desk: Desk, drum_id: str, name: str | None) -> SearchNow | None:
    """Return the search that a setting belongs to; None where none is under way."""
    now = present_search(desk, drum_id, name)
    return None if name is None and now is not None and now.ended else now


def _present(desk: Desk, now: SearchNow, setting: SnareSetting) -> str | None:
    """Return the entry of the state that the drum is in, where the setting belongs to it; else None."""
    last = now.rows[-1].entry
    entries = desk.library.log(now.drum_id).entries
    if entry_of(entries, last.stands_for) is not entries[-1] or now.rows[-1].void or last.kind == "round":
        return None
    before = last.snares
    return last.stands_for if before is None or _is_same(before, setting) else None


def _is_same(before: SnareSetting, setting: SnareSetting) -> bool:
    """Tell whether both are one place of all adjustments, with the same wires."""
    return (before.values, before.wires) == (setting.values, setting.wires)


def _grown(before: SnareSetting | None, setting: SnareSetting) -> SnareSetting:
    """Return a setting with what was said of the same one before."""
    if before is None or not _is_same(before, setting):
        return setting
    both = {
        "words": setting.words or before.words,
        "free": {**before.free, **setting.free},
        "choke": {**before.choke, **setting.choke},
        "buzzes_with": tuple(dict.fromkeys((*before.buzzes_with, *setting.buzzes_with))),
    }
    return setting.model_copy(update={key: said for key, said in both.items() if said})


def _alone(desk: Desk, drum_id: str, setting: SnareSetting) -> Entry:
    stored = desk.library.drum(drum_id)
    drum = with_counts(desk, stored.record)
    if drum is not stored.record:
        stored = desk.library.save_drum(stored, drum)

    def alone(log: Log) -> Entry:
        here = position_after(drum, log.entries)
        return in_order(log.entries, whole_entry(desk, drum, {"kind": "remark", "snares": setting}, here))

    return append(desk, drum_id, alone)
