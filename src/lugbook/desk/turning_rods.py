"""At the drum: the rods of one head are turned, one by one or all at once, or turned back.

A round of the rods is one entry of the logbook that grows: each rod done appends a correction of it, and the
last one makes it a turn, or strikes it out where it was taken back.
"""

from dataclasses import replace

from lugbook.desk.bench import Bench, compared
from lugbook.desk.desk import Desk
from lugbook.desk.journal import counts_now, moved, position_now, with_counts, write
from lugbook.desk.rounds import BY_TURNS_ALONE, OpenRound, new_round
from lugbook.desk.steps import moves_bottom, snares_afresh
from lugbook.desk.wording import turned_part
from lugbook.errors import Doubtful, NotPossible
from lugbook.records import SIDES, Drum, HeadSide, PerHead

READ_AGAIN = "Turned. Tap both heads again and read them."
TAKEN_BACK = "Taken back: every rod is where it was. Tap again to be sure of it."


def begin(bench: Bench, side: HeadSide, *, insisted: bool = False) -> Bench:
    """Begin the round that the advice asks of one head.

    Raises:
        Doubtful: it goes past a limit, and the player did not insist.
        NotPossible: there is no turn to make on that head, or another round is open.
    """
    turn = bench.retuning.head(side) if bench.retuning is not None else None
    if bench.round is not None:
        raise NotPossible(bench.round.unfinished())
    if turn is None or not turn.amount:
        raise NotPossible(
            f"There is nothing to turn on the {turned_part(bench.drum.tension, side)}.", hint="Read it first."
        )
    careful = bench.cautions(side)
    if not insisted and (past := next((one for one in careful if one.past_limit), None)):
        raise Doubtful(f"The turn goes {past.short}.")
    heard = bench.silent is None
    at_hand = new_round(
        bench.drum,
        side,
        turn.amount,
        preset="" if bench.search else bench.name,
        search=bench.search,
        cautions=careful,
        tapped=heard,
    )
    return replace(bench, round=at_hand, remarks=())


def rod_done(desk: Desk, bench: Bench) -> Bench:
    """The next rod was turned; the last one ends the round."""
    return _kept(desk, bench, _at_hand(bench).with_next())


def stopped_after(desk: Desk, bench: Bench, rod: int) -> Bench:
    """The round was stopped after *rod*: it and all before it in the order are turned in this pass.

    Raises:
        BadValue: the head has no such rod.
    """
    return _kept(desk, bench, _at_hand(bench).stopped_after(rod))


def all_done(desk: Desk, bench: Bench) -> Bench:
    """All rods of this pass were turned; after the last pass the head stands at its new position."""
    return _kept(desk, bench, _at_hand(bench).with_pass())


def take_back(desk: Desk, bench: Bench) -> Bench:
    """Turn the round round: its rods are turned back one by one, or are gone on with after all.

    A round of which no rod was turned is dropped.

    Raises:
        NotPossible: rods have been turned back already.
    """
    at_hand = _at_hand(bench)
    if at_hand.done:
        return replace(bench, round=at_hand.the_other_way(), remarks=())
    return _without_round(desk, bench)


def _without_round(desk: Desk, bench: Bench, *remarks: str) -> Bench:
    left = replace(bench, round=None, remarks=remarks)
    return left if left.retuning is not None else compared(desk, left)


def _at_hand(bench: Bench) -> OpenRound:
    if bench.round is None:
        raise NotPossible("No round of the rods has been begun.", hint="Read both heads first.")
    return bench.round


