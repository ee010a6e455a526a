"""What stands on the card of a concert, as plain values: the drums before the doors, the items, the changes.

Every text is ready to be read: turns are in quarters and eighths, times in minutes and seconds.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CardSetting:
    """One drum as it is brought to before the doors open, measured."""

    drum: str
    preset: str
    pitches: tuple[str, ...]
    """Each head with its pitch, such as ``top B♭3 −12 (232.4 Hz)``."""
    number: int
    """Of the first item that needs it."""


@dataclass(frozen=True, slots=True)
class CardItem:
    """One item of the running order."""

    number: int
    """From 1."""
    name: str
    tacet: bool
    played: tuple[tuple[str, str], ...]
    """Drum and preset of each drum that it takes; empty where it is tacet or nothing serves it."""
    remarks: tuple[str, ...]
    """What is to be known of that, in sentences."""

    @property
    def played_with(self) -> tuple[str, ...]:
        """What it is played with, drum by drum, such as ``Field drum: March``; or why with nothing."""
        nothing = "tacet" if self.tacet else "NO PRESET"
        return tuple(f"{drum}: {preset}" for drum, preset in self.played) or (nothing,)


@dataclass(frozen=True, slots=True)
class CardTurn:
    """What is turned on one head, or on both where one rod pulls both."""

    head: str
    """``Top head``, ``Bottom head`` or ``Both heads``."""
    amount: float
    """Turns of all rods; plus tightens."""
    shown: str
    """What the hand does, such as ``loosen ⅜, then tighten ⅛``."""
    order: tuple[int, ...]
    """Rod numbers in tightening order."""


@dataclass(frozen=True, slots=True)
class CardChange:
    """One silent change."""

    drum: str
    from_preset: str
    to_preset: str
    turns: tuple[CardTurn, ...]
    """The heads in the order to turn them; empty where there is nothing to turn."""
    then: tuple[str, ...]
    """What is done after the turns (snares, muffling), in sentences."""
    seconds: float
    """How long it takes."""
    takes: str
    """The same in minutes and seconds, such as ``0:45``."""
    before: int
    """The number of the item that needs it."""
    cautions: tuple[str, ...]
    """Limits that it goes past, each in a few words."""
    doubts: tuple[str, ...]
    """Why it is not to be trusted, in sentences; empty where it is."""


@dataclass(frozen=True, slots=True)
class CardWindow:
    """A time in which the player's hands are free, with what is done in it."""

    after: int
    """The number of the item after which it lies, or in which, where it is a rest."""
    where: str
    """Such as ``After 3`` or ``In 3, bars 12-40``."""
    seconds: float
    """How long it is."""
    work_s: float
    """Seconds of all its changes together."""
    missing_s: float
    """So many seconds are missing in it; 0 where all that is done in it fits."""
    time: str
    """What of it is needed, such as ``0:45 of 1:30``."""
    missing: str
    """What is missing, such as ``0:20 too short``; empty where nothing is."""
    changes: tuple[CardChange, ...]


@dataclass(frozen=True, slots=True)
class CardConcert:
    """One concert."""

    id: str
    name: str
    day: str
    """Empty where it is not known yet."""
    hall: str
    """Empty where it is not known yet."""
    a4_hz: float
    """Concert pitch there, in Hz; note names are meant at it."""
    language: str
    """What to know of the note names; empty where they are English."""
    before_doors: tuple[CardSetting, ...]
    items: tuple[CardItem, ...]
    windows: tuple[CardWindow, ...]
    """Those in which something is done, or time is missing, in the order of the evening."""
    fits: bool
    """Whether every item is served and every change fits into its window."""
    short: tuple[str, ...]
    """What would have to give where it does not fit, in sentences."""
    remarks: tuple[str, ...]
    caution: str
    printed: str
    """The day of this card."""

    @property
    def changes(self) -> tuple[CardChange, ...]:
        """All changes, in the order in which they are made."""
        return tuple(change for window in self.windows for change in window.changes)

    @property
    def place(self) -> str:
        """Day, hall and concert pitch."""
        return ", ".join(filter(None, (self.day, self.hall, f"A4 {self.a4_hz:g} Hz")))

    @property
    def evening(self) -> tuple[CardItem | CardWindow, ...]:
        """The items with the windows after each, in the order of the evening."""
        windows, parts = list(self.windows), list[CardItem | CardWindow]()
        for item in self.items:
            while windows and windows[0].after < item.number:
                parts.append(windows.pop(0))
            parts.append(item)
        return (*parts, *windows)
