"""Recordings of real drums from Debian's packages, for the tests: which drum, which strokes, from where.

Nothing of them lies in this repository. Each is open data; `PACKAGES` names makers and licence, from the
copyright file of the package. Where a package is not installed its drums are not there, and the tests that
want them are skipped with a line that names it. With `LUGBOOK_DRUMS` set to a folder, packages unpacked
there (`dpkg -x PACKAGE.deb FOLDER`) are used instead of installed ones.

Conventions: a drum is one head struck in one manner (its middle, near the hoop): its strokes should settle on
one pitch. A recording is one stroke, whatever its channels.
"""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile

from .soundfonts import Font

Floats = npt.NDArray[np.float64]

ROOT = Path(os.environ.get("LUGBOOK_DRUMS", "/"))
LONGEST_S = 2.5


@dataclass(frozen=True)
class Package:
    """A package of Debian with recordings of drums.

    Attributes:
        name: its name.
        folder: where its recordings lie, below the root.
        makers: who made them.
        licence: of the recordings.
    """

    name: str
    folder: str
    makers: str
    licence: str

    @property
    def path(self) -> Path:
        """Where its recordings lie."""
        return ROOT / self.folder

    @property
    def there(self) -> bool:
        """Whether its recordings are on this machine."""
        return any(self.path.glob(_PROOF[self.name]))


_PROOF = {
    "avldrums.lv2-soundfont": "*_LV2.sf2",
    "fluid-soundfont-gm": "FluidR3_GM.sf2",
    "hydrogen-drumkits": "ForzeeStereo/Kick-0.wav",
    "musescore-general-soundfont-lossless": "MuseScore_General_Full.sf2",
    "sonic-pi-samples": "drum_tom_hi_hard.flac",
}

PACKAGES = {
    package.name: package
    for package in (
        Package("avldrums.lv2-soundfont", "usr/share/sounds/sf2", "Glen MacArthur", "CC-BY-SA-3.0"),
        Package("fluid-soundfont-gm", "usr/share/sounds/sf2", "Frank Wen and contributors", "MIT"),
        Package(
            "hydrogen-drumkits",
            "usr/share/hydrogen/data/drumkits",
            "V. Sadovnikov and A. Belokurov, L. Tunguay, G. MacArthur, E. Grilli",
            "GPL-2, CC-BY-SA-3.0",
        ),
        Package(
            "musescore-general-soundfont-lossless",
            "usr/share/sounds/sf2",
            "S. Christian Collins and Amir Oosman (drum line)",
            "CC0-1.0",
        ),
        Package("sonic-pi-samples", "usr/share/sonic-pi/samples", "menegass, dio_333", "CC0-1.0"),
    )
}


@dataclass(frozen=True)
class Recording:
    """One recorded stroke.

    Attributes:
        name: what its makers call it.
        samples: shape (frames,) or (frames, channels), from -1 to 1.
        rate_hz: frames a second.
        declared_hz: the pitches its makers declare; empty where they declare none.
    """

    name: str
    samples: Floats
    rate_hz: float
    declared_hz: tuple[float, ...] = ()


@dataclass(frozen=True)
class Drum:
    """One drum struck in one manner, and where its strokes are found.

    Attributes:
        name: for reports.
        kind: tom, tenor, bass, hand, snare or timpani.
        package: the package that holds it.
        source: the font, or the folder of recordings, below the package's folder.
        pattern: what the names of its strokes begin with, a regular expression.
        corrected_cents: by how much other makers play it higher than declared, to be in tune.
    """

    name: str
    kind: str
    package: str
    source: str
    pattern: str
    corrected_cents: float = 0.0

    @property
    def there(self) -> bool:
        """Whether its recordings are on this machine."""
        return PACKAGES[self.package].there

    def strokes(self) -> tuple[Recording, ...]:
        """Return its strokes in the order of their names; none where the package is not there."""
        path = PACKAGES[self.package].path / self.source
        if not path.exists():
            return ()
        return tuple(_of_font(path, self.pattern) if path.is_file() else _of_folder(path, self.pattern))


def _of_font(path: Path, pattern: str) -> Iterator[Recording]:
    font = _font(path)
    for name, sample in sorted(font.samples.items()):
        if re.match(pattern, name) and not re.search(r"\(R\)?$", name):
            frames = font.read(name)
            # Names hold 20 characters, which may cut the bracket off.
            right = re.sub(r"\(L(\)?)$", r"(R\1", name)
            if right != name and right in font.samples:
                both = font.read(right)
                frames = np.column_stack([one[: min(frames.size, both.size)] for one in (frames, both)])
            yield Recording(name, _cut(frames, sample.rate_hz), sample.rate_hz, sample.declared_hz)


def _of_folder(path: Path, pattern: str) -> Iterator[Recording]:
    for file in sorted(path.iterdir()):
        if re.match(pattern, file.name):
            frames, rate = soundfile.read(file, always_2d=True)
            yield Recording(file.stem, _cut(frames[:, :2], rate), rate)


def _cut(frames: Floats, rate_hz: float) -> Floats:
    return frames[: int(LONGEST_S * rate_hz)]


@cache
def _font(path: Path) -> Font:
    return Font(path)


