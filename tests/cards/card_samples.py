"""Cards to try the pages on: a plain one of each kind, and ones that hold as much as a record may."""

from dataclasses import fields, is_dataclass, replace
from typing import Any

from lugbook.cards.facts import (
    CardBlank,
    CardDrum,
    CardHead,
    CardMap,
    CardPitch,
    CardPreset,
    CardRods,
    CardRow,
    CardSnare,
    CardTurns,
)
from lugbook.trials import Search
from lugbook.trials.judgments import Verdict
from lugbook.trials.mapping import Map, map_of
from lugbook.turns.orders import star_order

TEN = star_order(10)
CAUTION = (
    "Caution: a head may split and a rod strip. Keep to the maker's limits, stop when a rod binds, loosen "
    "below and come back up. Limits written down: top at most 2 11/16 turns, at least −1 1/16 turns, at most "
    "290.5 Hz; bottom at most 3¼ turns, at least −1 1/16 turns, at most 400.5 Hz."
)
HOSTILE = "<script>document.title='ran'</script>"


def hostile(value: Any) -> Any:  # noqa: ANN401 -- goes through cards of every kind
    """Return a card in which every text is one that a page must not take for its own."""
    if isinstance(value, str):
        return f'{HOSTILE}"&\x1b[2J{{{{ 7 * 7 }}}}'
    if isinstance(value, Map):
        return value
    if isinstance(value, tuple):
        return tuple(hostile(one) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{one.name: hostile(getattr(value, one.name)) for one in fields(value)})
    return value


def searched(*, together: bool = False) -> CardMap:
    """A map of a search with a state better, one the same and one worse."""
    search = Search(together=together)
    search.tell("better", position=(0.25, 0.25 if together else 0.0))
    search.tell("worse", position=(0.5, 0.5 if together else 0.0))
    places = {place: number for number, place in enumerate(search.heard, 1)}
    return CardMap(search="dry étude", number=2, map=map_of(search, numbers=places))


def wide_map() -> CardMap:
    """A map of many states with finer turns than are shown short."""
    search = Search(step=1 / 64, start=(1 + 43 / 64, 2 + 11 / 64))
    verdicts: tuple[Verdict, ...] = ("better", "same", "worse", "worse")
    for number in range(40):
        place = search.ask()
        if place is None:
            break
        search.tell(verdicts[number % 4], position=place)
    places = {place: number for number, place in enumerate(search.heard, 88)}
    return CardMap(search="dry étude " * 9, number=places[search.kept], map=map_of(search, numbers=places))


def preset_card() -> CardPreset:
    """A preset as most are."""
    return CardPreset(
        id="concert-snare/dry-etude",
        name="Dry étude",
        drum="Concert snare",
        size="14 × 6.5 in",
        contexts=("dry étude", "audition"),
        a4_hz=442.0,
        language="",
        pitches=(
            CardPitch("Top head", "B♭3", "Bb3-12", -12.0, 232.4, "recorded, ± 4 cents"),
            CardPitch("Bottom head", "D4", "D4", 0.2, 295.0, "typed, ± 10 cents"),
        ),
        interval="major third, +412 cents",
        turns=(
            CardTurns("Top head", 1.5, "1½", "finger tight", ""),
            CardTurns("Bottom head", 2.25, "2¼", "finger tight", "a new count began 3 May 2026: new head"),
        ),
        rods=(CardRods("Top head", TEN, ()), CardRods("Bottom head", TEN, (1, 5, 6, 10))),
        strainer="side throw-off",
        snares="just past free buzz",
        adjustments=(CardSnare("knob", "3.5", "clicks from all the way out"),),
        snares_void="",
        others=(("Muffling", "none"), ("Sticks", "concert, medium")),
        words="crisp at the edge",
        map=searched(),
        heads=("top: film, 10 mil, on since 3 May 2026",),
        remarks=(),
        caution=CAUTION,
        made="4 May 2026",
        printed="25 November 2026",
    )


