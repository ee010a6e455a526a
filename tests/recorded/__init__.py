"""Recordings of real drums for the tests, and what is true of them.

The recordings are open data in packages of Debian, read at test time and never copied here; `drums` says
which, `soundfonts` reads one of their formats, `settling` finds the pitch that repeated strokes agree on,
`shares` counts how often a listener is right. The folder is no part of the program and imports nothing of
it. Test folders are no packages, so it is loaded by its path: by the fixture `recorded` in the tests, by
`tests/bench/real_drums.py` for the table.
"""

from .drums import DRUMS, PACKAGES, Drum, Package, Recording
from .settling import (
    LateLine,
    Settled,
    after_stroke,
    cents,
    declared,
    different,
    late_line,
    settled,
    spectrum_peaks,
)
from .shares import NEAR_CENTS, Heard, Known, Repeated, known_shares, late_peak, repeated_shares
from .soundfonts import Font, NotReadable, Sample

__all__ = [
    "DRUMS", "NEAR_CENTS", "PACKAGES", "Drum", "Font", "Heard", "Known", "LateLine", "NotReadable", "Package",
    "Recording", "Repeated", "Sample", "Settled", "after_stroke", "cents", "declared", "different",
    "known_shares", "late_line", "late_peak", "repeated_shares", "settled", "spectrum_peaks",
]  # fmt: skip
