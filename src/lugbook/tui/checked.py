"""The page that says why a drum is not where its preset says, and which of its presets it is nearest to."""

from lugbook.desk.bench import Bench
from lugbook.desk.checking import Nearest, checked, nearest
from lugbook.desk.comparing import Comparison
from lugbook.desk.desk import Desk
from lugbook.plain import aligned
from lugbook.tui.pages import LinesScreen

Checked = tuple[Comparison, Nearest]
"""The preset of the bench, and all presets of its drum."""


def check(desk: Desk, bench: Bench) -> Checked:
    """Compare what was read at the bench with its preset and with all of its drum."""
    taken = bench.readings
    return checked(desk, bench.name, bench.preset, taken), nearest(desk, bench.drum_id, taken)


def checked_page(desk: Desk, bench: Bench, found: Checked, *, keys: dict[str, str]) -> LinesScreen:
    """Return the page."""
    title = f"Check   {bench.drum.name} · {bench.preset.name}"
    return LinesScreen(desk, title=title, lines=lambda _: checked_lines(found), keys=keys)


def checked_lines(found: Checked) -> tuple[str, ...]:
    """Return the verdict, why, the snares, and the presets with the nearest first."""
    here, all_ = found
    why = () if here.why is None else ("", f"Why: {here.why.says}", *here.why.evidence)
    then = (f"→ {here.why.then}",) if here.why is not None and here.why.then else ()
    return (
        f"{here.drum}/{here.preset}: {here.verdict}",
        *why,
        *then,
        *(("", *here.remarks) if here.remarks else ()),
        "",
        all_.headline,
        *aligned(all_.rows()),
        *(remark for remark in all_.remarks if remark not in here.remarks),
    )
