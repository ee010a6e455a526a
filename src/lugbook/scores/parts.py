"""Reading a part: from a file of music to what it asks of the drum.

Problem: a player who prepares a concert has parts as files. How soft and how loud the drum has to speak, how
much it rolls, and where there is time for a change stand in them, bar by bar.
"""

import math
from importlib import import_module
from os import PathLike

from lugbook.errors import BadValue
from lugbook.progress import Progress, part_of
from lugbook.scores.music import LEAST_TEMPO, MOST_TEMPO, one_line
from lugbook.scores.results import PartRead
from lugbook.scores.safely import look_at
from lugbook.scores.telling import told_of

_LOOKED = 0.05


def read_part(
    path: str | PathLike[str],
    *,
    part: str | None = None,
    progress: Progress | None = None,
    least_rest_s: float = 20.0,
    tempo: float | None = None,
) -> PartRead:
    """Return what the part in the file *path* tells.

    Args:
        path: a MusicXML, compressed MusicXML or MIDI file, under any name.
        part: the name or the number of the part to read; None takes the only snare drum part, else the only
            tenor drum part, else the only percussion part.
        progress: is told the share that is done, from 0 to 1; what it raises ends the reading.
        least_rest_s: shorter rests are left out; from 0 on.
        tempo: quarters a minute where the part gives none in numbers; None takes 120, or what music21 knows
            of a word such as "Allegro". From 10 to 600.

    Raises:
        ManyParts: more than one part may be meant.
        BadValue: the file cannot be read, is no music, is too large or has a number that cannot be; there is
            no such part; *least_rest_s* or *tempo* is out of range.
        NoPercussion: no part of it is for percussion.
        NotPossible: it has no part.
    """
    if not (math.isfinite(least_rest_s) and least_rest_s >= 0):
        raise BadValue(f"A rest cannot last {least_rest_s} seconds.", hint="Give seconds from 0 on.")
    if tempo is not None and not LEAST_TEMPO <= tempo <= MOST_TEMPO:
        raise BadValue(
            f"{tempo:g} quarters a minute are no tempo.",
            hint=f"Give {LEAST_TEMPO:.0f} to {MOST_TEMPO:.0f}.",
        )
    found = look_at(path, progress=part_of(progress, 0.0, _LOOKED))
    rest = part_of(progress, _LOOKED, 1.0)
    if found.kind == "midi":
        from lugbook.scores.midi import read_midi as read
    else:
        try:
            # Imported on use: music21 takes a third of a second. Alone: faults of our own are no fault of it.
            import_module("music21")
        except Exception as error:
            # It reads settings in the player's home when it is imported.
            raise BadValue(
                f"music21, which reads MusicXML, cannot be loaded: {one_line(str(error))}",
                hint="Its own settings, .music21rc in your home folder, may be damaged.",
            ) from error
        from lugbook.scores.written import read_written as read
    music = read(found.data, part=part, file=found.file, progress=rest)
    told = told_of(music, tempo=tempo, least_rest_s=least_rest_s)
    if progress is not None:
        progress(1.0)
    return told