def _kept(desk: Desk, bench: Bench, at_hand: OpenRound) -> Bench:
    """Write down how far the round has come; a complete one is a turn."""
    drum = _counted(desk, bench)
    if at_hand.entry_id is None:
        _check_not_turned(desk, bench)
    if at_hand.complete and at_hand.taking_back:
        struck_out = {"kind": "round", "corrects": at_hand.entry_id, "void": True}
        write(desk, bench.drum_id, drum, struck_out)
        return _without_round(desk, replace(bench, drum=drum), TAKEN_BACK)
    if at_hand.complete:
        return _turned(desk, replace(bench, drum=drum), at_hand)
    fields: dict[str, object] = {
        "kind": "round",
        "round": at_hand.kept(),
        "preset": at_hand.preset,
        "search": at_hand.search,
        "corrects": at_hand.entry_id,
    }
    entry = write(desk, bench.drum_id, drum, fields | _marked(at_hand))
    grown = replace(at_hand, entry_id=at_hand.entry_id or entry.id)
    return replace(bench, drum=drum, round=grown, remarks=())


def _turned(desk: Desk, bench: Bench, at_hand: OpenRound) -> Bench:
    here = position_now(desk, bench.drum_id, bench.drum)
    after = moved(bench.drum, here, side=at_hand.side, amount=at_hand.amount)
    both = bench.drum.tension == "single"
    turn = PerHead(
        top=at_hand.amount if both or at_hand.side == "top" else None,
        bottom=at_hand.amount if both or at_hand.side == "bottom" else None,
    )
    replaced = at_hand.entry_id if _is_last(desk, bench.drum_id, at_hand) else None
    fields: dict[str, object] = {
        "kind": "turn",
        "turn": turn,
        "preset": at_hand.preset,
        "search": at_hand.search,
        "corrects": replaced,
    }
    write(desk, bench.drum_id, bench.drum, fields | _marked(at_hand), position=after)
    turned: tuple[HeadSide, ...] = SIDES if both else (*bench.turned, at_hand.side)
    left = replace(bench, position=after, round=None, turned=turned, remarks=())
    if left.next_side is not None:
        return left
    remarks = [READ_AGAIN] if at_hand.tapped else [BY_TURNS_ALONE]
    if bench.silent is not None:
        remarks = list(bench.silent.landed)
    if any(moves_bottom(bench.drum, side) for side in turned):
        remarks.append(snares_afresh(bench.preset.snares.text()))
    return replace(
        left,
        top=None,
        bottom=None,
        comparison=None,
        retuning=None,
        silent=None,
        turned=(),
        remarks=tuple(remarks),
    )


def _marked(at_hand: OpenRound) -> dict[str, object]:
    """Return what marks the entries of a round that belongs to a silent change."""
    return {} if at_hand.tapped else {"note": BY_TURNS_ALONE}


def _is_last(desk: Desk, drum_id: str, at_hand: OpenRound) -> bool:
    """Tell whether nothing was written since the round was stopped.

    A turn takes the place of its round only then; otherwise it would stand before a reading that was taken
    at the old position, and that reading's position would count as the present one.
    """
    entries = desk.library.log(drum_id).entries
    return bool(entries) and entries[-1].stands_for == at_hand.entry_id


def _counted(desk: Desk, bench: Bench) -> Drum:
    """Return the drum as it is kept now, with its counts begun; a first turn begins them.

    Raises:
        NotPossible: a count was begun elsewhere meanwhile, so that the bench no longer shows what is so.
    """
    stored = desk.library.drum(bench.drum_id)
    before, now = counts_now(bench.drum), counts_now(stored.record)
    if any(before.of(side) not in (None, now.of(side)) for side in SIDES):
        raise NotPossible(
            "A head was changed or a count begun elsewhere meanwhile.",
            hint="Leave the bench and open it again.",
        )
    drum = with_counts(desk, stored.record)
    if drum is not stored.record:
        desk.library.save_drum(stored, drum)
    return drum


def _check_not_turned(desk: Desk, bench: Bench) -> None:
    """Make sure that a round that begins is still to be made.

    Raises:
        NotPossible: a head was turned elsewhere since the bench was opened, in a concert for one.
    """
    here = position_now(desk, bench.drum_id, bench.drum)
    if any((here.of(side) or 0.0) != (bench.position.of(side) or 0.0) for side in SIDES):
        raise NotPossible(
            f"The {bench.drum.name} was turned elsewhere meanwhile.",
            hint="Leave the bench and open it again.",
        )
