"""What stands on a printed card, as plain values: of a preset, of a drum, or of a chart to pencil in.

What stands on the card of a concert is in `concert_facts`.

Every text is ready to be read: note names are in the player's language, turns are in quarters and eighths.
What a card shows and what it leaves out is decided where these are made; how it looks, on the pages.
"""

from dataclasses import dataclass

from lugbook.cards.concert_facts import CardConcert
from lugbook.trials.mapping import Map


@dataclass(frozen=True, slots=True)
class CardPitch:
    """The pitch of one head."""

    head: str
    """``Top head`` or ``Bottom head``."""
    note: str
    """Name of the nearest note in the player's language, such as ``B♭3``."""
    english: str
    """The same in English letters with its cents, such as ``Bb3-12``, as files have it."""
    cents: float
    """How far above that note."""
    hz: float | None
    """In Hz; None for a note name without octave."""
    how: str
    """How it was had, such as ``recorded, ± 4 cents``."""


@dataclass(frozen=True, slots=True)
class CardTurns:
    """Where a head stood, counted in turns."""

    head: str
    """``Top head``, ``Bottom head`` or ``Both heads``."""
    amount: float
    """Turns of all rods from the reference."""
    shown: str
    """The amount as a player reads it, such as ``1½``."""
    reference: str
    """What it is counted from."""
    void: str
    """Why the amount no longer counts, in a few words; empty where it counts."""
    day_only: bool = False
    """Whether it counts on the day of the card and no longer, as on calf."""

    @property
    def lasts(self) -> bool:
        """Whether it still counts when the card is taken out of the drum case on another day."""
        return not self.void and not self.day_only


@dataclass(frozen=True, slots=True)
class CardRods:
    """The rods of a head in the order to turn them."""

    head: str
    """``Top head``, ``Bottom head`` or ``Both heads``."""
    order: tuple[int, ...]
    """Rod numbers in tightening order."""
    bed: tuple[int, ...]
    """Those beside the snare beds."""


@dataclass(frozen=True, slots=True)
class CardSnare:
    """One adjustment of the snares."""

    name: str
    value: str
    """In the player's own unit."""
    unit: str
    """That unit and its zero, such as ``clicks from all the way out``."""


@dataclass(frozen=True, slots=True)
class CardMap:
    """The map of the search that a preset was found in."""

    search: str
    """Its name."""
    number: int
    """Number of the entry that the preset was made from."""
    map: Map
    """The states, none of them marked as next or as where the drum stands: paper does not know that."""


@dataclass(frozen=True, slots=True)
class CardPreset:
    """One preset."""

    id: str
    """``drum/preset``."""
    name: str
    drum: str
    """Name of the drum."""
    size: str
    contexts: tuple[str, ...]
    a4_hz: float
    """Concert pitch that its note names are meant at, in Hz."""
    language: str
    """What to know of the note names; empty where they are English."""
    pitches: tuple[CardPitch, ...]
    interval: str
    """From top to bottom, by name and in cents; empty where a pitch is missing."""
    turns: tuple[CardTurns, ...]
    rods: tuple[CardRods, ...]
    strainer: str
    """What kind it is."""
    snares: str
    """The setting in words, with the limits found and what sets the wires off."""
    adjustments: tuple[CardSnare, ...]
    snares_void: str
    """Why the setting is only where to begin; empty where it counts."""
    others: tuple[tuple[str, str], ...]
    """What else belongs to it: muffling, sticks, playing spot, each with its heading."""
    words: str
    """How the drum speaks in it."""
    map: CardMap | None
    heads: tuple[str, ...]
    """The heads that were on when it was made, one a phrase."""
    remarks: tuple[str, ...]
    """What is to be known before it is trusted, in sentences."""
    caution: str
    made: str
    """The day it was found; empty where that is not known."""
    printed: str
    """The day of this card."""


@dataclass(frozen=True, slots=True)
class CardHead:
    """One head of a drum as it is now."""

    head: str
    what: str
    """What it is and since when."""
    stands: str
    """Where it stands by its count."""
    reference: str
    """What its turns are counted from; empty where none are."""
    limits: str
    """What it must not be tuned past; empty where nothing is written down."""


@dataclass(frozen=True, slots=True)
class CardRow:
    """One preset on the card of its drum."""

    name: str
    top: str
    """The pitch with its cents, in the player's language; empty where there is none."""
    bottom: str
    a4_hz: float
    turns: str
    """Of top and bottom; ``void`` where a count has ended."""


@dataclass(frozen=True, slots=True)
class CardDrum:
    """One drum."""

    id: str
    name: str
    size: str
    facts: tuple[tuple[str, str], ...]
    """Maker, shell, tension and the like, each with its heading."""
    language: str
    heads: tuple[CardHead, ...]
    rods: tuple[CardRods, ...]
    strainer: tuple[str, ...]
    """What kind it is, and each thing that can be set on it, in phrases."""
    wires: str
    presets: tuple[CardRow, ...]
    remarks: tuple[str, ...]
    """What is missing on it, in sentences."""
    note: str
    caution: str
    printed: str


@dataclass(frozen=True, slots=True)
class CardBlank:
    """A chart of trials without data, to pencil in."""

    id: str
    name: str
    size: str
    rods: tuple[CardRods, ...]
    references: tuple[tuple[str, str], ...]
    """Head and what its turns are counted from; empty text where that is to be pencilled in."""
    passages: tuple[str, ...]
    turns: bool
    """Whether the drum has rods to turn."""
    caution: str


Card = CardPreset | CardDrum | CardBlank | CardConcert
"""Any card."""
