"""The state at hand of a search, question by question: readings, snares, words, passages, verdict.

Each answer is written down at once, the first as an entry and the others as corrections of it; so what has
been asked is told by the logbook alone, and after a crash the first open question is asked again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from lugbook.desk.asking import Taken
from lugbook.desk.desk import Desk
from lugbook.desk.doubting import doubt_of
from lugbook.desk.drifting import drift_words
from lugbook.desk.expecting import take_of
from lugbook.desk.journal import READINGS_LAST
from lugbook.desk.replaying import place_of_entry
from lugbook.desk.searches import (
    AT_THE_DRUM,
    Row,
    SearchNow,
    find_search,
    search_names,
    was_heard,
)
from lugbook.desk.snare_words import parse_setting
from lugbook.desk.stating import State
from lugbook.desk.trying import Tried, add_to, new_name, try_state
from lugbook.desk.wording import folded
from lugbook.errors import BadValue, Doubtful
from lugbook.records import SIDES, By, Drum, HeadSide, SnareSetting, Struck

About = Literal["top", "bottom", "snares", "words", "passage", "verdict"]
"""What is asked of a state."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask of the state at hand."""

    about: About
    passage: str = ""
    """The test passage that is asked about; empty for all other questions."""
    offered: str = ""
    """What is filled in already."""

    @property
    def side(self) -> HeadSide | None:
        """The head that is to be read; None where none is."""
        return self.about if self.about == "top" or self.about == "bottom" else None


@dataclass(frozen=True, slots=True)
class Opened:
    """What is to be seen of the searches of a drum."""

    drum: Drum
    now: SearchNow | None
    """None where no search was begun yet."""
    names: tuple[str, ...]
    """Of all searches of the drum, that of the latest entry last."""


@dataclass(frozen=True, slots=True)
class AtHand:
    """The state that is asked about."""

    now: SearchNow
    row: Row | None
    """The entry that the answers go into; None where the first answer makes one."""
    questions: tuple[Question, ...]
    """What is still to be asked of it, in order."""
    returned: bool = False
    """Whether the drum came back to a place that is known: then only its pitches are read again."""

    waited: bool = False
    """Whether the search was left a while ago, so that the drum is read again before anything else."""

    @property
    def waits(self) -> bool:
        """Whether the state waits for what is still to be said: not where a move was left off half-way."""
        if self.waited:
            return bool(self.questions)
        row, search = self.row, self.now.search
        if row is None or not self.questions:
            return False
        turned_only = row.number > 1 and not was_heard(row.entry) and not self.returned
        return not turned_only or (search is not None and self.now.place in search.untried)

    def without(self, asked: frozenset[Question]) -> tuple[Question, ...]:
        """Return the questions that were not *asked* in vain yet."""
        past = {(one.about, one.passage) for one in asked}
        return tuple(one for one in self.questions if (one.about, one.passage) not in past)


@dataclass(frozen=True, slots=True)
class Answered:
    """What is so once an answer was written down."""

    at: AtHand
    said: str
    """What there is to say of it; may be empty."""


def opened(desk: Desk, drum_id: str, name: str | None = None) -> Opened:
    """Return the search *name* of a drum, or the present one, and the names of all.

    Args:
        desk: the desk.
        drum_id: the drum.
        name: of the search; the present one where None or not there any more.
    """
    drum, entries = desk.library.drum(drum_id).record, desk.library.log(drum_id).entries
    now = find_search(desk, drum_id, name)
    if now is None and name is not None:
        now = find_search(desk, drum_id)
    return Opened(drum, now, tuple(search_names(entries)))


def begin_search(desk: Desk, drum_id: str, music: str, *, in_the_hall: bool = False) -> AtHand:
    """Begin a search for some *music*: its first entry says what for, and where it is heard.

    Raises:
        BadValue: no music was named.
    """
    if not music.strip():
        raise BadValue("A search needs its music.", hint="Say what it is for, such as: dry étude.")
    values = {"context": music.strip(), "heard": "in the hall" if in_the_hall else AT_THE_DRUM}
    state = State(values=values)
    name = new_name(desk.library.log(drum_id).entries, None, state)
    return at_hand(desk, try_state(desk, drum_id, state, search=name).now)


def at_hand(desk: Desk, now: SearchNow) -> AtHand:
    """Return the state that the drum stands in, with what is still to be asked of it."""
    row = now.rows[-1]
    if desk.now() - row.entry.at > READINGS_LAST and not now.ended:
        return _after_days(desk, now)
    if row.void or not _is_state(row) or row.entry.verdict is not None or _gone_from(now, row):
        return new_state(desk, now)
    if row.number == 1 and row.entry.words:
        return AtHand(now, row, ())  # where the search started, and nothing is to be judged
    if now.search is not None and row.number > 1 and now.place == now.search.kept:
        return AtHand(now, row, _heads(row), returned=True)
    return AtHand(now, row, _all(desk, now, row))


def _after_days(desk: Desk, now: SearchNow) -> AtHand:
    """Return what is asked of a search that was left a while ago: nothing goes into its old entries.

    A place that was read before is read again first, to see whether the drum is still there.
    """
    again = read_again(now) if now.read.knows(now.place) else new_state(desk, now)
    return replace(again, waited=True)


def new_state(desk: Desk, now: SearchNow) -> AtHand:
    """Return all that is to be asked where the drum stands, for an entry of its own."""
    return AtHand(now, None, _all(desk, now, None))


def read_again(now: SearchNow) -> AtHand:
    """Return the readings to take where the drum stands, to go on after days: a new entry takes them."""
    return AtHand(now, None, _heads(None), returned=True)


