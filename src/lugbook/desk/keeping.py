"""Adding, editing, removing and restoring drums and presets.

Values come as plain mappings from either face: texts and numbers as they were typed, nested as the record is.
They are checked by the record itself, so that a form, the command line and a file obey one rule.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from lugbook.desk.adjusting import checked_names
from lugbook.desk.asking import renamed_pitch
from lugbook.desk.desk import Desk
from lugbook.desk.journal import AS_IT_STOOD, is_known, with_counts
from lugbook.desk.voiding import with_wires
from lugbook.desk.wording import contexts_once, key_words
from lugbook.errors import BadValue, NotPossible
from lugbook.library import Stored, position_of, starting_points
from lugbook.library.faults import problems_of
from lugbook.pitch import Note, hz_of_midi, nearest
from lugbook.plain import first_control, shown
from lugbook.records import SIDES, Drum, HeadSide, LibrarySettings, Positions, Preset, Reading, Record, Side

R = TypeVar("R", bound=Record)

Values = Mapping[str, Any]
"""Key → value, nested as the record is; None leaves a key out."""


class BadRecord(BadValue):
    """Values that make no record; `by_key` names each fault by its dotted key."""

    def __init__(self, by_key: dict[str, str]) -> None:
        key, sentence = next(iter(by_key.items()))
        more = f" ({len(by_key) - 1} more)" if len(by_key) > 1 else ""
        super().__init__(shown(f"{key_words(key) or 'The record'}: {sentence}{more}."))
        self.by_key = by_key


def checked(model: type[R], values: Values) -> R:
    """Return the record that *values* make.

    Raises:
        BadRecord: a value is missing, of the wrong kind or out of range, or a text holds a control character.
    """
    _refuse_controls(values)
    try:
        return model.model_validate(_without_none(values))
    except ValidationError as error:
        found = problems_of(error, model, path=Path(), place="")
        raise BadRecord({one.where: f"{one.what}; right would be {one.right}" for one in found}) from None


def faults_of(model: type[Record], record: Record | None, values: Values) -> dict[str, str]:
    """Return what is wrong with *values*, by dotted key, without keeping anything.

    Args:
        model: what they are to make.
        record: what they are put into; None for a new one.
        values: as for `checked` and `merged`.
    """
    try:
        if record is None:
            checked(model, values)
        else:
            merged(record, values)
    except BadRecord as error:
        return error.by_key
    return {}


def merged(record: R, values: Values) -> R:
    """Return *record* with *values* put in; None takes a key out, a nested mapping goes in key by key."""
    return checked(type(record), _merge(record.model_dump(exclude_unset=True), values))


def add_drum(desk: Desk, values: Values) -> Stored[Drum]:
    """Put a new drum on the shelf, and begin the library where there is none yet.

    Args:
        desk: the desk.
        values: fields of `Drum`, and ``reference``, the state that its turns are counted from. Where only the
            rods of the top are given, the bottom has as many.
    """
    built = {key: value for key, value in values.items() if key != "reference"}
    if (rods := _rods(values, "top")) is not None and _rods(values, "bottom") is None:
        built["bottom"] = {**(built.get("bottom") or {}), "rods": rods}
    drum = with_counts(desk, checked(Drum, built), reference=str(values.get("reference") or AS_IT_STOOD))
    if not desk.library.exists:
        desk.library.create(LibrarySettings())
    return desk.library.add_drum(drum)


def assumed(values: Values) -> tuple[str, ...]:
    """Say what `add_drum` takes for granted where the *values* of a new drum do not say it."""
    if values.get("tension") == "rope":
        return ()
    said = []
    if _rods(values, "top") is None:
        said.append(f"Taken to have {Side().rods} rods on each head, as nothing else was said.")
    if not values.get("reference"):
        said.append("Its turns are counted from how it stands at the first entry.")
    return tuple(said)


def edit_drum(desk: Desk, drum_id: str, values: Values) -> Stored[Drum]:
    """Change what is kept of a drum; its slug stays.

    Another tension begins other counts of turns. Where turns were written down that cannot be: what they say
    of two heads, one rod cannot say.
    """
    stored = desk.library.drum(drum_id)
    old = stored.record
    if values.get("tension") in (None, old.tension):
        return desk.library.save_drum(stored, merged(old, values))
    if desk.library.log(drum_id).entries:
        raise BadRecord(
            {
                "tension": f"turns are written down in the logbook of this {old.tension} drum; "
                "put it on the shelf anew, as a drum of its own"
            }
        )
    reference = old.counts[-1].reference if old.counts else AS_IT_STOOD
    # Checked without counts, which belong to the old tension; no entry lies in any of them.
    drum = merged(old.model_copy(update={"counts": ()}), values)
    return desk.library.save_drum(stored, with_counts(desk, drum, reference=reference))


def remove_drum(desk: Desk, drum_id: str) -> None:
    """Take a drum with its presets and logbook off the shelf; it can be restored."""
    desk.library.remove_drum(drum_id)


def restore_drum(desk: Desk, drum_id: str) -> Stored[Drum]:
    """Bring back a drum that was removed."""
    return desk.library.restore_drum(drum_id)


def add_preset(desk: Desk, drum_id: str, values: Values) -> Stored[Preset]:
    """Keep a new preset of a drum.

    Where a target comes from a recording and the values name no turns, the preset keeps the turns that the
    heads stand at now, because that is where they were heard; none of a head of which no turns are written
    down. Typed targets may come from paper: none then.
    """
    drum = desk.library.drum(drum_id).record
    given = _without_none(contexts_once(values))
    now: dict[str, Any] = {"made": desk.now(), "player": desk.user.player or None}
    if "a4" not in given:
        now["a4"] = desk.a4_hz()
    preset = checked(Preset, {**now, **_named_snares(drum, given)})
    if "made" not in given:  # what is found now is found with the wires that are on
        preset = preset.model_copy(update={"snares": with_wires(drum, preset.snares)})
    heard_now = any(
        reading is not None and reading.by == "recording" for reading in (preset.top, preset.bottom)
    )
    if heard_now and "turns" not in values:
        entries = desk.library.log(drum_id).entries
        standing = position_of(drum, entries)
        known = {side: getattr(standing, side) for side in SIDES if is_known(drum, entries, side)}
        preset = preset.model_copy(update={"turns": Positions(**known)})
    return desk.library.add_preset(drum_id, preset)


def edit_preset(desk: Desk, name: str, values: Values) -> Stored[Preset]:
    """Change what is kept of a preset; its slug stays, whatever its name becomes.

    Another concert pitch never moves a target: one that names a note and is not typed anew is renamed.
    """
    stored = desk.library.preset(name)
    typed = contexts_once(values)
    if values.get("snares") is not None:
        typed = _named_snares(desk.library.drum(stored.id.partition("/")[0]).record, typed)
    old, new = stored.record, merged(stored.record, typed)
    kept = {
        side: target
        for side in SIDES
        if "pitch" not in (values.get(side) or {}) and (target := new.target(side))
    }
    renamed: dict[str, Reading] = {
        side: target.model_copy(update={"pitch": renamed_pitch(target.pitch, old_a4_hz=old.a4, a4_hz=new.a4)})
        for side, target in kept.items()
        if new.a4 != old.a4
    }
    return desk.library.save_preset(stored, new.model_copy(update=renamed))


def remove_preset(desk: Desk, name: str) -> None:
    """Take a preset off the shelf; it can be restored."""
    desk.library.remove_preset(name)


def restore_preset(desk: Desk, name: str) -> Stored[Preset]:
    """Bring back a preset that was removed, or what it was before it was last changed."""
    return desk.library.restore_preset(name)


def start_values(slug: str) -> dict[str, Any]:
    """Return the values of a preset that begins from the starting point *slug*.

    A starting point gives ranges, and a target is one pitch: the middle of each range is where to begin, and
    the note says so.

    Raises:
        BadValue: there is no such starting point.
    """
    points = starting_points()
    plain = slug.removeprefix("start/")
    if plain not in points:
        raise BadValue(f"There is no starting point {shown(slug)!r}.", hint=f"There are {', '.join(points)}.")
    point = points[plain]
    return {
        "name": point.name,
        "contexts": point.contexts,
        "top": {"pitch": _middle(point.top_from, point.top_to)},
        "bottom": {"pitch": _middle(point.bottom_from, point.bottom_to)},
        "snares": {"words": point.snares},
        "muffling": point.muffling,
        "sticks": point.sticks,
        "words": point.words,
        "note": (
            f"Begun from the starting point {plain} ({point.basis}): top {point.top_from} to {point.top_to}, "
            f"bottom {point.bottom_from} to {point.bottom_to}, {point.interval}. The targets are the middle "
            f"of these ranges, to begin from; search on from there. {point.note}"
        ).strip(),
    }


def reading_values(reading: Reading) -> dict[str, Any]:
    """Return the values that put *reading* in the place of another one, whole."""
    return dict.fromkeys(Reading.model_fields) | reading.model_dump(exclude_unset=True)


def position_values(drum: Drum, side: HeadSide, amount: float | None) -> dict[str, Any] | None:
    """Return the values of a preset's turns of one head, in the count that is running; None takes them out.

    Raises:
        NotPossible: the drum has no rods to turn.
    """
    if amount is None:
        return None
    count = drum.count_of(side)
    if count is None or not drum.turns_offered:
        raise NotPossible(
            f"{shown(drum.name)} has no count of turns for its {side} head.",
            hint="Keep the pitches alone."
            if not drum.turns_offered
            else "Put a head on with `lugbook head add`.",
        )
    return {"amount": amount, "count": count.id}


def _named_snares(drum: Drum, values: Values) -> Values:
    """Return *values* with the adjustments that were typed by the names that the strainer has for them."""
    snares = values.get("snares")
    typed = snares.get("values") if isinstance(snares, Mapping) else None
    if not isinstance(snares, Mapping) or not isinstance(typed, Mapping):
        return values  # a setting of the logbook stays as it was found
    try:
        return {**values, "snares": {**snares, "values": checked_names(drum, typed)}}
    except BadValue as error:
        raise BadRecord({"snares.values": str(error).rstrip(".")}) from None


def _rods(values: Values, side: HeadSide) -> object:
    return (values.get(side) or {}).get("rods")


def _middle(low: str, high: str) -> str:
    middle = (Note.parse(low).midi + Note.parse(high).midi) / 2
    return nearest(hz_of_midi(middle), like=Note.parse(low)).note.text()


def _without_none(values: Values) -> dict[str, Any]:
    return {
        key: _without_none(value) if isinstance(value, Mapping) else value
        for key, value in values.items()
        if value is not None
    }


def _merge(old: dict[str, Any], new: Values) -> dict[str, Any]:
    result = dict(old)
    for key, value in new.items():
        if value is None:
            result.pop(key, None)
        elif isinstance(value, Mapping) and isinstance(result.get(key), dict):
            result[key] = _merge(result[key], value)
        else:
            result[key] = value
    return result


def _refuse_controls(values: Values, path: str = "") -> None:
    for key, value in values.items():
        where = f"{path}{key}"
        if isinstance(value, Mapping):
            _refuse_controls(value, f"{where}.")
            continue
        several = isinstance(value, list | tuple)
        for number, one in enumerate(value if several else (value,), 1):
            if isinstance(one, Mapping):
                _refuse_controls(one, f"{where}.{number}.")
            elif isinstance(one, str):
                # A note may have line breaks; nothing else may, and no text may carry an escape sequence.
                _refuse_control(one.replace("\n", " ") if key == "note" else one, where)


def _refuse_control(text: str, where: str) -> None:
    index = first_control(text)
    if index is not None:
        raise BadRecord(
            {where: f'"{shown(text[:60])}" has a control character (number {index + 1}); leave it out'}
        )