_FONTS = {
    "pearl": ("avldrums.lv2-soundfont", "Black_Pearl_4_LV2.sf2"),
    "zeppelin": ("avldrums.lv2-soundfont", "Red_Zeppelin_4_LV2.sf2"),
    "fluid": ("fluid-soundfont-gm", "FluidR3_GM.sf2"),
    "line": ("musescore-general-soundfont-lossless", "MuseScore_General_Full.sf2"),
}
_FOLDERS = {
    "sonic": ("sonic-pi-samples", "."),
    "forzee": ("hydrogen-drumkits", "ForzeeStereo"),
    "pacific": ("hydrogen-drumkits", "BJA_Pacific"),
    "hand": ("hydrogen-drumkits", "Gimme A Hand 1.0"),
    "millo 2": ("hydrogen-drumkits", "Millo_MultiLayered2"),
    "millo 3": ("hydrogen-drumkits", "Millo_MultiLayered3"),
    "black pearl": ("hydrogen-drumkits", "The Black Pearl 1.0"),
}

_KIT = (
    ("bass", "bass drum", "36-"),
    ("snare", "snare", "38-"),
    ("snare", "snare, edge", "40-"),
    ("tom", "floor tom", "41-"),
    ("tom", "floor tom, edge", "43-"),
    ("tom", "tom", "45-"),
    ("tom", "tom, edge", "47-"),
)
"""Both kits of the first package are numbered alike."""

_TABLE: dict[str, tuple[tuple[str, str, str], ...]] = {
    "pearl": _KIT,
    "zeppelin": _KIT,
    "sonic": (
        *(("tom", f"tom {word}", f"drum_tom_{word}_") for word in ("hi", "mid", "lo")),
        ("bass", "bass drum", "drum_bass_"),
        ("snare", "snare", "drum_snare_"),
        ("hand", "tabla tun", r"tabla_tun\d"),
        ("hand", "tabla na", "tabla_na"),
    ),
    "fluid": (
        *(("timpani", f"timpani {number}", f"Timpani {number}") for number in (1, 2, 3)),
        *(("tom", f"tom {word.lower()}", f"Tom {word}") for word in ("Hi", "Med", "Low", "Floor")),
        *(("hand", word.lower(), word) for word in ("Low Timbale", "High Timbale", "High Conga")),
        *(("hand", word.lower(), word) for word in ("Low Bongo", "Taiko Drum", "Long Taiko Hit")),
        *(("bass", word.lower(), word) for word in ("Orch Bass Drum", "Std Kick 1", "Power Bass Drum 1")),
        *(("snare", word.lower(), word) for word in ("Orch Snare", "Std Snr 1", "Power Snare 1")),
    ),
    "line": (
        *(("tenor", f"tenor {word}", f"MTnr-{word} hit") for word in ("1", "2", "3", "4", "sp1", "sp2")),
        *(("bass", f"bass drum {number}", f"MBass-{number} hit") for number in (2, 3, 4, 5, 6)),
        ("snare", "snare", "MSnr-hit"),
    ),
    "forzee": (
        *(("tom", f"tom {word.lower()}", f"Tom{word}-") for word in ("High", "Mid", "Low")),
        ("bass", "bass drum", "Kick-"),
        ("snare", "snare", "Snare-"),
        ("snare", "snare, wires off", "SnareOff-"),
    ),
    "pacific": (
        ("tom", "tom 1", "TM_"),
        ("tom", "tom 2", "TM2_"),
        ("bass", "bass drum", "BD_"),
        *(("snare", f"snare {number or 1}", f"SN{number}_") for number in ("", "3", "4")),
    ),
    "hand": (("hand", "bongo high", "BongoHi-"), ("hand", "bongo low", "BongoLo-")),
    "millo 2": (
        ("tom", "tom", "tom_"),
        ("tom", "floor tom", "floortom_"),
        ("bass", "bass drum", "bd_"),
        ("snare", "snare 1", "jsnare_"),
        ("snare", "snare 2", "rsnare_"),
    ),
    "millo 3": (
        ("tom", "tom 1", "t1_"),
        ("tom", "tom 2", "t2_"),
        ("tom", "floor tom", "ft_"),
        ("bass", "bass drum", "bd_"),
        ("snare", "snare", "sd_"),
    ),
    "black pearl": (
        ("tom", "tom 1", "PearlTom1-"),
        ("tom", "tom 2", "PearlTom2-"),
        ("tom", "floor tom", "PearlTomFloor-"),
        ("bass", "bass drum", "PearlKick-"),
        ("snare", "snare", "PearlSnare-"),
    ),
}
"""Of each source: kind, name, and what the names of its strokes begin with."""

_CORRECTED_CENTS = {"fluid timpani 1": 12.0}
"""What the font MuseScore_General_Full, made from the same samples, adds on playback: 12, 0 and 0 cents in
its sample headers "Timpani 1" to "Timpani 3" (package musescore-general-soundfont-lossless 0.2.1-1)."""

DRUMS = tuple(
    Drum(
        f"{source} {name}",
        kind,
        *{**_FONTS, **_FOLDERS}[source],
        pattern,
        _CORRECTED_CENTS.get(f"{source} {name}", 0.0),
    )
    for source, rows in _TABLE.items()
    for kind, name, pattern in rows
)
