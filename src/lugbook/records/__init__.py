"""What is kept: frozen records of drums, heads, presets, logbook entries and settings.

Units stand in the names (``_hz``, ``_cents``, ``_in``, ``_mm``, ``_mil``) or in the first words of a field's
docstring. Turns are full turns of the key on all rods of a head, plus tightens, exact multiples of 1/64.
"""

from lugbook.records.base import LONGEST_LINE, Record
from lugbook.records.concerts import Concert, Item
from lugbook.records.drums import (
    SIDES,
    Count,
    CountSide,
    Drum,
    Head,
    HeadSide,
    Material,
    Side,
    Strainer,
    Tension,
    Wires,
)
from lugbook.records.entries import CountPerHead, Entry, HeardAt, Mark, PerHead, Round, TouchUp, Verdict
from lugbook.records.evenings import (
    Course,
    CourseChange,
    CourseDrum,
    CourseItem,
    Evening,
    Evenings,
    Reached,
    Ticked,
)
from lugbook.records.pieces import Part, Passage, Performance, Piece, Rest
from lugbook.records.presets import Position, Positions, Preset, StartingPoint
from lugbook.records.readings import By, OtherHead, Reading, Struck, least_sd_cents
from lugbook.records.settings import LibrarySettings, NoteNames, UserSettings
from lugbook.records.snares import Adjustment, SnareSetting, plain_number

__all__ = [
    "LONGEST_LINE",
    "SIDES",
    "Adjustment",
    "By",
    "Concert",
    "Count",
    "CountPerHead",
    "CountSide",
    "Course",
    "CourseChange",
    "CourseDrum",
    "CourseItem",
    "Drum",
    "Entry",
    "Evening",
    "Evenings",
    "Head",
    "HeadSide",
    "HeardAt",
    "Item",
    "LibrarySettings",
    "Mark",
    "Material",
    "NoteNames",
    "OtherHead",
    "Part",
    "Passage",
    "PerHead",
    "Performance",
    "Piece",
    "Position",
    "Positions",
    "Preset",
    "Reached",
    "Reading",
    "Record",
    "Rest",
    "Round",
    "Side",
    "SnareSetting",
    "StartingPoint",
    "Strainer",
    "Struck",
    "Tension",
    "Ticked",
    "TouchUp",
    "UserSettings",
    "Verdict",
    "Wires",
    "least_sd_cents",
    "plain_number",
]
