"""The five drums of the demo's invented player, and what the invented section shares.

Jorun Tessavik of the Philharmonia Tavelmark does not exist, nor does that orchestra, nor its Mattis Quell.
"""

from datetime import UTC, date, datetime

from lugbook.records import (
    Adjustment,
    Count,
    Drum,
    Head,
    LibrarySettings,
    Side,
    Strainer,
    Wires,
)

PLAYER = "Jorun Tessavik"
COLLEAGUE = "Mattis Quell"

A4_HZ = 442.0

SETTINGS = LibrarySettings(
    name="Philharmonia Tavelmark, percussion",
    a4=A4_HZ,
    contexts=(
        "audition",
        "big orchestral tutti",
        "chamber",
        "concert hall",
        "dry room",
        "dry étude",
        "field drum",
        "historical march",
        "light march",
        "low romantic",
        "opera pit",
        "soft rolls",
    ),
    note="An invented section: its drums, presets and logbooks are computed.",
)

_KNOB = Adjustment(name="knob", unit="clicks", zero="all the way out")

DRUMS: dict[str, Drum] = {
    "concert-snare": Drum(
        name="Concert snare",
        diameter_in=14,
        depth_in=4,
        shell="brass, 1.2 mm",
        top=Side(rods=10, turns_max=2.5, hz_max=290.0),
        bottom=Side(
            rods=10, turns_max=3.25, hz_max=400.0, snare_bed_rods=(1, 5, 6, 10), reached_on_stand=False
        ),
        heads=(
            Head(
                id="top-1",
                side="top",
                on=date(2025, 9, 1),
                off=date(2026, 10, 12),
                film_mil=10,
                name="coated",
            ),
            Head(id="bottom-1", side="bottom", on=date(2025, 9, 1), off=date(2026, 10, 12), film_mil=3),
            Head(id="top-2", side="top", on=date(2026, 10, 12), film_mil=10, name="coated"),
            Head(id="bottom-2", side="bottom", on=date(2026, 10, 12), film_mil=3, name="clear, thin"),
        ),
        counts=(
            Count(
                id="top-1",
                side="top",
                since=datetime(2025, 9, 1, 15, 0, tzinfo=UTC),
                reference="finger tight, then half a turn",
            ),
            Count(
                id="bottom-1",
                side="bottom",
                since=datetime(2025, 9, 1, 15, 0, tzinfo=UTC),
                reference="finger tight, then half a turn",
            ),
            Count(
                id="top-2",
                side="top",
                since=datetime(2026, 10, 12, 10, 0, tzinfo=UTC),
                reference="finger tight, then half a turn",
                why="new head",
            ),
            Count(
                id="bottom-2",
                side="bottom",
                since=datetime(2026, 10, 12, 10, 0, tzinfo=UTC),
                reference="finger tight, then half a turn",
                why="new head",
            ),
        ),
        wires=(Wires(id="wires-1", kind="cable", strands=12, tied="cord", since=date(2026, 10, 12)),),
        strainer=Strainer(
            name="side throw-off",
            adjustments=(_KNOB, Adjustment(name="butt", unit="turns", zero="flush")),
        ),
        note="The audition drum.",
    ),
    "deep-maple": Drum(
        name="Deep maple",
        diameter_in=14,
        depth_in=6.5,
        shell="maple, eight plies",
        top=Side(rods=10, turns_max=2.5),
        bottom=Side(rods=10, turns_max=3.0, snare_bed_rods=(1, 5, 6, 10)),
        heads=(
            Head(id="top-1", side="top", on=date(2026, 2, 3), film_mil=10, name="coated"),
            Head(id="bottom-1", side="bottom", on=date(2026, 2, 3), off=date(2026, 8, 24), film_mil=3),
            Head(id="bottom-2", side="bottom", on=date(2026, 8, 24), film_mil=3),
        ),
        counts=(
            Count(id="top-1", side="top", since=datetime(2026, 2, 3, 9, 0, tzinfo=UTC)),
            Count(id="bottom-1", side="bottom", since=datetime(2026, 2, 3, 9, 0, tzinfo=UTC)),
            Count(
                id="bottom-2",
                side="bottom",
                since=datetime(2026, 8, 24, 9, 0, tzinfo=UTC),
                why="new head: the old one was dented",
            ),
        ),
        wires=(Wires(id="wires-1", kind="mixed", strands=18, tied="clamps", since=date(2026, 2, 3)),),
        strainer=Strainer(
            name="three sets on one lever",
            adjustments=(
                Adjustment(name="gut", unit="turns", zero="all the way out"),
                Adjustment(name="cable", unit="turns", zero="all the way out"),
                Adjustment(name="coil", unit="turns", zero="all the way out"),
            ),
        ),
    ),
    "piccolo-snare": Drum(
        name="Piccolo snare",
        diameter_in=13,
        depth_in=3,
        shell="aluminium, cast",
        top=Side(rods=8, turns_max=2.25),
        bottom=Side(rods=8, turns_max=2.75, snare_bed_rods=(1, 4, 5, 8)),
        heads=(
            Head(id="top-1", side="top", on=date(2026, 1, 15), film_mil=7.5, name="coated"),
            Head(id="bottom-1", side="bottom", on=date(2026, 1, 15), film_mil=3),
        ),
        counts=(
            Count(id="top-1", side="top", since=datetime(2026, 1, 15, 9, 0, tzinfo=UTC)),
            Count(id="bottom-1", side="bottom", since=datetime(2026, 1, 15, 9, 0, tzinfo=UTC)),
        ),
        wires=(Wires(id="wires-1", kind="coil", strands=16, tied="strip", since=date(2026, 1, 15)),),
        strainer=Strainer(name="side throw-off", adjustments=(_KNOB,)),
    ),
    "field-drum": Drum(
        name="Field drum",
        diameter_in=14,
        depth_in=12,
        shell="birch, ten plies",
        top=Side(rods=10, turns_max=2.0),
        bottom=Side(rods=10, turns_max=2.5, snare_bed_rods=(1, 5, 6, 10)),
        heads=(
            Head(id="top-1", side="top", on=date(2026, 5, 11), film_mil=10, name="coated"),
            Head(id="bottom-1", side="bottom", on=date(2026, 5, 11), film_mil=3),
        ),
        counts=(
            Count(id="top-1", side="top", since=datetime(2026, 5, 11, 9, 0, tzinfo=UTC)),
            Count(id="bottom-1", side="bottom", since=datetime(2026, 5, 11, 9, 0, tzinfo=UTC)),
        ),
        wires=(Wires(id="wires-1", kind="gut", strands=10, tied="clamps", since=date(2026, 5, 11)),),
        strainer=Strainer(
            name="lever with one screw for all strands",
            adjustments=(Adjustment(name="screw", unit="turns", zero="strands just touch"),),
        ),
    ),
    "rope-drum": Drum(
        name="Rope drum",
        diameter_in=15,
        depth_in=13,
        shell="ash, steam-bent",
        tension="rope",
        top=Side(rods=0),
        bottom=Side(rods=0),
        heads=(
            Head(id="top-1", side="top", on=date(2024, 3, 18), material="calf"),
            Head(id="bottom-1", side="bottom", on=date(2024, 3, 18), material="calf"),
        ),
        wires=(Wires(id="wires-1", kind="gut", strands=8, since=date(2024, 3, 18)),),
        strainer=Strainer(
            name="hook and thumb screw",
            adjustments=(Adjustment(name="screw", unit="turns", zero="strands just touch"),),
        ),
        loan=True,
        note="Belongs to the theatre's collection. Calf: pitch first, and again before going on.",
    ),
}
"""Slug → drum."""
