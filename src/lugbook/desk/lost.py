"""What was removed meanwhile, and what brings it back."""

from lugbook.desk.desk import Desk
from lugbook.errors import NotPossible


def why_lost(desk: Desk, name: str, *, drum_called: str, called: str) -> NotPossible | None:
    """Return that a preset or its drum was removed and can be brought back; None where neither was.

    Args:
        desk: the desk.
        name: the ``drum/preset``.
        drum_called: what the player calls the drum.
        called: what the player calls the preset.
    """
    drum = name.partition("/")[0]
    if drum not in desk.library.drum_slugs():
        if drum not in desk.library.removed():
            return None
        back = f"`lugbook drum restore {drum}` brings it back."
        return NotPossible(f"{drum_called} was removed.", hint=back)
    if name in desk.library.preset_ids() or name not in desk.library.removed():
        return None
    back = f"`lugbook preset restore {name}` brings it back."
    return NotPossible(f"{called} of {drum_called} was removed.", hint=back)
