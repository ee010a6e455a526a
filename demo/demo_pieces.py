"""The demo's pieces and its one concert.

The pieces are known ones whose composers died long ago; what is kept of them here is invented like the
players and their drums: halls, days, passages, lengths and rests are no one's and are from no part.
"""

from datetime import date

from demo_drums import A4_HZ
from lugbook.records import Concert, Item, Part, Passage, Performance, Piece, Rest

INVENTED = "Passages, lengths, rests and what served are invented."

PIECES: dict[str, Piece] = {
    "the-thieving-magpie-overture": Piece(
        title="The Thieving Magpie",
        composer="Gioachino Rossini",
        movement="Overture",
        contexts=("soft rolls", "light march"),
        dynamics="pp to ff",
        passages=(
            Passage(bar_from=200, bar_to=207, words="begins so that nobody hears when"),
            Passage(bar_from=350, words="crisp, and not heavy"),
        ),
        presets=("concert-snare/soft-rolls",),
        performances=(
            Performance(
                on=date(2026, 5, 16),
                hall="Tavelmark, Ropewalk Hall",
                preset="concert-snare/opera-pit",
                note="The rolls sounded short in the hall.",
            ),
        ),
        part=Part(
            name="Snare drum",
            seconds=600.0,
            bars=420,
            rests=(Rest(bar_from=120, bar_to=180, seconds=75.0),),
        ),
        note=INVENTED,
    ),
    "scheherazade-iii": Piece(
        title="Scheherazade",
        composer="Nikolai Rimsky-Korsakov",
        movement="III",
        contexts=("soft rolls", "chamber"),
        dynamics="pp to mf",
        passages=(Passage(words="the softest of the evening"),),
        presets=("piccolo-snare/chamber",),
        part=Part(name="Snare drum", seconds=600.0, rests=(Rest(seconds=180.0),)),
        note=INVENTED,
    ),
    "scheherazade-iv": Piece(
        title="Scheherazade",
        composer="Nikolai Rimsky-Korsakov",
        movement="IV",
        contexts=("big orchestral tutti",),
        dynamics="p to ff",
        passages=(Passage(words="as loud as the drum still speaks"),),
        presets=("deep-maple/big-tutti",),
        part=Part(name="Snare drum", seconds=750.0, rests=(Rest(bar_from=401, bar_to=480, seconds=110.0),)),
        note=INVENTED,
    ),
    "capriccio-espagnol-iv": Piece(
        title="Capriccio espagnol",
        composer="Nikolai Rimsky-Korsakov",
        movement="IV",
        contexts=("soft rolls", "audition"),
        dynamics="pp to ff",
        passages=(Passage(bar_from=70, bar_to=77, words="even, and open to the end"),),
        note=f"Not yet played by this section. {INVENTED}",
    ),
}
"""Slug → piece."""

CONCERT = Concert(
    name="Winter concert",
    on=date(2026, 12, 5),
    hall="Tavelmark, Ropewalk Hall",
    a4=A4_HZ,
    items=(
        Item(piece="the-thieving-magpie-overture", presets=("concert-snare/soft-rolls",), after_s=90.0),
        Item(title="Speech of welcome", tacet=True, seconds=240.0, after_s=20.0),
        Item(piece="scheherazade-iii", after_s=25.0),
        Item(piece="scheherazade-iv", after_s=60.0),
        Item(title="Old march of Tavelmark", contexts=("light march",), seconds=180.0),
    ),
    drums=("concert-snare", "deep-maple", "field-drum", "piccolo-snare"),
    stage_drums=3,
    note="An invented concert.",
)
CONCERT_SLUG = "winter-concert"
