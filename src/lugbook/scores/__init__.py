"""Parts: what a written part tells of the drum that is needed for it.

`read_part` reads a MusicXML, compressed MusicXML or MIDI file. music21 is loaded when a MusicXML part is read
and not before, so that importing this package costs little.
"""

from lugbook.scores.choosing import ManyParts, NoPercussion
from lugbook.scores.parts import read_part
from lugbook.scores.results import Density, Dynamics, PartRead, Rest, Rolls, Tempo

__all__ = [
    "Density",
    "Dynamics",
    "ManyParts",
    "NoPercussion",
    "PartRead",
    "Rest",
    "Rolls",
    "Tempo",
    "read_part",
]
