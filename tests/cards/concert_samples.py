"""Concerts to try the pages on: of any length, with a change after every so many items, plain or crowded."""

from dataclasses import replace

from lugbook.cards.concert_facts import CardChange, CardConcert, CardItem, CardSetting, CardTurn, CardWindow
from lugbook.turns.orders import star_order

from .card_samples import CAUTION, TEN

SNARE, FIELD = "Concert snare", "Field drum"
LONG = "Wöchentlich " * 160


def change(before: int) -> CardChange:
    """A change of both heads."""
    return CardChange(
        drum=SNARE,
        from_preset="Soft rolls",
        to_preset="Dry étude",
        turns=(
            CardTurn("Bottom head", -0.25, "loosen ⅜, then tighten ⅛", TEN),
            CardTurn("Top head", 0.5, "tighten ½", TEN),
        ),
        then=("Set the strainer: just past free buzz. After a bottom turn that is only where to begin.",),
        seconds=130.0,
        takes="2:10",
        before=before,
        cautions=(),
        doubts=(),
    )


def window(after: int) -> CardWindow:
    """A pause with one change."""
    return CardWindow(
        after=after,
        where=f"After {after}",
        seconds=180.0,
        work_s=130.0,
        missing_s=0.0,
        time="2:10 of 3:00",
        missing="",
        changes=(change(after + 1),),
    )


def item(number: int) -> CardItem:
    """An item for one drum."""
    return CardItem(number, f"Overture no. {number}", tacet=False, played=((SNARE, "Dry étude"),), remarks=())


def concert(items: int = 3, *, every: int = 2) -> CardConcert:
    """A concert of so many *items*, a change after *every* so many; a field drum stands ready."""
    return CardConcert(
        id="spring",
        name="Spring concert",
        day="12 December 2026",
        hall="Town hall",
        a4_hz=442.0,
        language="",
        before_doors=(
            CardSetting(SNARE, "Soft rolls", ("top B♭3 −12 (232.4 Hz)", "bottom D4 (295.0 Hz)"), 1),
            CardSetting(FIELD, "March", ("top A3 (221.0 Hz)",), 2),
        ),
        items=tuple(item(number) for number in range(1, items + 1)),
        windows=tuple(window(number) for number in range(every, items, every)),
        fits=True,
        short=(),
        remarks=(),
        caution=CAUTION,
        printed="25 November 2026",
    )


def still(items: int) -> CardConcert:
    """A concert of so many *items* on four drums, each of which stands ready in the state it needs."""
    pitches = ("top B♭3 −12 (232.4 Hz)", "bottom D4 (295.0 Hz)")
    ready = ((SNARE, "Soft rolls"), (FIELD, "March"), ("Piccolo snare", "Dry étude"), ("Opera snare", "Pit"))
    return replace(
        concert(items),
        before_doors=tuple(
            CardSetting(drum, preset, pitches, number) for number, (drum, preset) in enumerate(ready, 1)
        ),
        items=tuple(
            replace(item(number), name=f"Symphony no. {number}, finale", played=(ready[(number - 1) % 4],))
            for number in range(1, items + 1)
        ),
        windows=(),
    )


def unserved(items: int = 12, *, after: str = "") -> CardConcert:
    """A concert that does not fit: a sentence for each item, the last with *after* at its end."""
    said = [f"Item {number}, Name: no preset serves it. Name a preset for it." for number in range(1, items)]
    return replace(still(items), fits=False, short=(*said, f"Item {items}, Name: it cannot be.{after}"))


def crowded(items: int = 12) -> CardConcert:
    """A concert that does not fit, with as much in every item and change as records may hold."""
    many = star_order(24)
    turn = CardTurn("Bottom head", -1.671875, "loosen 1 15/16 and a hair and a half, then tighten ⅛", many)
    full = replace(
        change(2),
        drum="M" * 120,
        from_preset="W" * 120,
        to_preset="W" * 120,
        turns=(turn, replace(turn, head="Top head", order=star_order(23))),
        then=(LONG, LONG),
        cautions=("top head: past its limit of 2 11/16 turns", LONG),
        doubts=(LONG,),
    )
    pair = replace(
        window(1),
        where="In 1, bars 112-1140",
        time="12:10 of 9:59",
        missing="12:20 too short",
        changes=(full, full),
    )
    alone = replace(pair, changes=(full,))
    played = (("M" * 120, "W" * 120), ("軽" * 120, "W" * 120))
    return replace(
        concert(items),
        name="W" * 120,
        hall=LONG,
        language="German note names: B is English B♭, H is English B.",
        before_doors=(CardSetting("M" * 120, "W" * 120, ("top sol♯♯4 −100 (1234.5 Hz)",) * 2, 100),) * 12,
        items=tuple(
            replace(item(number), name="W" * 120, played=played, remarks=(LONG,))
            for number in range(1, items + 1)
        ),
        windows=tuple(
            replace(pair if number % 2 else alone, after=number) for number in range(1, max(items, 2))
        ),
        fits=False,
        short=(LONG, LONG),
        remarks=(LONG, LONG),
    )
