"""Sound files read into memory.

Problem: a player's recording comes as WAV (16, 24 or 32 bit, or float), FLAC, OGG or what else libsndfile
knows, from any machine; or it is not there, empty, cut off, or no sound at all. What can be read is given as
floats; what cannot is said in words.

Conventions: samples of shape (n, channels), full scale 1.0; values that are no numbers are passed on, it is
the listening that refuses them.

Sources: libsndfile, by way of the soundfile package.
"""

from dataclasses import dataclass
from os import PathLike
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile

from lugbook.errors import SoundUnavailable
from lugbook.plain import shown

LEAST_RATE_HZ, MOST_RATE_HZ = 4000, 400_000
"""Sample rates that are read."""

MOST_CHANNELS = 8
"""More channels than a player's recorder has are taken for a mistake."""

MOST_VALUES = 250_000_000
"""More samples in all channels than this (1 GB in memory) are no round of taps."""

_FORMATS = "WAV, FLAC and OGG files can be read."


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


def read_recording(path: str | PathLike[str]) -> Recording:
    """Return the recording in the file *path*.

    Raises:
        SoundUnavailable: there is no such file, it is a folder, a device or empty, may not be read, is no
            sound or cut off, its rate lies outside 4000 to 400 000 samples a second, it has more than 8
            channels, or it lasts too long.
    """
    file = Path(path)
    name = shown(file.name or str(file))
    _check_file(file, name)
    try:
        with soundfile.SoundFile(file) as sound:
            _check_header(sound, name)
            samples = sound.read(dtype="float32", always_2d=True)
            said = sound.frames
            rate_hz = int(sound.samplerate)
    except (soundfile.SoundFileError, OSError, RuntimeError) as error:
        raise SoundUnavailable(f"{name} is damaged or no sound file.", hint=_FORMATS) from error
    if samples.shape[0] == 0:
        raise SoundUnavailable(f"{name} holds no sound.", hint="Record it again.")
    if samples.shape[0] < said or _cut_off(file):
        raise SoundUnavailable(f"{name} is cut off: its end is missing.", hint="Copy or record it again.")
    return Recording(samples, rate_hz, file.name)


def _check_file(file: Path, name: str) -> None:
    try:
        exists, is_folder, is_file = file.exists(), file.is_dir(), file.is_file()
        size = file.stat().st_size if is_file else 0
    except (OSError, ValueError) as error:
        raise SoundUnavailable(f"{name} cannot be opened.", hint="Give the path of a sound file.") from error
    if not exists:
        raise SoundUnavailable(f"There is no file {shown(str(file))}.", hint="Give the path of a sound file.")
    if is_folder:
        raise SoundUnavailable(f"{name} is a folder.", hint="Give one sound file in it.")
    if not is_file:
        raise SoundUnavailable(f"{name} is a device and no file.", hint="Give the path of a sound file.")
    if size == 0:
        raise SoundUnavailable(f"{name} is empty.", hint="Record it again.")


def _check_header(sound: soundfile.SoundFile, name: str) -> None:
    if not LEAST_RATE_HZ <= sound.samplerate <= MOST_RATE_HZ:
        raise SoundUnavailable(
            f"{name} has {sound.samplerate} samples a second.",
            hint=f"Between {LEAST_RATE_HZ} and {MOST_RATE_HZ} can be listened to.",
        )
    if sound.channels > MOST_CHANNELS:
        raise SoundUnavailable(
            f"{name} has {sound.channels} channels.", hint=f"At most {MOST_CHANNELS} can be read."
        )
    if sound.frames * sound.channels > MOST_VALUES:
        raise SoundUnavailable(
            f"{name} lasts {sound.frames / sound.samplerate / 60:.0f} minutes.",
            hint="Ten minutes can always be listened to: cut out the taps.",
        )


_CHUNK = 8
_STREAMED = (0, 0xFFFFFFFF)


def _cut_off(file: Path) -> bool:
    """Return whether a WAV file is shorter than its own header says.

    libsndfile reads such a file without a word, up to where it stops. A length of zero or of all ones is what
    a recorder writes that does not know the length yet.
    """
    with file.open("rb") as stream:
        start = stream.read(12)
        if start[:4] != b"RIFF" or start[8:12] != b"WAVE":
            return False
        end = file.stat().st_size
        at = 12
        while at + _CHUNK <= end:
            stream.seek(at)
            head = stream.read(_CHUNK)
            length = int.from_bytes(head[4:8], "little")
            if head[:4] == b"data":
                return length not in _STREAMED and at + _CHUNK + length > end
            at += _CHUNK + length + (length & 1)
    return False
