"""What a section shares (library settings) and what is one machine's or player's (user settings)."""

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from lugbook.errors import BadValue
from lugbook.records.base import A4Hz, Line, Name, Note, Record
from lugbook.records.presets import ToleranceCents

NoteNames = Literal["english", "german", "latin"]
"""In which language screens show note names; files and the command line are always English."""

_WRITER = re.compile(r"[a-z]{6}")


def _six_letters(text: str) -> str:
    if not _WRITER.fullmatch(text):
        raise BadValue(f"{text[:60]!r} is no writer", hint="six letters a to z")
    return text


class LibrarySettings(Record):
    """``library.toml``: what everybody who shares the library shares."""

    format: Literal[1] = 1
    """Version of this file's form."""

    name: Line = ""
    """Whose library it is."""

    a4: A4Hz = 440.0
    """Concert pitch in Hz for new records."""

    tolerance_cents: ToleranceCents | None = None
    """How far off a head may be where a preset says nothing, in cents; 10, or 25 by ear, where missing."""

    contexts: tuple[Name, ...] = ()
    """The section's own words for kinds of music."""

    context_aliases: dict[Name, Name] = Field(default_factory=dict)
    """Older word → the one that took its place: what the logbooks say in older words is still found."""

    note: Note = ""
    """Remarks."""


class UserSettings(Record):
    """``settings.toml`` in the user's own config folder; never in the library."""

    format: Literal[1] = 1
    """Version of this file's form."""

    writer: Annotated[str, AfterValidator(_six_letters)]
    """Six random letters, made once per machine; part of each entry's id."""

    player: Line = ""
    """The player's name."""

    library: Line = ""
    """The library's folder, where neither option nor environment names one."""

    note_names: NoteNames = "english"
    """Language of note names on the program's screens."""

    theme: Line = ""
    """Theme of the program's screens."""

    keys: dict[str, str] = Field(default_factory=dict)
    """Command id → key, for commands that the player moved to another key."""

    passages: Annotated[tuple[Name, ...], Field(max_length=6)] = ()
    """The player's own test passages, three to six, each marked + 0 − in an entry of a search."""

    hide_pitches: bool = False
    """Whether the pitches of a state that is being tried stay hidden until words and verdict are in."""

    pace: Annotated[float, Field(ge=0.2, le=60)] = 3.0
    """Seconds for one rod, going to the next one included: one whole star, timed, over its rods."""

    turn_over_s: Annotated[float, Field(ge=0, le=600)] = 15.0
    """Seconds to turn the drum over once."""

    last_preset: Line = ""
    """The ``drum/preset`` that was last at the bench."""
