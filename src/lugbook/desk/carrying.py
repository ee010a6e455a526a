"""Carrying a preset to another drum, such as a loan drum: the sound goes with it, turns and screws do not."""

from typing import Any

from lugbook.desk.desk import Desk
from lugbook.desk.wording import size_text
from lugbook.pitch import nearest
from lugbook.records import SIDES, Drum, Preset

_CARRIED = (
    *("name", "contexts", "a4", "top", "bottom", "tolerance_cents", "interval_decides"),
    *("words", "muffling", "sticks", "playing_spot", "player", "note"),
)
"""Fields that are about the sound and the music. Turns belong to a head, snare settings to a strainer."""


def like_values(desk: Desk, name: str) -> dict[str, Any]:
    """Return the values of a preset that is to be like *name* (``drum/preset``) on another drum.

    The setting of the snares comes along in words only: its numbers belong to another strainer.
    """
    preset = desk.library.preset(name).record
    kept = preset.model_dump(include=set(_CARRIED), exclude_unset=True)
    setting = preset.snares.text()
    # No turns: where the other drum stands now has nothing to do with pitches that were read on this one.
    return kept | {"turns": {}} | ({"snares": {"words": f"there: {setting}"}} if setting else {})


def carrying_remarks(desk: Desk, name: str, drum_id: str) -> tuple[str, ...]:
    """Say what differs where the preset *name* is carried to the drum *drum_id*."""
    preset, there = desk.library.preset(name).record, desk.library.drum(drum_id).record
    here = desk.library.drum(name.partition("/")[0]).record
    said = ["Pitches are carried over; no turns of this drum are kept with them."]
    if there.diameter_in != here.diameter_in:
        said.append(
            f"{there.name} is {size_text(there)}, {here.name} {size_text(here)}: the same pitch is another "
            "tension there, and speaks otherwise. Trust your ear (common practice, no source)."
        )
    return (*said, *_past_limits(preset, there))


def _past_limits(preset: Preset, drum: Drum) -> tuple[str, ...]:
    said = []
    for side in SIDES:
        hz, limit = preset.target_hz(side), drum.side(side).hz_max
        if hz is not None and limit is not None and hz > limit:
            note = nearest(hz, a4_hz=preset.a4).note.text()
            said.append(
                f"Caution: {note} ({hz:.0f} Hz) is above the {side} head's limit of {limit:.0f} Hz on "
                f"{drum.name}."
            )
    return tuple(said)
