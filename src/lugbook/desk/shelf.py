"""What is on the shelf: the drums, their heads, their presets, and the starting points."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from lugbook.desk.asking import named
from lugbook.desk.comparing import target_interval_name
from lugbook.desk.desk import Desk
from lugbook.desk.matching import Fit, matcher
from lugbook.desk.wording import day_text, folded, head_text, size_text
from lugbook.library import Problem, kind_of, open_round_entry, starting_points
from lugbook.records import Drum, HeadSide, Preset, StartingPoint


@dataclass(frozen=True, slots=True)
class TurnsRow:
    """Turns of one head in a preset."""

    amount: float
    valid: bool | None
    """Whether their count is still running, on a head that keeps its tension overnight; None where the drum
    cannot be read."""


@dataclass(frozen=True, slots=True)
class PresetRow:
    """One preset, or one starting point (with no drum, hertz or turns)."""

    id: str
    """``drum/preset`` or ``start/preset``."""
    drum: str
    preset: str
    name: str
    contexts: tuple[str, ...]
    top_hz: float | None
    bottom_hz: float | None
    top: str
    bottom: str
    interval: str | None
    turns_top: TurnsRow | None
    turns_bottom: TurnsRow | None
    snares: str
    words: str
    drum_name: str = ""
    fit: Fit | None = None
    """How well it fits the music that was asked for; None where none was."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """Presets, and what could not be read."""

    rows: tuple[PresetRow, ...]
    problems: tuple[Problem, ...]
    nearest: tuple[PresetRow, ...] = ()
    """Where none fits all the music that was asked for, those that come nearest, the best first."""


@dataclass(frozen=True, slots=True)
class HeadRow:
    """One head of a drum's history."""

    id: str
    side: HeadSide
    what: str
    """Material, thickness and name in a phrase."""
    on: date
    off: date | None


@dataclass(frozen=True, slots=True)
class DrumRow:
    """One drum."""

    slug: str
    name: str
    size: str
    tension: str
    rods_top: int
    rods_bottom: int
    top_head: str
    bottom_head: str
    presets: int


@dataclass(frozen=True, slots=True)
class DrumShelf:
    """Drums, and what could not be read."""

    rows: tuple[DrumRow, ...]
    problems: tuple[Problem, ...]


def presets(desk: Desk, *, drum: str | None = None, contexts: Sequence[str] = ()) -> Shelf:
    """Return the presets, of one drum or all; those that fit every one of *contexts*, the best first."""
    drums = desk.library.drums()
    if drum is not None and not any(name.startswith(f"{drum}/") for name in desk.library.presets().items):
        desk.library.drum(drum)  # raises where there is none; a damaged drum hides none of its presets
    found = desk.library.presets(drum)
    rows = []
    for stored in found.items.values():
        drum_id, _, slug = stored.id.partition("/")
        home = drums.items.get(drum_id)
        rows.append(preset_row(drum_id, slug, stored.record, home.record if home else None, desk))
    problems = dict.fromkeys((*desk.shared_problems(), *drums.problems, *found.problems))
    return _ranked(desk, Shelf(rows=tuple(rows), problems=tuple(problems)), contexts)


NEAREST = 5
"""So many presets are named where none fits."""


def _ranked(desk: Desk, shelf: Shelf, wanted: Sequence[str]) -> Shelf:
    """Return *shelf* with the rows that fit what is *wanted*, the best first, or the nearest beside none."""
    if not wanted:
        return shelf
    fit_of = matcher(desk).fit
    rows = [
        replace(row, fit=fit_of(row.contexts, wanted, text=f"{row.name} {row.words}")) for row in shelf.rows
    ]
    ranked = sorted(
        ((row, fit) for row in rows if (fit := row.fit) is not None and fit.score),
        key=lambda one: (-one[1].score, len(one[0].contexts), one[0].id),
    )
    fitting = tuple(row for row, fit in ranked if fit.fits)
    return Shelf(fitting, shelf.problems, () if fitting else tuple(row for row, _ in ranked[:NEAREST]))


def preset_row(drum_id: str, slug: str, preset: Preset, drum: Drum | None, desk: Desk) -> PresetRow:
    """Return the row of one preset; *drum* is None where the drum's own file cannot be read."""
    return PresetRow(
        id=f"{drum_id}/{slug}",
        drum=drum_id,
        preset=slug,
        name=preset.name,
        contexts=preset.contexts,
        top_hz=preset.target_hz("top"),
        bottom_hz=preset.target_hz("bottom"),
        top=named(preset.top.pitch, a4_hz=preset.a4) if preset.top else "",
        bottom=named(preset.bottom.pitch, a4_hz=preset.a4) if preset.bottom else "",
        interval=target_interval_name(preset),
        turns_top=_turns(preset, drum, "top", desk),
        turns_bottom=_turns(preset, drum, "bottom", desk),
        snares=preset.snares.text(),
        words=preset.words,
        drum_name=drum.name if drum else drum_id,
    )


