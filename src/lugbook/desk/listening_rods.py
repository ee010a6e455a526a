"""Listening to a round of the rods, and to the one before it where rods were turned since."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from lugbook.desk.desk import Desk
from lugbook.desk.evening import Evening, advise, refused
from lugbook.desk.rod_rounds import RodsAsked, answer_of, beds_of
from lugbook.errors import StrikeUnreadable
from lugbook.heads.hearing import FAR_FROM_OTHERS
from lugbook.plain import shown
from lugbook.turns.amounts import show_turns

if TYPE_CHECKING:
    from lugbook.heads import Hearing, RodRound

Listen = Callable[[str, float | None], "Hearing"]
"""Listens to the recording at a path, with the pitch to expect in Hz."""


def even_out(
    desk: Desk, path: str, *, asked: RodsAsked, near_hz: float | None, listen: Listen
) -> tuple["Hearing", Evening]:
    """Listen to a round of taps and say what to turn.

    Args:
        desk: the desk.
        path: the recording.
        asked: how many rods were tapped in which order, of which head.
        near_hz: the pitch to expect, in Hz, or None.
        listen: listens to a recording.

    Raises:
        BadValue: the drum's head has another number of rods.
        NotPossible: the drum has no rods to turn.
        StrikeUnreadable: the round before cannot be read.
    """
    # Imported on use: numpy is needed for recordings alone.
    from lugbook.heads import first_answer, second_round

    beds, said = beds_of(desk, asked)
    hearing, heard = _round(path, asked, beds, near_hz, listen)
    if heard.median_hz is None:
        return hearing, refused(asked.rods, heard)
    # A rod far from the others is left out of the head's pitch; the round counts it, and says so itself.
    hearing = replace(hearing, remarks=tuple(one for one in hearing.remarks if FAR_FROM_OTHERS not in one))
    head = answer_of(desk, asked, hz=heard.median_hz)
    answer = first_answer(cents_per_turn=head.cents_per_turn, sd=head.sd, rods=asked.rods)
    if asked.before is None:
        return hearing, advise(heard, head=head, answer=answer, remarks=said)
    _, before = _round(asked.before, asked, beds, near_hz, listen)
    if before.refused is not None:
        raise StrikeUnreadable(
            f"{shown(asked.before)}: {before.refused}", hint="Leave out --before, and judge this round alone."
        )
    turned = asked.turned
    if turned is None:
        followed = advise(before, head=head, answer=answer)
        turned = {rod.rod: rod.turn for rod in followed.round.rods if rod.turn is not None}
        said = (*said, _taken_as(turned))
    learned = second_round(before, heard, turned=turned, answer=answer, cents_per_turn=head.cents_per_turn)
    return hearing, advise(
        heard,
        head=head,
        answer=learned.answer,
        not_these=(*learned.unanswered, *learned.slipped),
        remarks=(*learned.remarks, *said),
    )


def _round(
    path: str, asked: RodsAsked, beds: tuple[int, ...], near_hz: float | None, listen: Listen
) -> tuple["Hearing", "RodRound"]:
    """Return what was heard in a recording, and the round that it holds.

    Where a rod was not heard, its tap may have been read as another pitch of the drum: the recording is then
    listened to once more, now with the pitch of the others to expect.
    """
    from lugbook.heads import RodRound, hear_rods

    def rods_of(hearing: "Hearing") -> RodRound:
        if hearing.refused is not None:
            return RodRound((), None, None, False, None, (), hearing.refused)
        return hear_rods(hearing.taps, rods=asked.rods, order=asked.order, beside_beds=beds)

    first = listen(path, near_hz)
    heard = rods_of(first)
    if near_hz is None and first.reading is not None and _unheard(heard):
        second = listen(path, first.reading.hz)
        better = rods_of(second)
        if better.refused is None and (heard.refused is not None or _unheard(better) < _unheard(heard)):
            return second, better
    return first, heard


def _unheard(heard: "RodRound") -> int:
    """Return how many rods were not heard; more than any drum has where the round was refused."""
    return sum(rod.hz is None for rod in heard.rods) if heard.refused is None else 99


def _taken_as(turned: dict[int, float]) -> str:
    if not turned:
        return "Nothing was advised after the round before, and nothing is taken to have been turned since."
    listed = ", ".join(f"rod {rod} {show_turns(turn, sign='always')}" for rod, turn in turned.items())
    return f"Taken to have been turned as was advised then: {listed}."
