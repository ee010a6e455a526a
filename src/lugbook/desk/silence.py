"""What is said of a silent change: its steps, what each head is expected to do, and why it is not trusted."""

from collections.abc import Iterable, Mapping

from lugbook.desk.landing import Landing, Landings
from lugbook.desk.steps import head_steps, moves_bottom, snares_afresh, turning_order
from lugbook.desk.voiding import is_void
from lugbook.pitch import in_cents
from lugbook.records import SIDES, Drum, HeadSide, Preset

LEAST_CHANCE = 2 / 3
"""Both heads must land within the tolerance at least so often, or the change is not trusted (judgement)."""


def silent_steps(
    drum: Drum, turns: Mapping[HeadSide, float], *, begun: Preset | None, preset: Preset
) -> tuple[str, ...]:
    """Return what to do, one sentence a step; empty where there is nothing to do.

    Args:
        drum: the drum.
        turns: of each head that is turned.
        begun: the preset that the drum is in, where one is named.
        preset: the one to reach.
    """
    order = [side for side in turning_order(drum) if turns.get(side)]
    if drum.tension == "single":
        order = order[:1]
    steps = [step for side in order for step in head_steps(drum, side, turns[side], tapped=False)]
    return (*steps, *last_steps(drum, turns, begun=begun, preset=preset))


def last_steps(
    drum: Drum, turns: Mapping[HeadSide, float], *, begun: Preset | None, preset: Preset
) -> tuple[str, ...]:
    """Return what is left to do once the rods are turned (snares, muffling), as `silent_steps` has it."""
    steps: list[str] = []
    below = any(turns.get(side) and moves_bottom(drum, side) for side in SIDES)
    if sets_snares(drum, turns, begun=begun, preset=preset):
        setting = preset.snares.text()
        if not setting:
            steps.append(snares_afresh(""))
        else:
            only = " After a bottom turn that is only where to begin." if below else ""
            if is_void(drum, preset):
                only = " That is of other wires: only where to begin."
            steps.append(f"Set the strainer: {setting}.{only}")
    if begun is not None and begun.muffling != preset.muffling:
        steps.append(f"Muffling: {preset.muffling.rstrip('.') or 'none'}.")
    return tuple(steps)


def sets_snares(drum: Drum, turns: Mapping[HeadSide, float], *, begun: Preset | None, preset: Preset) -> bool:
    """Tell whether the strainer is to be set at the end: the setting differs, or the bottom head moves."""
    below = any(turns.get(side) and moves_bottom(drum, side) for side in SIDES)
    return below or (begun is not None and preset.snares.text() not in ("", begun.snares.text()))


def head_remarks(
    landings: Landings, *, tolerance_cents: float, leave_out: Iterable[HeadSide] = ()
) -> tuple[str, ...]:
    """Return what must be said where a head is surely expected off, with the way out.

    Args:
        landings: where the heads are expected to land.
        tolerance_cents: of the preset to reach; more than half of it is said where it is no mere doubt.
        leave_out: heads of which more than that is said elsewhere.
    """
    said, others = [], set(leave_out)
    for side in (side for side in SIDES if side not in others):
        bias, sd = landings.of(side).bias_cents, landings.of(side).sd_cents
        if bias is not None and sd is not None and abs(bias) > tolerance_cents / 2 and sd < abs(bias):
            way = "sharp" if bias > 0 else "flat"
            said.append(
                f"The {side} head is expected to land {in_cents(bias)} {way}, give or take {in_cents(sd)}: "
                "its turns no longer lead to its pitch. Measure before the doors open, and retune it."
            )
    return tuple(said)


def why_not_trusted(
    landings: Landings,
    *,
    moved: Iterable[HeadSide],
    tolerance_cents: float,
    interval_decides: bool = False,
    elsewhere: Iterable[str] = (),
) -> tuple[str, ...]:
    """Return why the change is not trusted, a sentence for each reason; empty where it is.

    Args:
        landings: where the heads are expected to land.
        moved: the heads that are turned.
        tolerance_cents: of the preset to reach.
        interval_decides: whether the interval between the heads must be inside it too.
        elsewhere: reasons that lie in the logbook.
    """
    why = list(elsewhere)
    why += [
        f"What the {side} head does is a guess: too few of its turns were written down with their pitch."
        for side in moved
        if not landings.of(side).learned
    ]
    why += [
        f"Nobody can say how far off the {side} head lands: {_unknown(landings.of(side))}."
        for side in SIDES
        if landings.of(side).error_cents is None
    ]
    error = landings.error_cents
    if error is not None and error > tolerance_cents:
        why.append(
            f"The expected error of {in_cents(error)} is past the tolerance of {in_cents(tolerance_cents)}."
        )
    elif error is not None and landings.chance(tolerance_cents) < LEAST_CHANCE:
        why.append(
            f"Both heads land within {in_cents(tolerance_cents)} only about "
            f"{tenths(landings.chance(tolerance_cents))} times in ten."
        )
    interval = landings.interval_error_cents
    if interval_decides and interval is not None and interval > tolerance_cents:
        why.append(f"The interval, which decides here, is expected {in_cents(interval)} off.")
    return tuple(why)


def tenths(chance: float) -> int:
    """Return *chance* in whole tenths, never more than it is."""
    return int(chance * 10)


def _unknown(landing: Landing) -> str:
    if landing.hz is None:
        return "it would be slack"
    return "the preset has no pitch for it that can be compared"
