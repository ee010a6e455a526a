"""What would have to give where a concert does not fit, each the smallest of its kind; and other plans."""

from collections.abc import Iterator

from lugbook.concerts import Option, Plan
from lugbook.desk.asked import Asked, Limits
from lugbook.desk.plans import Other, window_text
from lugbook.desk.wording import counted, minutes_text, numbered
from lugbook.plain import shown

_NAMED = 3
"""So many presets are named in one sentence."""

_COMPARED = 20_000
"""So much effort goes into each plan that is only compared with."""


def what_gives(asked: Asked, found: Plan, limits: Limits) -> Iterator[str]:
    """Yield what would have to give, each the smallest of its kind, in sentences."""
    without = [index for index in found.unserved if not all(asked.pieces[index].needs)]
    nothing = [index for index in without if not asked.music.rows[index].presets]
    if nothing:
        numbers = numbered(index + 1 for index in nothing)
        each = "it" if len(nothing) == 1 else "each of them"
        yield (f"No preset of a drum that travels serves {numbers}. Name a preset for {each}, or its music.")
    for index in (one for one in found.unserved if one not in nothing):
        name = shown(asked.pieces[index].name)
        yield f"Item {index + 1}, {name}: {_why_unserved(asked, found, index)}"
    for one in found.short:
        window = asked.window(one.after, one.rest)
        yield (
            f"{window_text(window).capitalize()} lasts {minutes_text(window.seconds)}; "
            f"what is to be changed there takes {minutes_text(window.seconds + one.seconds)}: "
            f"{minutes_text(one.seconds)} more would do."
        )
    if limits.drums is not None and limits.drums < len(asked.drums):
        more = Limits(limits.drums + 1, limits.changes)
        if asked.plan(more, effort=_COMPARED).fits:
            yield f"With {_drums_text(limits.drums + 1)} it fits."
    if limits.changes is not None:
        freely = asked.plan(Limits(limits.drums, None), effort=_COMPARED)
        least, enough = limits.changes, len(freely.steps)
        # More changes never fit worse, so the fewest that fit are found by halving.
        while freely.fits and enough - least > 1:
            half = (least + enough) // 2
            fits = asked.plan(Limits(limits.drums, half), effort=_COMPARED).fits
            least, enough = (least, half) if fits else (half, enough)
        if freely.fits:
            yield f"With {counted(enough, 'change')} it fits."


def _why_unserved(asked: Asked, found: Plan, index: int) -> str:
    row, piece, chosen = asked.music.rows[index], asked.pieces[index], found.chosen[index]
    if not all(piece.needs):
        gone = [shown(name) for name, need in zip(row.presets, piece.needs, strict=True) if not need]
        if len(gone) == 1:
            return f"{gone[0]} is not there, or its drum does not travel."
        return f"{' and '.join(gone)} are not there, or their drums do not travel."
    wanted = [option for need in piece.needs for option in need if option not in chosen]
    names = [f"{one.drum}/{one.preset}" for one in wanted]
    joined = f" {'and' if piece.also else 'or'} ".join(names[:_NAMED])
    if len(names) > _NAMED:
        joined += f" and {len(names) - _NAMED} more"
    for option in wanted:
        for begun, reached in _neighbours(found, index, option):
            refused = asked.change(option.drum, begun, reached).refused
            if refused is not None:
                return f"{joined} cannot be had there. {refused}"
    if any(option.drum not in found.drums for option in wanted):
        return f"{joined} would take a drum more than there is room for."
    return f"{joined} would take a change more than is allowed."


def _neighbours(found: Plan, index: int, option: Option) -> Iterator[tuple[str, str]]:
    """Yield the changes that *option* would take: from the drum's last use before it, and to its next."""
    used = [
        (place, one.preset)
        for place, options in enumerate(found.chosen)
        for one in options
        if one.drum == option.drum
    ]
    before = [preset for place, preset in used if place < index]
    after = [preset for place, preset in used if place > index]
    if before and before[-1] != option.preset:
        yield before[-1], option.preset
    if after and after[0] != option.preset:
        yield option.preset, after[0]


def other_plans(asked: Asked, found: Plan, limits: Limits) -> Iterator[Other]:
    """Yield the plans with fewer drums and with one more."""
    used = len(found.drums)
    most = min(len(asked.drums), used + 1)
    for drums in range(1, most + 1):
        if drums == used:
            continue
        other = asked.plan(Limits(drums, limits.changes), effort=_COMPARED)
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


def _drums_text(drums: int) -> str:
    return f"{counted(drums, 'drum')} on the stage"
