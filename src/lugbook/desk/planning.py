"""The plan of a concert, told by its items."""

from collections.abc import Iterator, Sequence

from lugbook.concerts import Option, Plan
from lugbook.desk.asked import Asked, Limits, SoFar, is_nearest
from lugbook.desk.desk import Desk
from lugbook.desk.giving import other_plans, what_gives
from lugbook.desk.plans import ConcertPlan, Missing, PlannedChange, PlannedItem, Setting, between
from lugbook.desk.programmes import ItemRow, Programme, programme


def plan_concert(
    desk: Desk,
    slug: str,
    *,
    changes_most: int | None = None,
    drums_most: int | None = None,
    compare: bool = False,
    sofar: SoFar | None = None,
) -> ConcertPlan:
    """Return the running order of a concert with the least work and risk.

    Args:
        desk: the desk.
        slug: the concert.
        changes_most: so many silent changes are allowed, if that is limited; 0 finds one state of a drum for
            all, as an audition asks.
        drums_most: so many drums may be used; those that fit on the stage where None.
        compare: whether plans with fewer and more drums are compared.
        sofar: how far the concert has come, if it is planned from there on; the items that are over are then
            without presets, and their changes are left out.

    Raises:
        LibraryDamaged: its file cannot be read.
        NotFound: there is no such concert.
    """
    music = programme(desk, slug)
    asked = Asked.of(desk, music, sofar)
    limits = Limits(drums_most if drums_most is not None else music.concert.stage_drums, changes_most)
    found = asked.plan(limits)
    return ConcertPlan(
        programme=music,
        items=tuple(
            _item(row, options, nearest=is_nearest(row))
            for row, options in zip(music.rows, found.chosen, strict=True)
        ),
        before_doors=tuple(_settings(found)),
        changes=tuple(
            PlannedChange(
                drum=step.drum,
                from_preset=step.begun,
                to_preset=step.reached,
                window=between(music.rows, step.after, step.rest, step.window_s),
                before=step.before + 1,
                change=asked.change(step.drum, step.begun, step.reached),
            )
            for step in found.steps
        ),
        fits=found.fits,
        work_s=found.work_s,
        cost_s=found.cost,
        bound_s=found.bound,
        exact=found.exact,
        missing=tuple(Missing(asked.window(one.after, one.rest), one.seconds) for one in found.short),
        short=() if found.fits else tuple(what_gives(asked, found, limits)),
        others=tuple(other_plans(asked, found, limits)) if compare else (),
        remarks=tuple(_remarks(music, found)),
    )


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


def _remarks(music: Programme, found: Plan) -> Iterator[str]:
    yield from music.remarks
    if any(row.after_s is None for row in music.rows[:-1]):
        yield "Where no time is said, none is planned with."
    if found.fits and not found.exact:
        yield (
            f"It was too much to prove the best: no plan costs less than {found.bound:.0f} seconds of work, "
            f"risk and second choices; this one costs {found.cost:.0f}."
        )
    if not found.fits and not found.exact:
        yield "It was too much to prove that nothing fits: this is the nearest that was found."
