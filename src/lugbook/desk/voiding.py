"""Whether a setting of the snares is of the wires that are on.

A set of wires that is put on, or tied anew, voids the settings found with the one before: they are then only
where to begin.
"""

from datetime import date

from lugbook.records import Drum, Preset, SnareSetting

OF_OTHER_WIRES = "of other wires: only where to begin"
"""Stands beside such a setting."""


def with_wires(drum: Drum, setting: SnareSetting) -> SnareSetting:
    """Return a setting that is found now with the id of the wires that are on, unless it says others."""
    on = drum.wires_on("bottom")
    if on is None or setting.wires or not setting.text():
        return setting
    return setting.model_copy(update={"wires": on.id})


def of_other_wires(drum: Drum, setting: SnareSetting, *, found: date | None = None) -> bool:
    """Tell whether a setting was found with wires that are no longer on.

    Args:
        drum: the drum.
        setting: the setting; one that does not say with which wires is older than those put on the same day.
        found: the day it was found, where that is known.
    """
    if not setting.text():
        return False
    if setting.wires:
        its = next((one for one in drum.wires if one.id == setting.wires), None)
        on = None if its is None else drum.wires_on(its.place)
        return its is None or on is None or on.id != its.id
    on = drum.wires_on("bottom")
    return on is not None and on.since is not None and found is not None and found <= on.since


def is_void(drum: Drum, preset: Preset) -> bool:
    """Tell whether the setting of a *preset* was found with wires that are no longer on."""
    made = preset.made
    return of_other_wires(drum, preset.snares, found=None if made is None else made.date())
