"""The demo's logbooks: entries made of the players' steps; the pitches follow the hidden drums."""

import random
from datetime import UTC, datetime, timedelta
from typing import Literal

from demo_drums import A4_HZ, COLLEAGUE, DRUMS, PLAYER
from demo_steps import STEPS, SUMMER, WINTER, Step
from hidden_drum import HIDDEN, READING_SD_CENTS
from lugbook.records import SIDES, CountPerHead, Entry, HeadSide, PerHead, Reading, SnareSetting, TouchUp

Kind = Literal["turn", "reading", "touch-up", "count"]

TOUCH_UP = 1 / 16
"""How far a single rod is turned in a touch-up, in turns."""

STATED_SD_CENTS = 4.0
"""The uncertainty that the demo player's readings carry, in cents."""

WRITERS = {PLAYER: "tavelm", COLLEAGUE: "quellm"}


def entries(slug: str) -> tuple[Entry, ...]:
    """Return the logbook of one drum with rods, oldest entry first; the same on every call."""
    player, (top, bottom), steps = STEPS[slug]
    chance = random.Random(slug)  # noqa: S311  scatter that can be made again, no secret
    touched = 0.0
    made: list[Entry] = []
    for number, step in enumerate(steps):
        at = step.at or made[-1].at + timedelta(minutes=4)
        top, bottom = top + step.top, bottom + step.bottom
        # One rod of n counts as an n-th of a turn of all.
        touched += TOUCH_UP / DRUMS[slug].top.rods if step.rod else 0.0
        readings = _readings(slug, step.read, (top + touched, bottom), at=at, chance=chance)
        made.append(
            Entry(
                at=at,
                kind=_kind(step),
                turn=PerHead(top=step.top or None, bottom=step.bottom or None),
                position=PerHead(top=top, bottom=bottom),
                count=CountPerHead(top=_count_at(slug, "top", at), bottom=_count_at(slug, "bottom", at)),
                touch_up=TouchUp(head="top", rod=step.rod, amount=TOUCH_UP) if step.rod else None,
                a4=A4_HZ,
                top=readings.get("top"),
                bottom=readings.get("bottom"),
                snares=SnareSetting(values=step.snares) if step.snares else None,
                words=step.words,
                verdict=step.verdict,
                search=step.search,
                context=step.search,
                sticks="concert, medium" if step.words else "",
                player=player,
                heard=("in the hall" if step.in_hall else "at the drum") if step.words else "",
                temperature_c=step.temperature_c,
                humidity_pct=step.humidity_pct,
                note=step.note,
                id=entry_id(at, player, number),
            )
        )
    return tuple(made)


def rope_entries() -> tuple[Entry, ...]:
    """Return the logbook of the rope drum: pitches by ear, no turns."""
    heard = (
        (datetime(2026, 9, 20, 15, 0, tzinfo=SUMMER), "E3", "A3-25", "damp evening; ropes tight", 21.0, 66.0),
        (datetime(2026, 11, 8, 18, 30, tzinfo=WINTER), "E3-25", "A3", "dry hall; left as it was", 20.0, 41.0),
    )
    return tuple(
        Entry(
            at=at,
            kind="reading",
            a4=A4_HZ,
            top=Reading(pitch=top, by="ear", sd_cents=25.0),
            bottom=Reading(pitch=bottom, by="ear", sd_cents=25.0),
            snares=SnareSetting(values={"screw": 2}),
            player=COLLEAGUE,
            heard="at the drum",
            temperature_c=temperature_c,
            humidity_pct=humidity_pct,
            note=note,
            id=entry_id(at, COLLEAGUE, number),
        )
        for number, (at, top, bottom, note, temperature_c, humidity_pct) in enumerate(heard)
    )


def logbooks() -> dict[str, tuple[Entry, ...]]:
    """Return the slug of every drum → its entries, oldest first."""
    return {slug: entries(slug) if slug in STEPS else rope_entries() for slug in DRUMS}


def entry_id(at: datetime, player: str, number: int) -> str:
    """Return an entry's id that is the same whenever the demo is made."""
    letters = "".join(chr(ord("a") + number // 26**place % 26) for place in (3, 2, 1, 0))
    return f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}-{WRITERS[player]}-{letters}"


def _readings(
    slug: str,
    sides: tuple[HeadSide, ...],
    position: tuple[float, float],
    *,
    at: datetime,
    chance: random.Random,
) -> dict[HeadSide, Reading]:
    true_hz = dict(zip(SIDES, HIDDEN[slug].hz(position, at=at), strict=True))
    read = {side: true_hz[side] * 2 ** (chance.gauss(0.0, READING_SD_CENTS) / 1200) for side in sides}
    return {
        side: Reading(pitch=f"{hz:.1f} Hz", by="recording", sd_cents=STATED_SD_CENTS)
        for side, hz in read.items()
    }


def _count_at(slug: str, side: HeadSide, at: datetime) -> str:
    return [count.id for count in DRUMS[slug].counts if count.side == side and count.since <= at][-1]


def _kind(step: Step) -> Kind:
    if step.new_count:
        return "count"
    if step.rod:
        return "touch-up"
    return "turn" if step.top or step.bottom else "reading"
