"""The plan of a concert: its items as pieces of a running order, its silent changes as steps, in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from lugbook.concerts import Option, Piece, Plan, Short, Work, plan
from lugbook.desk.changes import Change
from lugbook.desk.changing import planned_change
from lugbook.desk.concerts import ItemRow, Programme, programme
from lugbook.desk.desk import Desk
from lugbook.desk.plans import Between, ConcertPlan, Missing, Other, PlannedChange, PlannedItem, Setting
from lugbook.desk.responses import Memory
from lugbook.desk.wording import minutes_text
from lugbook.plain import shown

RISK_S = 60.0
"""A change that surely lands outside the tolerance counts as so much more work (judgement)."""

LATER_S = 5.0
"""Each place further down among the presets that fit counts as so much more work (judgement)."""

NEAREST_S = 120.0
"""A preset that is for only a part of the music counts as so much more work (judgement)."""

HAVING_S = 10.0
"""A further drum, to be set up and measured before the doors open, counts as so much work (judgement)."""

_COMPARED = 20_000
"""So much effort goes into each plan that is only compared with."""


@dataclass(frozen=True)
class _Changes:
    """The silent changes between presets, each worked out once."""

    desk: Desk
    pace: float | None
    known: dict[tuple[str, str, str], Change] = field(default_factory=dict)
    memory: Memory = field(default_factory=Memory)

    def between(self, drum: str, begun: str, reached: str) -> Change:
        """Return the change of a drum that will be in the preset *begun*."""
        key = (drum, begun, reached)
        if key not in self.known:
            begun_id, reached_id = f"{drum}/{begun}", f"{drum}/{reached}"
            self.known[key] = planned_change(
                self.desk, begun_id, reached_id, pace=self.pace, memory=self.memory
            )
        return self.known[key]

    def step(self, drum: str, begun: str, reached: str) -> Work | None:
        """Return what the change takes; None where it is refused."""
        found = self.between(drum, begun, reached)
        if found.refused is not None:
            return None
        return Work(found.seconds, risk=RISK_S * (1 - (found.chance or 0.0)))


@dataclass(frozen=True, slots=True)
class _Limits:
    drums: int | None
    changes: int | None


def plan_concert(
    desk: Desk,
    slug: str,
    *,
    changes_most: int | None = None,
    drums_most: int | None = None,
    compare: bool = False,
) -> ConcertPlan:
    """Return the running order of a concert with the least work and risk.

    Args:
        desk: the desk.
        slug: the concert.
        changes_most: so many silent changes are allowed, if that is limited; 0 finds one state of a drum for
            all, as an audition asks.
        drums_most: so many drums may be used; those that fit on the stage where None.
        compare: whether plans with fewer and more drums are compared.

    Raises:
        LibraryDamaged: its file cannot be read.
        NotFound: there is no such concert.
    """
    music = programme(desk, slug)
    there = frozenset(desk.library.presets().items)
    pieces = [_piece(row, music, there) for row in music.rows]
    changes = _Changes(desk, music.concert.pace)
    limits = _Limits(drums_most if drums_most is not None else music.concert.stage_drums, changes_most)
    found = _planned(pieces, changes, limits)
    return ConcertPlan(
        programme=music,
        items=tuple(
            _item(row, options, nearest=_is_nearest(row))
            for row, options in zip(music.rows, found.chosen, strict=True)
        ),
        before_doors=tuple(_settings(found)),
        changes=tuple(
            PlannedChange(
                drum=step.drum,
                from_preset=step.begun,
                to_preset=step.reached,
                window=_between(music.rows, step.after, step.rest, step.window_s),
                before=step.before + 1,
                change=changes.between(step.drum, step.begun, step.reached),
            )
            for step in found.steps
        ),
        fits=found.fits,
        work_s=found.work_s,
        cost_s=found.cost,
        bound_s=found.bound,
        exact=found.exact,
        missing=tuple(Missing(_window_of(pieces, music.rows, one), one.seconds) for one in found.short),
        short=() if found.fits else tuple(_short(pieces, music, changes, found, limits)),
        others=tuple(_others(pieces, changes, found, limits)) if compare else (),
        remarks=tuple(_remarks(music, found)),
    )


def _planned(
    pieces: Sequence[Piece], changes: _Changes, limits: _Limits, *, effort: int | None = None
) -> Plan:
    more = {} if effort is None else {"effort": effort}
    return plan(
        pieces,
        change_s=changes.step,
        drums_most=limits.drums,
        changes_most=limits.changes,
        drum_s=HAVING_S,
        **more,
    )


def _piece(row: ItemRow, music: Programme, there: frozenset[str]) -> Piece:
    """Return an item as a piece of the running order; a preset that does not travel serves nothing."""
    rests = tuple(rest.seconds for rest in row.rests)
    if row.item.tacet:
        rests = rests if row.seconds is None else (row.seconds,)
        return Piece(row.name, (), after_s=row.after_s or 0.0, rests_s=rests, tacet=True)
    names = [name for name in (row.presets or row.candidates or row.nearest) if name in there]
    options = tuple(
        Option(drum, preset, cost=LATER_S * place * (not row.presets) + NEAREST_S * _is_nearest(row))
        for place, name in enumerate(names)
        for drum, _, preset in [name.partition("/")]
        if drum in music.drums
    )
    needs = [options]
    if row.presets:
        needs = [tuple(one for one in options if f"{one.drum}/{one.preset}" == name) for name in row.presets]
    first, *also = needs
    return Piece(row.name, first, after_s=row.after_s or 0.0, rests_s=rests, also=tuple(also))


def _is_nearest(row: ItemRow) -> bool:
    return not row.presets and not row.candidates


def _item(row: ItemRow, options: Sequence[Option], *, nearest: bool) -> PlannedItem:
    presets = tuple(f"{option.drum}/{option.preset}" for option in options)
    remarks = (f"Item {row.number}: {presets[0]} is only the nearest.",) if nearest and presets else ()
    return PlannedItem(row, presets, remarks)


def _settings(found: Plan) -> Iterator[Setting]:
    """Yield each drum with its first preset, in the order in which they are needed."""
    seen = set()
    for index, options in enumerate(found.chosen):
        for option in options:
            if option.drum not in seen:
                seen.add(option.drum)
                yield Setting(option.drum, option.preset, index + 1)


def _between(rows: Sequence[ItemRow], after: int, rest: int | None, seconds: float) -> Between:
    rests = rows[after].rests
    bars = rests[rest].bars if rest is not None and not rows[after].item.tacet and rest < len(rests) else ""
    return Between(after + 1, rest, seconds, bars)


def _window_of(pieces: Sequence[Piece], rows: Sequence[ItemRow], short: Short) -> Between:
    piece = pieces[short.after]
    seconds = piece.after_s if short.rest is None else piece.rests_s[short.rest]
    return _between(rows, short.after, short.rest, seconds)


def _remarks(music: Programme, found: Plan) -> Iterator[str]:
    yield from music.remarks
    if any(row.after_s is None for row in music.rows[:-1]):
        yield "Where no time is said, none is planned with."
    if not found.exact and found.cost < 1e8:
        yield (
            f"It was too much to prove the best: no plan costs less than {found.bound:.0f} seconds of work, "
            f"risk and second choices; this one costs {found.cost:.0f}."
        )


def _short(
    pieces: Sequence[Piece], music: Programme, changes: _Changes, found: Plan, limits: _Limits
) -> Iterator[str]:
    """Yield what would have to give, each the smallest of its kind, in sentences."""
    for index in found.unserved:
        yield _unserved(pieces, changes, found, index, limits)
    for one in found.short:
        window = _window_of(pieces, music.rows, one)
        yield (
            f"{window_text(window).capitalize()} lasts {minutes_text(window.seconds)}; "
            f"what is to be changed there takes {minutes_text(window.seconds + one.seconds)}: "
            f"{minutes_text(one.seconds)} more would do."
        )
    if limits.drums is not None and limits.drums < len(_all_drums(pieces)):
        more = _Limits(limits.drums + 1, limits.changes)
        if _planned(pieces, changes, more, effort=_COMPARED).fits:
            yield f"With {_drums_text(limits.drums + 1)} it fits."
    if limits.changes is not None:
        freely = _planned(pieces, changes, _Limits(limits.drums, None), effort=_COMPARED)
        for most in range(limits.changes + 1, len(freely.steps) + 1 if freely.fits else 0):
            if _planned(pieces, changes, _Limits(limits.drums, most), effort=_COMPARED).fits:
                yield f"With {_changes_text(most)} it fits."
                break


def _unserved(pieces: Sequence[Piece], changes: _Changes, found: Plan, index: int, limits: _Limits) -> str:
    piece = pieces[index]
    head = f"Item {index + 1}, {shown(piece.name)}, has no drum: "
    if not all(piece.needs):
        return f"{head}no preset of a drum that travels serves it. Name a preset for it, or its music."
    wanted = [option for need in piece.needs for option in need]
    names = " or ".join(f"{one.drum}/{one.preset}" for one in wanted)
    fresh = [option.drum for option in wanted if option.drum not in found.drums]
    if fresh:
        return f"{head}{names} would take one drum more than the {limits.drums} there is room for."
    for option in wanted:
        for other in (one for options in found.chosen for one in options if one.drum == option.drum):
            for begun, reached in ((other.preset, option.preset), (option.preset, other.preset)):
                refused = changes.between(option.drum, begun, reached).refused
                if refused is not None:
                    return f"{head}{refused}"
    return f"{head}{names} would take one change more than are allowed."


def _others(pieces: Sequence[Piece], changes: _Changes, found: Plan, limits: _Limits) -> Iterator[Other]:
    """Yield the plans with fewer drums and with one more."""
    used = len(found.drums)
    most = min(len(_all_drums(pieces)), used + 1)
    for drums in range(1, most + 1):
        if drums == used:
            continue
        other = _planned(pieces, changes, _Limits(drums, limits.changes), effort=_COMPARED)
        if len(other.drums) == drums:
            yield Other(
                f"with {_drums_text(drums)}",
                other.fits,
                tuple(index + 1 for index in other.unserved),
                sum(one.seconds for one in other.short),
                len(other.steps),
                other.work_s,
                tuple(sorted(other.drums)),
            )


def _all_drums(pieces: Sequence[Piece]) -> frozenset[str]:
    return frozenset(option.drum for piece in pieces for need in piece.needs for option in need)


def _drums_text(drums: int) -> str:
    return f"{drums} drum{'' if drums == 1 else 's'} on the stage"


def _changes_text(changes: int) -> str:
    return f"{changes} change{'' if changes == 1 else 's'}"


def window_text(window: Between) -> str:
    """Return where a window lies, such as ``the pause after item 3``."""
    if window.rest is None:
        return f"the pause after item {window.after}"
    bars = f", bars {window.bars}" if window.bars else ""
    return f"the rest in item {window.after}{bars}"