def judged_again(now: SearchNow, number: int) -> AtHand:
    """Return the verdict of one entry to ask again; the one that is said latest counts."""
    return AtHand(now, now.rows[number - 1], (Question("verdict"),))


def listen(desk: Desk, at: AtHand, side: HeadSide, path: str, *, struck: Struck) -> Taken:
    """Take a reading of one head from a recording, and keep nothing: it may be stopped at any moment."""
    return take_of(desk, at.now.drum_id, side, path, a4_hz=desk.a4_hz(), struck=struck)


def read_head(
    desk: Desk,
    at: AtHand,
    side: HeadSide,
    reading: str | Taken,
    *,
    by: By | None = None,
    struck: Struck = "rim",
    insisted: bool = False,
) -> Answered:
    """Write a reading of one head down.

    Args:
        desk: the desk.
        at: the state.
        side: which head.
        reading: a pitch as text, or one that was taken already.
        by: how a typed pitch was had.
        struck: where the head was struck.
        insisted: whether the player stands by a reading that looks like a slip.

    Raises:
        BadValue: it is no pitch.
        Doubtful: it looks like a slip, and the player did not insist.
    """
    taken = reading
    if isinstance(taken, str):
        taken = take_of(desk, at.now.drum_id, side, taken, a4_hz=desk.a4_hz(), by=by, struck=struck)
    doubt = doubt_of(at.now, side, taken, returned=at.returned)
    if doubt and not insisted:
        raise Doubtful(doubt)
    return _written(desk, at, State(taken={side: taken}))


def answer(desk: Desk, at: AtHand, question: Question, text: str) -> Answered:
    """Write the answer to any other question down.

    Args:
        desk: the desk.
        at: the state.
        question: snares, words, a passage or the verdict.
        text: what was said; ``+``, ``0`` or ``-`` of a passage.

    Raises:
        BadRecord: it cannot be kept.
        NotPossible: the verdict has nothing to compare with.
    """
    values: dict[str, Any] = {question.about: text}
    if question.about == "snares":
        values = {"snares": snares_of(at.now.drum, text)}
    elif question.about == "passage":
        before = {} if at.row is None else at.row.entry.passages
        values = {"passages": {**before, question.passage: text}}
    return _written(desk, at, State(values=values))


def snares_of(drum: Drum, text: str) -> SnareSetting | None:
    """Return the setting that a player wrote in a line, for the wires that are on; None for ``none``."""
    return None if folded(text) == "none" else parse_setting(drum, text)


def _written(desk: Desk, at: AtHand, state: State) -> Answered:
    now, row = at.now, at.row
    if row is None:
        tried = try_state(desk, now.drum_id, state, search=now.name)
    else:
        missing = {key: said for key, said in _common(now).items() if not getattr(row.entry, key)}
        grown = replace(state, values={**missing, **state.values})
        tried = add_to(desk, now.drum_id, row.entry.stands_for, grown)
    own = next(one for one in tried.now.rows if one.entry.stands_for == tried.entry.stands_for)
    if at.questions == (Question("verdict"),):
        after = AtHand(tried.now, own, ())
    elif at.returned:
        after = AtHand(tried.now, own, _heads(own), returned=True)
    else:
        after = AtHand(tried.now, own, _all(desk, tried.now, own) if own.entry.verdict is None else ())
    return Answered(after, _said(at, tried, state))


def _said(at: AtHand, tried: Tried, state: State) -> str:
    """Return what an answer comes to: remarks that were not made before, and the drift of a place known."""
    remarks = [one for one in tried.remarks if one not in at.now.remarks]
    place = place_of_entry(tried.entry)
    if at.returned and state.taken and place is not None:
        known = at.now.read.knows(place, but=tried.entry.stands_for)
        words = drift_words(at.now.read.moved(place, tried.entry)) if known else ""
        if words and not any(words in one for one in remarks):
            remarks.insert(0, words)
    return " ".join(remarks)


def _common(now: SearchNow) -> Mapping[str, str]:
    return {"context": now.context, "heard": now.heard}


def _is_state(row: Row) -> bool:
    """Tell whether an entry tells of a state, and is no round, single rod, or mark of the search itself."""
    entry = row.entry
    if entry.settled or entry.touch_up is not None or entry.kind in ("round", "count"):
        return False
    return entry.kind != "remark" or row.number == 1 or was_heard(entry)


def _gone_from(now: SearchNow, row: Row) -> bool:
    """Tell whether the drum was turned away from the place of an entry since."""
    return now.drum.turns_offered and place_of_entry(row.entry) != now.place


def _heads(row: Row | None) -> tuple[Question, ...]:
    entry = None if row is None else row.entry
    return tuple(Question(side) for side in SIDES if entry is None or entry.reading(side) is None)


def _all(desk: Desk, now: SearchNow, row: Row | None) -> tuple[Question, ...]:
    entry = None if row is None else row.entry
    found = list(_heads(row))
    if entry is None or entry.snares is None:
        last = next((one.entry.snares for one in reversed(now.rows) if one.entry.snares is not None), None)
        found.append(Question("snares", offered="" if last is None else last.text()))
    if entry is None or not entry.words:
        found.append(Question("words"))
    found += [
        Question("passage", passage=one)
        for one in desk.user.passages
        if entry is None or one not in entry.passages
    ]
    if _can_be_judged(now, row):
        found.append(Question("verdict"))
    return tuple(found)


def _can_be_judged(now: SearchNow, row: Row | None) -> bool:
    """Tell whether there is another state to hold the one at hand against."""
    if not now.drum.turns_offered:
        return row is None or row.number > 1
    return now.search is not None and now.place != now.search.kept
