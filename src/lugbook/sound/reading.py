"""Sound files read into memory.

Problem: a player's recording comes as WAV (8 to 32 bits, or float), FLAC, OGG or AIFF from any machine; or it
is not there, empty, cut off, still being written, or no sound at all. What can be read is given as floats;
what cannot is said in words, and soon: whatever is no plain file is never opened for reading.

Conventions: samples of shape (n, channels), full scale 1.0; values that are no numbers are passed on, it is
the listening that refuses them. Beside the samples a few megabytes are held.

Sources: libsndfile, by way of the soundfile package.
"""

import errno
import io
import os
import stat
import time
from contextlib import closing
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soundfile

from lugbook.errors import SoundUnavailable
from lugbook.heads.ranges import LEAST_RATE_HZ, MOST_RATE_HZ
from lugbook.plain import shown
from lugbook.progress import Progress
from lugbook.sound.headers import Header, header_of, kind_of

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer

MOST_CHANNELS = 7
"""Small recorders write up to six tracks into one file (from memory); eight or more are a studio's."""

MOST_VALUES = 250_000_000
"""More samples in all channels than this (1 GB in memory) are no round of taps."""

_PIECE = 1 << 18
"""Samples in all channels that are read at once."""

_LEAST_BITS = 8

_NOBODY_KNOWS = 1 << 62
"""The decoder gives more than this many samples where a file does not say how many it holds."""

_JUST_S = 2.0
"""What was written within this time, and does not say where it ends, may go on."""

_FORMATS = "WAV, FLAC, OGG and AIFF files can be read."
_A_PATH = "Give the path of a sound file."
_AGAIN = "Record it again."
_WAIT = "Wait until it is recorded or copied whole."


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """A recording in memory.

    Attributes:
        samples: shape (n, channels), 32-bit floats, full scale 1.0.
        rate_hz: samples a second.
        file: the file's name without its folder.
    """

    samples: npt.NDArray[np.float32]
    rate_hz: int
    file: str


def read_recording(path: str | PathLike[str], *, progress: Progress | None = None) -> Recording:
    """Return the recording in the file *path*.

    Args:
        path: where it is.
        progress: is told the share that is read, from 0 to 1; what it raises ends the reading.

    Raises:
        SoundUnavailable: there is no such file, it is a folder, a pipe, a device or empty, may not be read,
            is no sound, cut off or changing, its rate lies outside 4000 to 400 000 samples a second, it has
            more than 7 channels, or it lasts too long.
    """
    file = Path(path)
    name = shown(file.name or str(file))
    with closing(_opened(file, name)) as stream:
        before = os.fstat(stream.fileno())
        _check_kind(before.st_mode, name)
        if before.st_size == 0:
            raise SoundUnavailable(f"{name} is empty.", hint=_AGAIN)
        try:
            recording = _read(stream, file, name, state=before, progress=progress)
        except SoundUnavailable:
            _check_still(stream, before, name)
            raise
        _check_still(stream, before, name)
    return recording


class _Stream(io.FileIO):
    """A file for the decoder, which calls it and can hand no error on."""

    fault: OSError | None = None
    """What went wrong in reading."""

    def readinto(self, buffer: "WriteableBuffer", /) -> int:
        """Read into *buffer*; after a fault there is nothing more."""
        try:
            return super().readinto(buffer) or 0
        except OSError as error:
            self.fault = error
            return 0

    def seek(self, offset: int, whence: int = os.SEEK_SET, /) -> int:
        """Go to *offset*; a damaged file may name one before its start, and then nothing moves."""
        try:
            return super().seek(offset, whence)
        except (OSError, ValueError, OverflowError):
            return self.tell()


