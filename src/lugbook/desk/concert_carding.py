"""What stands on the printed card of a concert: the plan of it, for the stand.

The screen is dark by then: everything that the player needs from the doors on is on the card, and what is not
to be trusted is said to be so.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from math import isfinite

from lugbook.cards.blank_chart import CAUTION
from lugbook.cards.card_text import hertz_text, pitch_text
from lugbook.cards.concert_facts import CardChange, CardConcert, CardItem, CardSetting, CardTurn, CardWindow
from lugbook.desk.card_parts import LANGUAGES, head_name, limits_said, pitches_of
from lugbook.desk.changes import Change
from lugbook.desk.desk import Desk
from lugbook.desk.planning import plan_concert
from lugbook.desk.plans import Between, ConcertPlan, PlannedChange, PlannedItem, Setting
from lugbook.desk.silence import last_steps
from lugbook.desk.steps import passes, turning_order
from lugbook.desk.wording import day_text, minutes_text
from lugbook.library import Problem
from lugbook.records import Drum, Preset
from lugbook.turns.amounts import show_turns


def concert_card(desk: Desk, slug: str) -> tuple[CardConcert, tuple[Problem, ...]]:
    """Return the card of the concert *slug*, planned, and what cannot be read, and so is not in the plan.

    Raises:
        LibraryDamaged: its file cannot be read.
        NotFound: there is no such concert.
    """
    plan = plan_concert(desk, slug)
    return concert_card_of(desk, plan), plan.programme.problems


def concert_card_of(desk: Desk, plan: ConcertPlan) -> CardConcert:
    """Return the card of a concert that is planned."""
    concert = plan.programme.concert
    shelf = _Shelf(desk)
    return CardConcert(
        id=plan.programme.id,
        name=concert.name,
        day="" if concert.on is None else day_text(concert.on),
        hall=concert.hall,
        a4_hz=concert.a4,
        language=LANGUAGES[desk.user.note_names],
        before_doors=tuple(_setting(desk, shelf, one, a4_hz=concert.a4) for one in plan.before_doors),
        items=tuple(_item(shelf, one) for one in plan.items),
        windows=tuple(_windows(shelf, plan)),
        fits=plan.fits,
        short=plan.short,
        remarks=tuple(dict.fromkeys(plan.remarks)),
        caution=_caution(shelf, plan),
        printed=day_text(desk.now().date()),
    )


class _Shelf:
    """The drums and presets of a library by what the player calls them, read once for a whole card."""

    def __init__(self, desk: Desk) -> None:
        self.drums: Mapping[str, Drum] = {
            slug: one.record for slug, one in desk.library.drums().items.items()
        }
        self.presets: Mapping[str, Preset] = {
            name: one.record for name, one in desk.library.presets().items.items()
        }
        self._drum_names = Counter(one.name for one in self.drums.values())
        self._preset_names = Counter((name.partition("/")[0], one.name) for name, one in self.presets.items())

    def drum_called(self, slug: str) -> str:
        """Return the name of a drum, with its slug where another has the same name."""
        if slug not in self.drums:
            return slug
        name = self.drums[slug].name
        return name if self._drum_names[name] == 1 else f"{name} ({slug})"

    def preset_called(self, drum: str, slug: str) -> str:
        """Return the name of a preset, with its slug where another of its drum has the same name."""
        preset = self.presets.get(f"{drum}/{slug}")
        if preset is None:
            return slug
        return preset.name if self._preset_names[drum, preset.name] == 1 else f"{preset.name} ({slug})"


def _setting(desk: Desk, shelf: _Shelf, setting: Setting, *, a4_hz: float) -> CardSetting:
    preset = shelf.presets.get(f"{setting.drum}/{setting.preset}")
    pitches = () if preset is None else pitches_of(desk, preset, named_at_hz=a4_hz)
    return CardSetting(
        drum=shelf.drum_called(setting.drum),
        preset=shelf.preset_called(setting.drum, setting.preset),
        pitches=tuple(
            f"{one.head.partition(' ')[0].lower()} {pitch_text(one)}{hertz_text(one)}" for one in pitches
        ),
        number=setting.before,
    )


def _item(shelf: _Shelf, item: PlannedItem) -> CardItem:
    named = [name.partition("/") for name in item.presets]
    return CardItem(
        number=item.row.number,
        name=item.row.name,
        tacet=item.row.item.tacet,
        played=tuple(
            (shelf.drum_called(drum), shelf.preset_called(drum, preset)) for drum, _, preset in named
        ),
        remarks=item.remarks,
    )


def _windows(shelf: _Shelf, plan: ConcertPlan) -> Iterator[CardWindow]:
    """Yield the windows in which something is done or time is missing, in the order of the evening."""
    missing = {one.window: one.seconds for one in plan.missing}
    windows = dict.fromkeys((*(one.window for one in plan.changes), *missing))
    for window in sorted(windows, key=_when):
        changes = tuple(_change(shelf, one) for one in plan.in_window(window))
        work_s, missing_s = sum(one.seconds for one in changes), missing.get(window, 0.0)
        yield CardWindow(
            after=window.after,
            where=_where(window),
            seconds=window.seconds,
            work_s=work_s,
            missing_s=missing_s,
            time=_time(work_s, window.seconds),
            missing=f"{minutes_text(missing_s)} too short" if missing_s > 0 else "",
            changes=changes,
        )


def _when(window: Between) -> tuple[int, bool, int]:
    """Return what sorts windows by time: the rests of an item come before the pause after it."""
    return window.after, window.rest is None, window.rest or 0


def _where(window: Between) -> str:
    if window.rest is None:
        return f"After {window.after}"
    bars = f", bars {window.bars}" if window.bars else f", rest {window.rest + 1}"
    return f"In {window.after}{bars}"


def _time(needed_s: float, there_s: float) -> str:
    """Return what is needed of the time that there is; a pause without end is not said."""
    there = f" of {minutes_text(there_s)}" if isfinite(there_s) else ""
    return minutes_text(needed_s) + there


def _change(shelf: _Shelf, planned: PlannedChange) -> CardChange:
    drum, change = shelf.drums[planned.drum], planned.change
    names = (planned.from_preset, planned.to_preset)
    begun, reached = (shelf.presets.get(f"{planned.drum}/{name}") for name in names)
    then = () if reached is None else last_steps(drum, change.moves, begun=begun, preset=reached)
    return CardChange(
        drum=shelf.drum_called(planned.drum),
        from_preset=shelf.preset_called(planned.drum, planned.from_preset),
        to_preset=shelf.preset_called(planned.drum, planned.to_preset),
        turns=tuple(_turns(drum, change)),
        then=then,
        seconds=change.seconds,
        takes=minutes_text(change.seconds),
        before=planned.before,
        cautions=tuple(_cautions(change)),
        doubts=(change.refused,) if change.refused is not None else change.why_not_trusted,
    )


def _turns(drum: Drum, change: Change) -> Iterator[CardTurn]:
    moves = change.moves
    sides = [side for side in turning_order(drum) if side in moves]
    for side in sides[:1] if drum.tension == "single" else sides:
        shown = ", then ".join(
            f"{'tighten' if turn > 0 else 'loosen'} {show_turns(abs(turn))}" for turn in passes(moves[side])
        )
        yield CardTurn(head_name(drum, side), moves[side], shown, change.orders[side])


def _cautions(change: Change) -> Iterator[str]:
    yield from (f"{one.side} head: {one.short}" for one in change.cautions if one.past_limit)
    yield from (f"{side} head: no key reaches its rods on the stand" for side in change.missed)


def _caution(shelf: _Shelf, plan: ConcertPlan) -> str:
    """Return the caution, with the limits of every drum that is turned in front of the audience."""
    turned = tuple(dict.fromkeys(one.drum for one in plan.changes))
    said = [
        f"{shelf.drum_called(slug)} {limits}" for slug in turned if (limits := limits_said(shelf.drums[slug]))
    ]
    return CAUTION + (f" Limits written down: {'; '.join(said)}." if said else "")
