"""Playing the entries of a search again: what each verdict is held against, and what no longer counts."""

from collections.abc import Iterable, Mapping

from lugbook.desk.desk import Desk
from lugbook.desk.drifting import FirstReadings, Moved, drift_words, tolerances
from lugbook.desk.journal import counts_now
from lugbook.records import SIDES, Drum, Entry, HeadSide, HeardAt
from lugbook.trials import Judgment, Search
from lugbook.trials.grid import Pair, position_of
from lugbook.trials.search import Limits

STEP = 1 / 4
"""The step of a search whose player named none: a quarter turn (common practice, no source)."""


def place_of_entry(entry: Entry) -> Pair | None:
    """Return where both heads stand after an *entry*; None where it does not say so."""
    top, bottom = entry.position.top, entry.position.bottom
    return None if top is None or bottom is None else (top, bottom)


def limits_of(drum: Drum, start: Pair, too_high: Mapping[HeadSide, float]) -> Limits:
    """Return the limits of both heads in turns, moved out as far as the *start* where the drum stood already.

    Args:
        drum: the drum.
        start: where the search starts.
        too_high: head → the lowest place in which it was read above its limit in hertz; it ends below that.
    """
    found = []
    for index, side in enumerate(SIDES):
        built, at = drum.side(side), start[index]
        tops = [built.turns_max, too_high[side] - 1 / 64 if side in too_high else None]
        most = min((one for one in tops if one is not None), default=None)
        least = None if built.turns_min is None else min(built.turns_min, at)
        found.append((least, None if most is None else max(most, at)))
    return found[0], found[1]


def _too_high(drum: Drum, entries: Iterable[Entry]) -> dict[HeadSide, float]:
    """Return the lowest place in which each head was read above its limit in hertz."""
    found: dict[HeadSide, float] = {}
    limits = [(side, limit) for side in SIDES if (limit := drum.side(side).hz_max) is not None]
    for entry in entries if limits else ():
        for side, limit in limits:
            reading, turns = entry.reading(side), entry.position.of(side)
            hz = None if reading is None else reading.hz(a4_hz=entry.a4)
            if hz is not None and turns is not None and hz > limit:
                found[side] = min(turns, found.get(side, turns))
    return found


class Replay:
    """Plays the entries of one search again, one after another.

    Args:
        desk: the desk.
        drum: the drum.
        place: where the search is heard and judged.
        entries: of the search, in order.
        uneven: entry → the heads that are amid a round of the rods at it.
    """

    def __init__(
        self,
        desk: Desk,
        drum: Drum,
        *,
        place: HeardAt,
        entries: Iterable[Entry],
        uneven: Mapping[str, frozenset[HeadSide]],
    ) -> None:
        self.place = place
        self.search: Search | None = None
        self.told: list[tuple[Judgment, Entry]] = []
        self.void: dict[str, str] = {}
        self.remarks: list[str] = []
        self.read = FirstReadings()
        self._desk, self._drum, self._uneven = desk, drum, uneven
        self._step: float | None = None
        self._allowed = tolerances(desk)
        self._counts = counts_now(drum)
        self._calf = any(head is not None and head.material == "calf" for head in map(drum.head_on, SIDES))
        self._counted: dict[str, Pair] = {}
        kept = tuple(entries)
        # A verdict may be held against a state of a later entry: it was added to its own afterwards.
        self._places = {one.stands_for: place_of_entry(one) for one in kept}
        self._high = _too_high(drum, (one for one in kept if not self._is_older(one)))
        for entry in kept:
            self._take(entry)
        self._latest_counts()

    def _take(self, entry: Entry) -> None:
        self.remarks.clear()  # what was so before was said then
        if entry.step is not None:
            self._refine(entry.step)
        place = place_of_entry(entry)
        if place is None or not self._drum.turns_offered or entry.kind in ("round", "count"):
            return
        if why := self._why_void(entry):
            self.void[entry.stands_for] = why
            return
        if entry.touch_up is not None:
            self.read.forget(place)
            self.read.take(place, entry)
            return
        self._counted[entry.stands_for] = place
        moved = self.read.moved(place, entry)
        if self.search is None:
            self._begin(_start_of(entry, place))
        elif any(one.past(self._allowed) for one in moved):
            self._begin_again(entry, place, moved)
            return
        self.read.take(place, entry)
        if entry.verdict is not None:
            self._judge(entry, place)

    def _is_older(self, entry: Entry) -> bool:
        return any(entry.count.of(side) != self._counts.of(side) for side in SIDES)

    def _why_void(self, entry: Entry) -> str:
        if self._is_older(entry):
            return "of an older count"
        now = self._desk.now()
        if self._calf and entry.at.astimezone(now.tzinfo).date() != now.date():
            return "calf, of another day"
        return "amid a round of the rods" if self._uneven.get(entry.stands_for) else ""

    def _judge(self, entry: Entry, place: Pair) -> None:
        if self.search is None or entry.verdict is None:
            return
        if entry.heard not in ("", self.place):
            self.remarks.append(
                f"Heard {entry.heard}, and this search is judged {self.place}: "
                f"the verdict of {entry.stands_for} is kept and does not count."
            )
            return
        against = self._place_of(entry.against) or self.search.kept
        if place != against:
            self.told.append((self.search.tell(entry.verdict, position=place, against=against), entry))

    def _place_of(self, id_: str | None) -> Pair | None:
        """Return the place of the state that an entry tells of, unless it no longer counts."""
        return None if id_ is None or id_ in self.void else self._places.get(id_)

    def _begin(self, place: Pair) -> None:
        self.search = Search(
            step=self._step or STEP,
            start=place,
            limits=limits_of(self._drum, place, self._high),
            together=self._drum.tension == "single",
        )

    def _begin_again(self, entry: Entry, place: Pair, moved: tuple[Moved, ...]) -> None:
        lost = " Nor does its own verdict." if entry.verdict is not None else ""
        self.remarks.append(f"{drift_words(moved)} What was heard before no longer counts.{lost}")
        for one in self._counted:
            if one != entry.stands_for:
                self.void.setdefault(one, "heard before the drum drifted")
        self.told.clear()
        self.read = FirstReadings()
        self.read.take(place, entry)
        self._begin(place)

    def _refine(self, step: float) -> None:
        """Take a finer step; a coarser one is of a writer who had not seen the finer."""
        if self._step is not None and step >= self._step:
            return
        self._step = step
        if self.search is not None and step < self.search.step:
            self.search.refine(step)

    def _latest_counts(self) -> None:
        """Let the latest of several verdicts on one pair of states count: they were heard again."""
        latest = {frozenset((one.heard, one.against)): number for number, (one, _) in enumerate(self.told)}
        if self.search is None or len(latest) == len(self.told):
            return
        kept = [self.told[number] for number in sorted(latest.values())]
        start = self.search.heard[0]
        step, self.told = self.search.step, []
        self._begin(start)
        for one, entry in kept:
            place, against = position_of(one.heard), position_of(one.against)
            self.told.append((self.search.tell(one.verdict, position=place, against=against), entry))
        if step < self.search.step:
            self.search.refine(step)


def _start_of(entry: Entry, place: Pair) -> Pair:
    """Return where a search starts: at its first entry, or before the turn of one that is judged."""
    if entry.verdict is None:
        return place
    turned = (entry.turn.top or 0.0, entry.turn.bottom or 0.0)
    return place[0] - turned[0], place[1] - turned[1]
