"""How a drum answers to turns, as far as its logbook tells: cents a quarter turn, the line, and the drift."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.desk.journal import AS_IT_STOOD
from lugbook.desk.learned import Learned
from lugbook.desk.picturing import keep_svg
from lugbook.desk.responses import GUESS_SHARE, day_of, learned_of
from lugbook.desk.turning import basis_of
from lugbook.desk.wording import NOTHING, day_text, turned_part
from lugbook.errors import NotPossible
from lugbook.pitch import in_cents, pitch_hz, signed
from lugbook.plain import shown
from lugbook.records import SIDES, Drum, Entry, HeadSide, Struck
from lugbook.turns.amounts import coarsen, show_turns

if TYPE_CHECKING:
    from lugbook.turns.curve import Curve, Heard, Move

_WORTH_SAYING_CENTS = 2.0
"""A fall or weather of less is nothing that a player hears of."""


@dataclass(frozen=True, slots=True)
class HeadAnswer:
    """How one head answers."""

    side: HeadSide
    curve: "Curve"
    basis: str
    """What it rests on, in words."""
    entries: tuple[str, ...]
    """The ids of those logbook entries, one for each point of the curve."""
    counts: tuple[str, ...]
    """The count that each of them belongs to."""
    guess: bool
    """Whether the turns are guessed rather than learned."""
    turns_max: float | None
    hz_max: float | None
    """The head's limits, where the drum's record has them."""
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DrumAnswer:
    """How a drum answers."""

    drum_id: str
    name: str
    a4_hz: float
    """The concert pitch that notes are named at, in Hz."""
    day: float
    """Today, in days since 1970."""
    when: str
    """Today in words."""
    top: HeadAnswer
    bottom: HeadAnswer
    remarks: tuple[str, ...]

    def head(self, side: HeadSide) -> HeadAnswer:
        """Return the answer of the *side*."""
        return self.top if side == "top" else self.bottom

    def rows(self) -> list[tuple[str, ...]]:
        """Return a heading, and each head where it stands and at its lowest and highest place read."""
        rows: list[tuple[str, ...]] = [("a quarter turn", "tighter", "looser", "of the other")]
        for one in (self.top, self.bottom):
            curve = one.curve
            now = f"{one.side} at {show_turns(curve.turns)}, now"
            rows.append((now, _move(curve.up), _move(curve.down), _move(curve.of_other)))
            for place, words in ((curve.lowest, "lowest read"), (curve.highest, "highest read")):
                if place is not None and place.turns != curve.turns:
                    where = f"{one.side} at {show_turns(place.turns)}, {words}"
                    rows.append((where, _move(place.up), _move(place.down), ""))
        return rows


def _move(move: "Move | None") -> str:
    return NOTHING if move is None else f"{signed(move.cents)} ± {in_cents(move.sd_cents)}"


def answer(desk: Desk, drum_id: str, *, struck: Struck = "rim") -> DrumAnswer:
    """Return how a drum answers to turns.

    Args:
        desk: the desk.
        drum_id: the drum.
        struck: where its heads are struck; readings had elsewhere sound another mode.

    Raises:
        NotPossible: it has no rods.
    """
    drum = desk.library.drum(drum_id).record
    if not drum.turns_offered:
        raise NotPossible(
            f"{shown(drum.name)} is tensioned with rope: there are no turns to answer to.",
            hint="Its pitches and presets are kept all the same.",
        )
    learned = learned_of(desk, drum_id, struck=struck)
    remarks = [problem.sentence() for problem in desk.library.log(drum_id).problems]
    if drum.tension == "single":
        remarks.append("One rod pulls both heads: a turn moves both.")
    log = desk.library.log(drum_id).entries
    top, bottom = _head(drum, "top", learned, log), _head(drum, "bottom", learned, log)
    remarks += _alike(top, bottom)
    return DrumAnswer(
        drum_id=drum_id,
        name=drum.name,
        a4_hz=desk.shared().a4,
        day=learned.day,
        when=day_text(desk.now().date()),
        top=top,
        bottom=bottom,
        remarks=tuple(remarks),
    )


def keep_answer(found: DrumAnswer, path: Path) -> None:
    """Draw how a drum answers and keep it at *path*, as `picturing.keep_picture` does."""
    # Imported on use: only a picture needs it.
    from lugbook.cards.response import Panel, response_picture

    panels = [Panel(one.curve, one.basis, one.turns_max) for one in (found.top, found.bottom)]
    drawn = response_picture(panels, name=found.name, when=found.when, day=found.day, a4_hz=found.a4_hz)
    keep_svg(drawn, path)


def _head(drum: Drum, side: HeadSide, learned: Learned, log: Sequence[Entry]) -> HeadAnswer:
    # Imported on use: numpy is needed here, not by the other deeds.
    from lugbook.turns.curve import curve

    found = curve(
        learned.response, side, _heard(drum, learned, side, log), position=learned.here, day=learned.day
    )
    guess = found.slope_sd > GUESS_SHARE * found.slope
    return HeadAnswer(
        side=side,
        curve=found,
        basis=basis_of(learned, side),
        entries=tuple(entry.id for entry in learned.entries[side]),
        counts=tuple(entry.count.of(side) or "" for entry in learned.entries[side]),
        guess=guess,
        turns_max=drum.side(side).turns_max,
        hz_max=drum.side(side).hz_max,
        remarks=tuple(_remarks(drum, side, found, guess=guess)),
    )


def _heard(drum: Drum, learned: Learned, side: HeadSide, log: Sequence[Entry]) -> list["Heard"]:
    from lugbook.turns.curve import Heard

    own = SIDES.index(side)
    ends = _ends(drum, SIDES[1 - own], log)
    heard = []
    for entry, place in zip(learned.entries[side], learned.places[side], strict=True):
        reading = entry.reading(side)
        hz = None if reading is None else pitch_hz(reading.pitch, a4_hz=entry.a4)
        if reading is not None and hz is not None:
            sd = reading.uncertainty_cents
            end = ends.get(entry.count.of(SIDES[1 - own]))
            other = learned.here[1 - own] if end is None else place[1 - own] - end
            heard.append(Heard(place[own], other, hz, sd, day_of(entry.at)))
    return heard


def _ends(drum: Drum, side: HeadSide, log: Sequence[Entry]) -> dict[str | None, float]:
    """Return at how many turns of its count the present nought of a head lies: 0 in the running count.

    Where the count before was lost while the head stood as it was, nought is where that one ended. Of counts
    whose end had nothing to do with the present ones there is no such place.
    """
    counts = [one for one in drum.counts if one.side in (side, "both")]
    if not counts:
        return {}
    ends: dict[str | None, float] = {counts[-1].id: 0.0}
    if len(counts) > 1 and counts[-1].reference == AS_IT_STOOD:
        before = [entry for entry in log if entry.count.of(side) == counts[-2].id]
        ends[counts[-2].id] = (before[-1].position.of(side) or 0.0) if before else 0.0
    return ends


def _alike(top: HeadAnswer, bottom: HeadAnswer) -> list[str]:
    """Return what both heads did alike by themselves, where it can be told and a player would hear of it."""
    # Imported on use, as `curve` is.
    from lugbook.turns.alike import alike_hz2
    from lugbook.turns.squares import SLACK_HZ, cents_of

    below = dict(zip(bottom.entries, bottom.curve.points, strict=True))
    above = zip(top.entries, top.curve.points, strict=True)
    shared = alike_hz2(top.curve, bottom.curve, [(one, below[key]) for key, one in above if key in below])
    squares = [max(one.curve.square, SLACK_HZ**2) for one in (top, bottom)]
    if shared is None or cents_of(shared, at=min(squares)) < _WORTH_SAYING_CENTS:
        return []
    more, less = (in_cents(cents_of(shared, at=square)) for square in squares)
    return [f"Both heads drifted alike, as weather moves them: the top by ± {more}, the bottom by ± {less}."]


def _remarks(drum: Drum, side: HeadSide, found: "Curve", *, guess: bool) -> list[str]:
    head, said = drum.head_on(side), []
    if not found.points:
        said.append(f"The {side} head was not read in this count: its pitch is not known.")
    if guess:
        said.append(f"What a turn of the {turned_part(drum.tension, side)} does is a guess as yet.")
    if found.points and found.hz is None:
        said.append(f"The {side} head is slack where it stands: it sounds no note.")
    elif found.points and found.down is None:
        said.append(f"A quarter turn looser, the {side} head would be slack.")
    elif found.slack_below is not None:
        lowest = show_turns(coarsen(found.slack_below, step=1 / 8))
        said.append(f"The line ends at about {lowest}: further down the {side} head would be slack.")
    if found.fall_day_cents >= _WORTH_SAYING_CENTS:
        fall, week = in_cents(found.fall_day_cents), in_cents(found.fall_week_cents)
        said.append(f"The {side} head still gives way: by about {fall} until tomorrow, {week} in a week.")
    if head is not None and head.material == "calf":
        said.append(
            f"The {side} head is calf (on since {day_text(head.on)}): trust its pitch, never its turns."
        )
    return said
