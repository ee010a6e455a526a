"""Makes demo/library, demo/recordings and demo/rounds anew: ``python demo/make.py``.

Times, ids and scatter are fixed, so that the same bytes come out every time; a sample of a recording may
differ by one step of 16 bit between machines.
"""

import shutil
import tempfile
import wave
from datetime import datetime
from pathlib import Path

import numpy as np
import numpy.typing as npt

from demo_drums import DRUMS, PLAYER, SETTINGS
from demo_log import WRITERS, logbooks
from demo_pieces import CONCERT, CONCERT_SLUG, PIECES
from demo_presets import presets
from demo_recordings import REHEARSAL, recordings
from demo_rounds import RATE_OF_ROUNDS_HZ, rounds
from lugbook.library import Library
from struck_head import RATE_HZ

HERE = Path(__file__).resolve().parent


def make_library(root: Path) -> None:
    """Write the demo's library into the folder *root*, which must not exist."""
    with tempfile.TemporaryDirectory() as locks:
        machines = {
            writer: Library(root, now=_now, lock_folder=Path(locks), writer=writer)
            for writer in WRITERS.values()
        }
        library = machines[WRITERS[PLAYER]]
        library.create(SETTINGS)
        for slug, drum in DRUMS.items():
            _must_be(slug, library.add_drum(drum).id)
        for (slug, preset_slug), preset in presets().items():
            _must_be(f"{slug}/{preset_slug}", library.add_preset(slug, preset).id)
        for slug, piece in PIECES.items():
            _must_be(slug, library.add_piece(piece).id)
        _must_be(CONCERT_SLUG, library.add_concert(CONCERT).id)
        for slug, entries in logbooks().items():
            for entry in entries:
                machines[entry.writer].append(slug, entry)


def make_recordings(folder: Path) -> None:
    """Write the demo's recordings into *folder*, which is made where it is missing: WAV, mono, 16 bit."""
    _write(folder, recordings(), rate_hz=RATE_HZ)


def make_rounds(folder: Path) -> None:
    """Write the demo's rounds of the rods into *folder*, which is made where it is missing."""
    _write(folder, rounds(), rate_hz=RATE_OF_ROUNDS_HZ)


def _write(folder: Path, sounds: dict[str, npt.NDArray[np.int16]], *, rate_hz: int) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, samples in sounds.items():
        with wave.open(str(folder / name), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(rate_hz)
            file.writeframes(samples.astype("<i2").tobytes())


def main() -> None:
    """Replace what is there."""
    for folder, make in (
        (HERE / "library", make_library),
        (HERE / "recordings", make_recordings),
        (HERE / "rounds", make_rounds),
    ):
        if folder.exists():
            shutil.rmtree(folder)
        make(folder)
        files = [path for path in folder.rglob("*") if path.is_file()]
        print(f"{folder.name}: {len(files)} files, {sum(path.stat().st_size for path in files) / 1e6:.2f} MB")


def _now() -> datetime:
    return REHEARSAL


def _must_be(wanted: str, made: str) -> None:
    if wanted != made:
        raise ValueError(f"the demo calls it {wanted!r}, the library made {made!r}; change the name")


if __name__ == "__main__":
    main()
