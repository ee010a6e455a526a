"""A small concert with two drums and its plan, made by hand: what is played, and what is changed where.

Overture (snare low, field near) | 90 s: snare to high, field to far | Symphony (snare high; in its rest of
40 s the field drum goes back to near) | 60 s: snare back to low | March (snare low, field near).
"""

from dataclasses import replace

from lugbook.desk import Desk
from lugbook.desk.changing import planned_change
from lugbook.desk.concerts import add_concert
from lugbook.desk.journal import with_counts, write
from lugbook.desk.keeping import add_drum, add_preset, edit_drum
from lugbook.desk.plans import Between, ConcertPlan, PlannedChange, PlannedItem, Setting
from lugbook.desk.programmes import programme
from lugbook.desk.running import Put
from lugbook.records import PerHead

PAUSE = Between(after=1, rest=None, seconds=90.0)
REST = Between(after=2, rest=0, seconds=40.0, bars="12-40")
LAST_PAUSE = Between(after=2, rest=None, seconds=60.0)
LOW, HIGH, NEAR, FAR = "snare/low", "snare/high", "field/near", "field/far"


def shelve(desk: Desk) -> None:
    """Put both drums on the shelf, each standing in its first preset by the logbook."""
    _drum(desk, "Snare", ("Low", 0.0, 0.0, "A3", "E4"), ("High", 0.25, 0.25, "A3+75", "E4+65"))
    _drum(desk, "Field", ("Near", 0.0, 0.0, "E3", "A3"), ("Far", -0.125, 0.0, "D3+60", "A3"))


def plan(desk: Desk) -> ConcertPlan:
    """Keep the concert where it is not there yet, and return its plan."""
    if not desk.library.concerts().items:
        items = (
            {"title": "Overture", "presets": [LOW, NEAR], "seconds": 300.0, "after_s": 90.0},
            {
                "title": "Symphony",
                "presets": [HIGH],
                "seconds": 600.0,
                "after_s": 60.0,
                "rests": [{"seconds": 40.0, "bar_from": 12, "bar_to": 40}],
            },
            {"title": "March", "presets": [LOW, NEAR], "seconds": 120.0},
        )
        values = {"name": "Winter concert", "on": desk.now().date()}
        add_concert(desk, values, [Put(item) for item in items])
    shown = programme(desk, "winter-concert")
    changes = (
        _change(desk, LOW, HIGH, PAUSE, before=2),
        _change(desk, NEAR, FAR, PAUSE, before=2),
        _change(desk, FAR, NEAR, REST, before=3),
        _change(desk, HIGH, LOW, LAST_PAUSE, before=3),
    )
    work = sum(one.change.seconds for one in changes)
    return ConcertPlan(
        programme=shown,
        items=tuple(PlannedItem(row, row.presets) for row in shown.rows),
        before_doors=(Setting("snare", "low", 1), Setting("field", "near", 1)),
        changes=changes,
        fits=True,
        work_s=work,
        cost_s=work,
        bound_s=work,
        exact=True,
        missing=(),
        short=(),
        others=(),
        remarks=(),
    )


def short_of_time(whole: ConcertPlan) -> ConcertPlan:
    """Return the plan as one that does not fit."""
    sentence = "After Overture 12 more seconds are needed."
    return replace(whole, fits=False, short=(sentence,))


def calf(desk: Desk) -> None:
    """Put a head of calf on top of the snare, whose turns are never trusted unheard."""
    head = {"id": "top-1", "side": "top", "on": "2026-11-01", "material": "calf"}
    edit_drum(desk, "snare", {"heads": (head,)})


def without_last(whole: ConcertPlan) -> ConcertPlan:
    """Return another plan: the last change is not made."""
    return replace(whole, changes=whole.changes[:-1])


def _drum(desk: Desk, name: str, *presets: tuple[str, float, float, str, str]) -> None:
    rods = {"rods": 8}
    slug = add_drum(desk, {"name": name, "diameter_in": 14, "top": rods, "bottom": rods}).id
    stored = desk.library.drum(slug)
    drum = desk.library.save_drum(stored, with_counts(desk, stored.record)).record
    for called, top, bottom, top_pitch, bottom_pitch in presets:
        values = {
            "name": called,
            "top": {"pitch": top_pitch},
            "bottom": {"pitch": bottom_pitch},
            "turns": {
                "top": {"amount": top, "count": "top-1"},
                "bottom": {"amount": bottom, "count": "bottom-1"},
            },
        }
        add_preset(desk, slug, values)
    first = presets[0]
    heard = {"top": {"pitch": first[3]}, "bottom": {"pitch": first[4]}}
    at = PerHead(top=first[1], bottom=first[2])
    write(desk, slug, drum, {"kind": "reading", **heard}, position=at)


def _change(desk: Desk, begun: str, reached: str, window: Between, *, before: int) -> PlannedChange:
    drum, _, begun_slug = begun.partition("/")
    found = planned_change(desk, begun, reached)
    return PlannedChange(drum, begun_slug, reached.partition("/")[2], window, before, found)
