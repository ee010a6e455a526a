"""A small reader for SoundFont 2 files, to have recordings of real drums in the tests.

It reads what a test needs and no more: the 16-bit samples, their rate and name, and the pitch that the makers
declare for them. Compressed fonts (SF3 and the like) are refused.

Conventions: a declared pitch is what the sample sounds at, in Hz at A4 = 440 Hz. The correction of a sample
is in cents and is applied on playback, so the sample itself sounds lower by it. A key of 128 or more means no
pitch was declared.

Sources: E-mu Systems, SoundFont Technical Specification, version 2.04, 2006: the RIFF form (section 4), the
chunks (sections 5 to 7), sample headers (7.10), instruments (7.6 to 7.9), generators (8.1.2). Numbers of
generators from memory, checked against published fonts.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

COARSE_TUNE, FINE_TUNE, SAMPLE_ID, ROOT_KEY = 51, 52, 53, 58
"""Generators of an instrument's zone (8.1.2)."""

_HEADER, _INSTRUMENT, _PAIR = struct.Struct("<20s5IBbHH"), struct.Struct("<20sH"), struct.Struct("<HH")
_ROM = 0x8000
_UNPITCHED = 128


class NotReadable(Exception):
    """A file that is no SoundFont 2 with plain 16-bit samples."""


@dataclass(frozen=True)
class Sample:
    """One sample of a font, not yet read.

    Attributes:
        name: as its makers call it.
        start: its first frame within the samples of the font.
        stop: the frame after its last one.
        loop: first and last-plus-one frame of its loop, from *start*.
        rate_hz: frames a second.
        key: MIDI key at which it sounds as recorded; 128 and more means none was declared.
        correction_cents: what is added on playback to be in tune.
        zone_keys: what the instruments that use it declare instead, as MIDI keys with a fraction.
    """

    name: str
    start: int
    stop: int
    loop: tuple[int, int]
    rate_hz: int
    key: int
    correction_cents: int
    zone_keys: tuple[float, ...] = ()

    @property
    def declared_hz(self) -> tuple[float, ...]:
        """The pitches that were declared for it, without repetition."""
        keys = self.zone_keys or ((self.key - self.correction_cents / 100,) if self.key < _UNPITCHED else ())
        return tuple(440.0 * 2 ** ((key - 69) / 12) for key in sorted(set(keys)))


class Font:
    """The samples of a SoundFont 2 file.

    Attributes:
        path: the file.
        samples: its samples by name; a name used twice keeps its first.
    """

    def __init__(self, path: Path) -> None:
        """Read the headers of *path*.

        Raises:
            NotReadable: it is no SoundFont 2, is cut off, or its samples are compressed.
        """
        self.path = path
        try:
            with path.open("rb") as file:
                chunks = _chunks(file, path.stat().st_size)
                headers, self._data_at = self._headers(file, chunks), chunks["smpl"][0]
                if headers and max(one.stop for one in headers) * 2 > chunks["smpl"][1]:
                    raise NotReadable(
                        f"{path.name} is cut off or compressed: its samples reach past its data."
                    )
        except (KeyError, struct.error) as error:
            raise NotReadable(f"{path.name} is no SoundFont 2 with plain samples: {error!r}.") from error
        self.samples: dict[str, Sample] = {}
        for header in headers:
            self.samples.setdefault(header.name, header)

    def read(self, name: str) -> Floats:
        """Return the sample *name*, shape (frames,), from -1 to 1."""
        sample = self.samples[name]
        with self.path.open("rb") as file:
            file.seek(self._data_at + 2 * sample.start)
            data = file.read(2 * (sample.stop - sample.start))
        return np.frombuffer(data, dtype="<i2").astype(np.float64) / 32768.0

    @staticmethod
    def _headers(file: BinaryIO, chunks: dict[str, tuple[int, int]]) -> list[Sample]:
        zones = _zone_keys(file, chunks)
        found = []
        # The last record of each list only marks its end (7.1).
        for index, row in enumerate(list(_records(file, chunks["shdr"], _HEADER))[:-1]):
            name, start, stop, loop_start, loop_stop, rate, key, correction, _, kind = row
            if kind & _ROM:
                continue
            found.append(
                Sample(
                    name.split(b"\0")[0].decode("latin-1").strip(),
                    start,
                    stop,
                    (loop_start - start, loop_stop - start),
                    rate,
                    key,
                    correction,
                    tuple(
                        (key if root is None else root) - (correction + tune) / 100
                        for root, tune in zones.get(index, ())
                    ),
                )
            )
        return found


def _chunks(file: BinaryIO, size: int) -> dict[str, tuple[int, int]]:
    """Return where each chunk's data begins and how long it is, in bytes."""
    form, _, kind = struct.unpack("<4sI4s", file.read(12))
    if (form, kind) != (b"RIFF", b"sfbk"):
        raise NotReadable("It does not begin as a SoundFont does.")
    found: dict[str, tuple[int, int]] = {}
    at = 12
    while at + 8 <= size:
        file.seek(at)
        name, length = struct.unpack("<4sI", file.read(8))
        if name == b"LIST":
            # A list's own chunks follow its kind.
            at += 12
            continue
        if at + 8 + length > size:
            raise NotReadable("It is cut off.")
        found[name.decode("latin-1")] = (at + 8, length)
        at += 8 + length + length % 2
    return found


def _records(file: BinaryIO, where: tuple[int, int], form: struct.Struct) -> Iterator[tuple[Any, ...]]:
    file.seek(where[0])
    data = file.read(where[1])
    yield from form.iter_unpack(data[: len(data) // form.size * form.size])


def _zone_keys(
    file: BinaryIO, chunks: dict[str, tuple[int, int]]
) -> dict[int, list[tuple[int | None, float]]]:
    """Return for each sample, by index, the root key and the tuning in cents of the zones that play it."""
    first_bags = [row[1] for row in _records(file, chunks["inst"], _INSTRUMENT)]
    first_generators = [row[0] for row in _records(file, chunks["ibag"], _PAIR)]
    generators = list(_records(file, chunks["igen"], _PAIR))
    found: dict[int, list[tuple[int | None, float]]] = {}
    for bag, stop_bag in pairwise(first_bags):
        common: dict[int, int] = {}
        for zone in range(bag, stop_bag):
            own: dict[int, int] = dict(generators[first_generators[zone] : first_generators[zone + 1]])
            if SAMPLE_ID not in own:
                # The first zone of an instrument may hold what is common to the others (7.7).
                common = own if zone == bag else common
                continue
            values = {**common, **own}
            root = values.get(ROOT_KEY, 0xFFFF)
            tune = 100 * _signed(values.get(COARSE_TUNE, 0)) + _signed(values.get(FINE_TUNE, 0))
            found.setdefault(own[SAMPLE_ID], []).append((root if root < _UNPITCHED else None, tune))
    return found


def _signed(amount: int) -> int:
    return amount - 0x10000 if amount >= 0x8000 else amount
