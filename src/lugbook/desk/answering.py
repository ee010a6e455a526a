"""How a drum answers to turns, as far as its logbook tells: cents a quarter turn, the line, and the drift."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.desk.picturing import keep_svg
from lugbook.desk.responses import Learned, day_of, learned_of
from lugbook.desk.turning import basis_of
from lugbook.desk.wording import day_text, turned_part
from lugbook.errors import NotPossible
from lugbook.pitch import in_cents, pitch_hz
from lugbook.plain import shown
from lugbook.records import SIDES, Drum, HeadSide, Struck, least_sd_cents

if TYPE_CHECKING:
    from lugbook.turns.curve import Curve, Heard

_GUESS_SHARE = 0.2
"""A slope known no better than this share of itself is a guess."""

_WORTH_SAYING_CENTS = 2.0
"""A fall of less until tomorrow is nothing that a player hears of."""


@dataclass(frozen=True, slots=True)
class HeadAnswer:
    """How one head answers."""

    side: HeadSide
    curve: "Curve"
    basis: str
    """What it rests on, in words."""
    entries: tuple[str, ...]
    """The ids of those logbook entries, one for each point of the curve."""
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
    return DrumAnswer(
        drum_id=drum_id,
        name=drum.name,
        a4_hz=desk.shared().a4,
        day=learned.day,
        when=day_text(desk.now().date()),
        top=_head(drum, "top", learned),
        bottom=_head(drum, "bottom", learned),
        remarks=tuple(remarks),
    )


def keep_answer(found: DrumAnswer, path: Path) -> None:
    """Draw how a drum answers and keep it at *path*, as `picturing.keep_picture` does."""
    # Imported on use: only a picture needs it.
    from lugbook.cards.response import Panel, response_picture

    panels = [Panel(one.curve, one.basis, one.turns_max) for one in (found.top, found.bottom)]
    drawn = response_picture(panels, name=found.name, when=found.when, day=found.day, a4_hz=found.a4_hz)
    keep_svg(drawn, path)


def _head(drum: Drum, side: HeadSide, learned: Learned) -> HeadAnswer:
    # Imported on use: numpy is needed here, not by the other deeds.
    from lugbook.turns.curve import curve

    found = curve(learned.response, side, _heard(learned, side), position=learned.here, day=learned.day)
    guess = found.slope_sd > _GUESS_SHARE * found.slope
    return HeadAnswer(
        side=side,
        curve=found,
        basis=basis_of(learned, side),
        entries=tuple(entry.id for entry in learned.entries[side]),
        guess=guess,
        turns_max=drum.side(side).turns_max,
        hz_max=drum.side(side).hz_max,
        remarks=tuple(_remarks(drum, side, found, guess=guess)),
    )


def _heard(learned: Learned, side: HeadSide) -> list["Heard"]:
    from lugbook.turns.curve import Heard

    own = SIDES.index(side)
    heard = []
    for entry, place in zip(learned.entries[side], learned.places[side], strict=True):
        reading = entry.reading(side)
        hz = None if reading is None else pitch_hz(reading.pitch, a4_hz=entry.a4)
        if reading is not None and hz is not None:
            sd = max(reading.sd_cents, least_sd_cents(reading.by))
            heard.append(Heard(place[own], place[1 - own], hz, sd, day_of(entry.at)))
    return heard


def _remarks(drum: Drum, side: HeadSide, found: "Curve", *, guess: bool) -> list[str]:
    head, said = drum.head_on(side), []
    if found.hz is None:
        said.append(f"The {side} head was not read in this count: its pitch is not known.")
    if guess:
        said.append(f"What a turn of the {turned_part(drum.tension, side)} does is a guess as yet.")
    if found.down is None and found.hz is not None:
        said.append(f"A quarter turn looser, the {side} head would be slack.")
    if found.fall_day_cents >= _WORTH_SAYING_CENTS:
        fall, week = in_cents(found.fall_day_cents), in_cents(found.fall_week_cents)
        said.append(f"The {side} head still gives way: by about {fall} until tomorrow, {week} in a week.")
    if head is not None and head.material == "calf":
        said.append(
            f"The {side} head is calf (on since {day_text(head.on)}): trust its pitch, never its turns."
        )
    return said