def _opened(file: Path, name: str) -> _Stream:
    """Return *file*, opened; a pipe that nobody writes to would keep a plain opening waiting for ever."""
    try:
        _check_kind(file.stat().st_mode, name)
        # It may have become something else since: the opening must not wait, and what was opened counts.
        descriptor = os.open(file, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except OSError as error:
        raise SoundUnavailable(_not_opened(error, file, name), hint=_A_PATH) from error
    except ValueError as error:
        raise SoundUnavailable(f"{name} cannot be opened.", hint=_A_PATH) from error
    # Given by its number: by its name the decoder would guess at what it holds.
    return _Stream(descriptor)


def _not_opened(error: OSError, file: Path, name: str) -> str:
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return f"There is no file {shown(str(file))}."
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"{name} may not be read by you."
    if error.errno == errno.ELOOP:
        return f"{name} is a link that leads back to itself."
    return f"{name} cannot be opened."


def _check_kind(mode: int, name: str) -> None:
    if stat.S_ISDIR(mode):
        raise SoundUnavailable(f"{name} is a folder.", hint="Give one sound file in it.")
    if stat.S_ISFIFO(mode) or stat.S_ISSOCK(mode):
        raise SoundUnavailable(f"{name} is a pipe and no file.", hint=_A_PATH)
    if not stat.S_ISREG(mode):
        raise SoundUnavailable(f"{name} is a device and no file.", hint=_A_PATH)


def _check_still(stream: _Stream, before: os.stat_result, name: str) -> None:
    """Refuse what could not be read to its end, or is no longer what it was before."""
    if stream.fault is not None:
        reason = stream.fault.strerror or "reading failed"
        raise SoundUnavailable(f"{name} cannot be read to its end: {reason}.", hint="Copy it again.")
    after = os.fstat(stream.fileno())
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
        raise SoundUnavailable(f"{name} changed while it was read.", hint=_WAIT)


def _read(
    stream: _Stream,
    file: Path,
    name: str,
    *,
    state: os.stat_result,
    progress: Progress | None,
) -> Recording:
    kind = kind_of(stream.read(12) or b"")
    if kind == "mp3":
        raise SoundUnavailable(f"{name} is an MP3 file.", hint=f"Save it as WAV: {_FORMATS}")
    if kind is None:
        raise SoundUnavailable(f"{name} is no sound file that is known here.", hint=_FORMATS)
    header = header_of(stream, state.st_size) if kind == "chunks" else Header()
    _check_header(header, name)
    if header.open_ended and 0 <= time.time() - state.st_mtime < _JUST_S:
        raise SoundUnavailable(f"{name} is still being written.", hint=_WAIT)
    stream.seek(0)
    try:
        with soundfile.SoundFile(stream) as sound:
            _check_sound(sound, name)
            samples = _decoded(sound, name, progress)
            said, rate_hz = sound.frames, int(sound.samplerate)
    except (soundfile.SoundFileError, OSError, RuntimeError, ValueError) as error:
        raise SoundUnavailable(f"{name} is damaged or no sound file.", hint=_FORMATS) from error
    if samples.shape[0] < said or (header.cut_off and samples.shape[0]):
        raise SoundUnavailable(f"{name} is cut off: its end is missing.", hint="Copy or record it again.")
    if samples.shape[0] == 0:
        raise SoundUnavailable(f"{name} holds no sound.", hint=_AGAIN)
    return Recording(samples, rate_hz, file.name)


def _check_header(header: Header, name: str) -> None:
    if header.rate_hz == 0:
        raise SoundUnavailable(f"The sample rate of {name} is 0 Hz.", hint=_AGAIN)
    if header.bits is not None and header.bits < _LEAST_BITS:
        raise SoundUnavailable(f"{name} has {header.bits}-bit samples.", hint="Record with 16 or 24 bits.")
    if header.unfinished:
        raise SoundUnavailable(
            f"{name} was never finished: its header gives no length.",
            hint="Stop the recorder, or repair the file in a sound editor.",
        )


def _check_sound(sound: soundfile.SoundFile, name: str) -> None:
    if not LEAST_RATE_HZ <= sound.samplerate <= MOST_RATE_HZ:
        raise SoundUnavailable(
            f"The sample rate of {name} is {sound.samplerate} Hz.",
            hint=f"From {LEAST_RATE_HZ} to {MOST_RATE_HZ} Hz can be listened to.",
        )
    if sound.channels > MOST_CHANNELS:
        raise SoundUnavailable(
            f"{name} has {sound.channels} channels.",
            hint=f"At most {MOST_CHANNELS} can be read: save the one of the drum alone.",
        )
    if sound.frames > _NOBODY_KNOWS:
        raise SoundUnavailable(
            f"{name} does not say how long it is.", hint="Open it in a sound editor and save it again."
        )
    if sound.frames * sound.channels > MOST_VALUES:
        raise SoundUnavailable(
            f"{name} lasts {sound.frames / sound.samplerate / 60:.0f} minutes.",
            hint="Ten minutes can always be listened to: cut out the taps.",
        )


def _decoded(sound: soundfile.SoundFile, name: str, progress: Progress | None) -> npt.NDArray[np.float32]:
    """Return the samples of *sound*; fewer than it says where it ends early."""
    try:
        # Memory that is not written to is not used: a length that is a lie costs nothing.
        samples = np.empty((sound.frames, sound.channels), dtype=np.float32)
    except MemoryError as error:
        raise SoundUnavailable(
            f"{name} needs more memory than there is.", hint="Cut out the taps."
        ) from error
    step, done = _PIECE // sound.channels, 0
    while done < sound.frames:
        if progress is not None:
            progress(done / sound.frames)
        piece = sound.read(out=samples[done : done + step])
        done += len(piece)
        if len(piece) < min(step, sound.frames - done + len(piece)):
            break
    return samples[:done]
