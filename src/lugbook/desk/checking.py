"""Checking a drum before it is played: is it where its preset says, and if not, why not?"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from lugbook.desk.asking import Taken
from lugbook.desk.comparing import Comparison, HeadResult, Why, compare, take_both
from lugbook.desk.desk import Desk
from lugbook.desk.expecting import take_of
from lugbook.desk.voiding import OF_OTHER_WIRES, is_void
from lugbook.desk.wording import NOTHING, day_text, folded
from lugbook.errors import LibraryDamaged, NotFound
from lugbook.pitch import signed
from lugbook.records import SIDES, By, Entry, HeadSide, Preset, Struck


@dataclass(frozen=True, slots=True)
class Nearest:
    """One drum against every preset of it, the nearest first."""

    drum: str
    comparisons: tuple[Comparison, ...]
    """Presets that cannot be compared with what was read come last."""
    remarks: tuple[str, ...]

    @property
    def nearest(self) -> Comparison | None:
        """The preset whose worse head is off by the least; None where none can be compared."""
        first = next(iter(self.comparisons), None)
        return first if first is not None and worst_cents(first) is not None else None

    @property
    def headline(self) -> str:
        """Which preset it is nearest to, and whether it is within."""
        if not self.comparisons:
            return f"{self.drum} has no preset."
        if self.nearest is None:
            return f"{self.drum}: no preset can be compared with what was read."
        return f"{self.drum}: nearest to {self.nearest.preset}, {self.nearest.verdict}"

    def rows(self) -> list[tuple[str, ...]]:
        """Return a heading and a row for each preset: how far each head is off, and the verdict."""
        if not self.comparisons:
            return []
        rows = [
            (one.preset, *(_off(one.head(side)) for side in SIDES), one.verdict) for one in self.comparisons
        ]
        return [("preset", "top off", "bottom off", ""), *rows]


def check(
    desk: Desk,
    name: str,
    *,
    top: str | None,
    bottom: str | None,
    by: By | None = None,
    struck: Struck | None = None,
    a4_hz: float | None = None,
) -> Comparison:
    """Compare the readings *top* and *bottom* with the preset *name*, and say why it is not within.

    Args:
        desk: the desk.
        name: ``drum/preset``.
        top: reading of the top head, or None where it was not read.
        bottom: reading of the bottom head, or None.
        by: how typed pitches were had.
        struck: where the heads were struck; as the preset's target was where None.
        a4_hz: concert pitch that note names are meant at; the preset's where None.
    """
    stored = desk.library.preset(name)
    preset, drum_id = stored.record, stored.id.partition("/")[0]
    taken = take_both(desk, preset, top, bottom, drum_id=drum_id, by=by, struck=struck, a4_hz=a4_hz)
    return checked(desk, stored.id, preset, taken)


def checked(desk: Desk, name: str, preset: Preset, taken: Mapping[HeadSide, Taken]) -> Comparison:
    """Compare readings that were taken with the preset *name*, and say why it is not within."""
    found = compare(desk, name, preset, top=taken.get("top"), bottom=taken.get("bottom"))
    log = desk.library.log(found.drum)
    entries = log.entries
    snares = _void(desk, found.drum, preset) or _snares(entries, preset)
    remarks = (*found.remarks, *snares, *(one.sentence() for one in log.problems))
    found = replace(found, remarks=remarks)
    if found.within is not False:
        return found
    # Imported on use: it reckons with turns, and a drum that is within is told so at once.
    from lugbook.desk.explaining import why

    try:
        reason = why(desk, preset, found, taken)
    except LibraryDamaged as error:
        # What was read can be compared all the same.
        unread = "Nobody can tell why: the record of the drum cannot be read."
        return replace(found, why=Why(None, unread, (str(error),), ""))
    if reason.cause is None and (other := _brought_to(desk, found, taken)):
        there = f"Its pitches are those of {other}: it seems to have been turned there."
        reason = Why(
            "turned", there, reason.evidence, "Write the turn down, or turn it to the preset by pitch."
        )
    return replace(found, why=reason)


def _brought_to(desk: Desk, found: Comparison, taken: Mapping[HeadSide, Taken]) -> str:
    """Return the name of another preset of the drum that both heads are within; empty where there is none."""
    near = nearest(desk, found.drum, taken).nearest
    return near.preset if near is not None and near.within and near.preset != found.preset else ""


def check_all(
    desk: Desk,
    drum_id: str,
    *,
    top: str | None,
    bottom: str | None,
    by: By | None = None,
    struck: Struck | None = None,
    a4_hz: float | None = None,
) -> Nearest:
    """Compare the readings *top* and *bottom* with every preset of a drum.

    Args:
        desk: the desk.
        drum_id: the drum.
        top: reading of the top head, or None where it was not read.
        bottom: reading of the bottom head, or None.
        by: how typed pitches were had.
        struck: where the heads were struck; at the rim where None.
        a4_hz: concert pitch that note names are meant at; the library's where None.
    """
    drum = desk.library.drum(drum_id)
    taken: Mapping[HeadSide, Taken] = {
        side: take_of(
            desk, drum.id, side, text, a4_hz=a4_hz or desk.shared().a4, by=by, struck=struck or "rim"
        )
        for side, text in zip(SIDES, (top, bottom), strict=True)
        if text is not None
    }
    return nearest(desk, drum.id, taken)


def nearest(desk: Desk, drum_id: str, taken: Mapping[HeadSide, Taken]) -> Nearest:
    """Compare readings that were taken with every preset of a drum."""
    presets = desk.library.presets(drum_id)
    found = [
        compare(desk, stored.id, stored.record, top=taken.get("top"), bottom=taken.get("bottom"))
        for stored in presets.items.values()
    ]
    return Nearest(
        drum=drum_id,
        comparisons=tuple(sorted(found, key=_farness)),
        remarks=(
            *_common([one.remarks for one in found]),
            *(problem.sentence(root=desk.library.root) for problem in presets.problems),
        ),
    )


def _common(remarks: list[tuple[str, ...]]) -> Iterator[str]:
    """Yield what is remarked of every comparison, once."""
    first, *others = remarks or [()]
    return (one for one in first if all(one in other for other in others))


def worst_cents(found: Comparison) -> float | None:
    """Return how far off the worse head is, in cents; None where no head can be compared."""
    off = [abs(head.off_cents) for head in _comparable(found)]
    return max(off) if off else None


def _off(head: HeadResult | None) -> str:
    return NOTHING if head is None else f"{signed(head.off_cents)} {head.word}"


def _comparable(found: Comparison) -> Iterator[HeadResult]:
    heads = (found.head(side) for side in SIDES)
    return (head for head in heads if head is not None and head.within is not None)


def _farness(found: Comparison) -> tuple[bool, float, int, str]:
    """Order comparisons: within first, then those whose worse head is nearer, of more heads where alike."""
    worst = worst_cents(found)
    heads = sum(1 for _ in _comparable(found))
    return found.within is not True, math.inf if worst is None else worst, -heads, found.preset


def _void(desk: Desk, drum_id: str, preset: Preset) -> tuple[str, ...]:
    """Say that the setting of the preset was found with other wires, where it was."""
    if not preset.snares.text():
        return ()
    try:
        drum = desk.library.drum(drum_id).record
    except (LibraryDamaged, NotFound):
        return ()  # the readings can be compared all the same
    return (f"Snares: {preset.snares.text()}, {OF_OTHER_WIRES}.",) if is_void(drum, preset) else ()


def _snares(entries: tuple[Entry, ...], preset: Preset) -> tuple[str, ...]:
    """Say where the snares were last set otherwise than in the preset, as far as both say how."""
    last = next((entry for entry in reversed(entries) if entry.snares is not None), None)
    if last is None or last.snares is None:
        return ()
    wanted, found = preset.snares, last.snares
    named = [name for name, value in wanted.values.items() if found.values.get(name, value) != value]
    pairs = [(f"{name} {wanted.values[name]:g}", f"{name} {found.values[name]:g}") for name in named]
    if wanted.words and found.words and folded(wanted.words) != folded(found.words):
        pairs.insert(0, (wanted.words, found.words))
    if not pairs:
        return ()
    ours, theirs = ("; ".join(texts) for texts in zip(*pairs, strict=True))
    day = day_text(last.at.date())
    return (f"Snares: {ours} in the preset, but {theirs} when last written down ({day}).",)