def start_rows(desk: Desk, *, contexts: Sequence[str] = ()) -> Shelf:
    """Return the starting points shipped with the program; those that fit *contexts*, the best first."""
    rows = tuple(_start_row(slug, point) for slug, point in starting_points().items())
    return _ranked(desk, Shelf(rows=rows, problems=()), contexts)


def drums(desk: Desk) -> DrumShelf:
    """Return all drums."""
    found, presets_found = desk.library.drums(), desk.library.presets()
    rows = tuple(
        DrumRow(
            slug=slug,
            name=stored.record.name,
            size=size_text(stored.record),
            tension=stored.record.tension,
            rods_top=stored.record.top.rods,
            rods_bottom=stored.record.bottom.rods,
            top_head=_head_now(stored.record, "top"),
            bottom_head=_head_now(stored.record, "bottom"),
            presets=sum(name.startswith(f"{slug}/") for name in presets_found.items),
        )
        for slug, stored in found.items.items()
    )
    return DrumShelf(rows=rows, problems=(*desk.shared_problems(), *found.problems))


def heads(desk: Desk, drum: str) -> tuple[HeadRow, ...]:
    """Return all heads of one drum, oldest first."""
    return tuple(
        HeadRow(id=head.id, side=head.side, what=head_text(head), on=head.on, off=head.off)
        for head in desk.library.drum(drum).record.heads
    )


def waiting_rounds(desk: Desk) -> dict[str, str]:
    """Return the rounds that were stopped part-way, in a few words each, by the slug of their drum."""
    # Imported on use: the lists of the shell need no advice on turns.
    from lugbook.desk.rounds import taken_up

    found = {}
    for slug, stored in desk.library.drums().items.items():
        entry = open_round_entry(desk.library.log(slug).entries)
        left = None if entry is None else taken_up(stored.record, entry)
        if left is not None:
            found[slug] = f"a round waits: {left.part}, {len(left.turned)} of {len(left.moves)} rods"
    return found


def last_removed(desk: Desk) -> str:
    """Return the id of what was removed last and can be brought back: a drum, or a preset of a drum there."""
    drums = desk.library.drums().items
    shelved = [one for one in reversed(desk.library.removed()) if kind_of(one) in ("drum", "preset")]
    return next((one for one in shelved if "/" not in one or one.partition("/")[0] in drums), "")


def contexts_in_use(desk: Desk) -> tuple[str, ...]:
    """Return the library's own contexts and those of its presets, each once, in order of the alphabet."""
    words = set(desk.shared().contexts)
    for stored in desk.library.presets().items.values():
        words.update(stored.record.contexts)
    return tuple(sorted(words, key=folded))


def start_contexts() -> tuple[str, ...]:
    """Return the kinds of music that there are starting points for, in order of the alphabet."""
    return tuple(sorted({one for point in starting_points().values() for one in point.contexts}, key=folded))


def unheard_of(desk: Desk, wanted: Sequence[str], *, kinds: Sequence[str]) -> tuple[str, ...]:
    """Return those of *wanted* that are none of the *kinds* of music there are, by whatever word."""
    is_for = matcher(desk).is_for
    return tuple(one for one in wanted if not any(is_for((kind,), (one,)) for kind in kinds))


def _head_now(drum: Drum, side: HeadSide) -> str:
    head = drum.head_on(side)
    return f"{head_text(head)} (on since {day_text(head.on)})" if head else ""


def _turns(preset: Preset, drum: Drum | None, side: HeadSide, desk: Desk) -> TurnsRow | None:
    position = preset.position(side)
    if position is None:
        return None
    if drum is None:
        return TurnsRow(amount=position.amount, valid=None)
    count, head = drum.count_of(side), drum.head_on(side)
    valid = count is not None and count.id == position.count
    if head is not None and head.material == "calf":
        valid = valid and preset.made is not None and preset.made.date() == desk.now().date()
    return TurnsRow(amount=position.amount, valid=valid)


def _start_row(slug: str, point: StartingPoint) -> PresetRow:
    return PresetRow(
        id=f"start/{slug}",
        drum="start",
        preset=slug,
        name=point.name,
        contexts=point.contexts,
        top_hz=None,
        bottom_hz=None,
        top=f"{point.top_from} to {point.top_to}",
        bottom=f"{point.bottom_from} to {point.bottom_to}",
        interval=point.interval,
        turns_top=None,
        turns_bottom=None,
        snares=point.snares,
        words=point.words,
        drum_name="starting point",
    )