def crowded_preset() -> CardPreset:
    """A preset with as much in it as records may hold, in words that do not break."""
    long = "Wöchentlich " * 160
    pitch = CardPitch("Top head", "Heses3", "Bbb3-100", -100.0, 1234.5, f"recorded, ± 1200 cents, {long}")
    turns = CardTurns("Top head", -1.671875, "−1⅝ and a hair and a half", long, "")
    many = star_order(24)
    return replace(
        preset_card(),
        name="W" * 120,
        drum="M" * 120,
        contexts=("W" * 120,) * 9,
        language="German note names: B is English B♭, H is English B.",
        pitches=(pitch, replace(pitch, head="Bottom head", note="sol♯♯4")),
        interval="doubly augmented fourteenth, bottom lower, −1212 cents",
        turns=(turns, replace(turns, head="Bottom head")),
        rods=(CardRods("Top head", many, many), CardRods("Bottom head", many, (1, 24))),
        strainer=long,
        snares="i" * 2000,
        adjustments=tuple(CardSnare("knob" * 8, "123456.5", long[:80]) for _ in range(9)),
        snares_void="of other wires: only where to begin",
        others=(("Muffling", long), ("Sticks", long), ("Playing spot", long)),
        words="軽" * 2000,
        map=wide_map(),
        heads=(long, long),
        remarks=(long, long),
    )


def void_preset() -> CardPreset:
    """One that is as crowded, whose turns are void; there is then no map."""
    card = crowded_preset()
    return replace(card, map=None, turns=tuple(replace(one, void="a new count " * 90) for one in card.turns))


def drum_card() -> CardDrum:
    """A drum as most are."""
    head = CardHead("Top head", "film, on since 3 May 2026", "at 1½ turns", "finger tight", "at most 2 turns")
    return CardDrum(
        id="concert-snare",
        name="Concert snare",
        size="14 × 6.5 in",
        facts=(("Shell", "brass"), ("Tension", "separate")),
        language="",
        heads=(head, replace(head, head="Bottom head", limits="")),
        rods=(CardRods("Both heads", TEN, ()),),
        strainer=("side throw-off", "knob, in clicks from all the way out"),
        wires="wires: cable, 12 strands",
        presets=(CardRow("Dry étude", "B♭3 −12", "D4", 442.0, "1½ / void"),),
        remarks=(),
        note="The audition drum.",
        caution=CAUTION,
        printed="25 November 2026",
    )


def crowded_drum() -> CardDrum:
    """A drum with as much in it as records may hold."""
    long = "Wöchentlich " * 160
    many = star_order(24)
    head = CardHead(
        "Top head", long, long, long, "at most 2 11/16 turns, at least −1 1/16 turns, at most 290 Hz"
    )
    row = CardRow(
        "W" * 120,
        "Heses3 −100",
        "sol♯♯4 −100",
        442.5,
        "−1⅝ and a hair and a half / −1⅝ and a hair and a half",
    )
    return replace(
        drum_card(),
        name="W" * 120,
        facts=(("Maker", long), ("Shell", long)),
        language="German note names: B is English B♭, H is English B.",
        heads=(head, replace(head, head="Bottom head")),
        rods=(CardRods("Top head", many, many), CardRods("Bottom head", many, (1, 24))),
        strainer=(long, long),
        wires=long,
        presets=(row,) * 60,
        remarks=(
            "Part of the logbook cannot be read, and is not counted here.",
            "12 presets cannot be read and are not on this card.",
        ),
        note=long * 40,
    )


def blank_card() -> CardBlank:
    """A chart as most are."""
    return CardBlank(
        id="concert-snare",
        name="Concert snare",
        size="14 × 6.5 in",
        rods=(CardRods("Top head", TEN, ()), CardRods("Bottom head", TEN, (1, 5, 6, 10))),
        references=(("Top head", "finger tight"), ("Bottom head", "")),
        passages=("rolls pp", "flams f"),
        turns=True,
        caution=CAUTION,
    )


def crowded_blank() -> CardBlank:
    """A chart of a drum with as much in it as records may hold."""
    long, many = "Wöchentlich " * 160, star_order(24)
    return replace(
        blank_card(),
        name="W" * 120,
        rods=(CardRods("Top head", many, many), CardRods("Bottom head", many, (1, 24))),
        references=(("Top head", long), ("Bottom head", long)),
        passages=("W" * 120,) * 6,
    )
