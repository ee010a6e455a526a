"""What stands on the printed card of a preset, of a drum, and on a chart to pencil in.

A card lies in a drum case for years: what may be void by then is said to be so on the day it is printed, and
that day stands on it.
"""

from dataclasses import replace

from lugbook.cards.card_text import pitch_text
from lugbook.cards.facts import CardBlank, CardDrum, CardHead, CardMap, CardPreset, CardRow
from lugbook.desk.adjusting import adjustment_text
from lugbook.desk.card_parts import (
    HEADS,
    LANGUAGES,
    adjustments_of,
    caution_text,
    counted_sides,
    head_name,
    interval_text,
    limits_text,
    pitches_of,
    rods_of,
    turns_of,
)
from lugbook.desk.chart import search_map
from lugbook.desk.desk import Desk
from lugbook.desk.heads_now import heads_now
from lugbook.desk.proposing import next_trial
from lugbook.desk.shelf import preset_row
from lugbook.desk.standing import touched_up
from lugbook.desk.voiding import OF_OTHER_WIRES, is_void
from lugbook.desk.wording import counted, day_text, head_text, size_text
from lugbook.library import Problem
from lugbook.records import SIDES, Drum, Entry, Preset, Wires
from lugbook.trials.mapping import Map

_LOG_TORN = "Part of the logbook cannot be read, and is not counted here."


def preset_card(desk: Desk, name: str) -> CardPreset:
    """Return the card of a preset.

    Args:
        desk: the desk.
        name: ``drum/preset``.

    Raises:
        NotFound: there is no such preset.
    """
    stored = desk.library.preset(name)
    drum_id, _, slug = stored.id.partition("/")
    preset, drum = stored.record, desk.library.drum(drum_id).record
    log = desk.library.log(drum_id)
    entries = log.entries
    row = preset_row(drum_id, slug, preset, drum, desk)
    turns = turns_of(drum, preset, {"top": row.turns_top, "bottom": row.turns_bottom})
    found, remark = _map(desk, drum_id, preset, entries)
    touched = () if all(one.void for one in turns) else touched_up(drum, entries, [preset])
    return CardPreset(
        id=stored.id,
        name=preset.name,
        drum=drum.name,
        size=size_text(drum),
        contexts=preset.contexts,
        a4_hz=preset.a4,
        language=LANGUAGES[desk.user.note_names],
        pitches=pitches_of(desk, preset),
        interval=interval_text(preset, row.interval),
        turns=turns,
        rods=rods_of(drum),
        strainer=drum.strainer.name,
        snares=preset.snares.model_copy(update={"values": {}}).text(),
        adjustments=adjustments_of(drum, preset),
        snares_void=OF_OTHER_WIRES if is_void(drum, preset) else "",
        others=tuple(
            (heading, text)
            for heading, text in (
                ("Muffling", preset.muffling),
                ("Sticks", preset.sticks),
                ("Playing spot", preset.playing_spot),
            )
            if text
        ),
        words=preset.words,
        map=found,
        heads=_heads_of_the_day(drum, preset),
        remarks=tuple(filter(None, (_LOG_TORN if log.problems else "", remark, *touched))),
        caution=caution_text(drum),
        made="" if preset.made is None else day_text(preset.made.date()),
        printed=_today(desk),
    )


def drum_card(desk: Desk, drum_id: str) -> CardDrum:
    """Return the card of a drum.

    Raises:
        NotFound: there is no such drum.
    """
    drum = desk.library.drum(drum_id).record
    wires, presets = drum.wires_on("bottom"), desk.library.presets(drum_id)
    facts = (
        ("Maker", drum.maker),
        ("Shell", drum.shell),
        ("Tension", drum.tension if drum.turns_offered else "rope, no rods"),
        ("Belongs to", "somebody else: on loan" if drum.loan else ""),
    )
    return CardDrum(
        id=drum_id,
        name=drum.name,
        size=size_text(drum),
        facts=tuple((heading, text) for heading, text in facts if text),
        language=LANGUAGES[desk.user.note_names],
        heads=tuple(
            CardHead(
                HEADS[one.side],
                one.head,
                one.stands,
                one.reference,
                limits_text(drum, one.side),
            )
            for one in heads_now(desk, drum_id)
        ),
        rods=rods_of(drum),
        strainer=_strainer(drum),
        wires="" if wires is None else _wires_text(wires),
        presets=tuple(
            _row(desk, drum_id, drum, stored.id.partition("/")[2], stored.record)
            for stored in presets.items.values()
        ),
        remarks=tuple(
            filter(
                None,
                (
                    _LOG_TORN if desk.library.log(drum_id).problems else "",
                    _missing(len(presets.problems)),
                ),
            )
        ),
        note=drum.note,
        caution=caution_text(drum),
        printed=_today(desk),
    )


def unread(desk: Desk, drum_id: str) -> tuple[Problem, ...]:
    """Return what of a drum's presets and logbook cannot be read, and so is not on its cards.

    Raises:
        NotFound: there is no such drum.
    """
    return (*desk.library.presets(drum_id).problems, *desk.library.log(drum_id).problems)


def blank_card(desk: Desk, drum_id: str) -> CardBlank:
    """Return a chart of trials on a drum, without data, to pencil in.

    Raises:
        NotFound: there is no such drum.
    """
    drum = desk.library.drum(drum_id).record
    references = []
    for side in counted_sides(drum):
        count = drum.count_of(side)
        references.append((head_name(drum, side), "" if count is None else count.reference))
    return CardBlank(
        id=drum_id,
        name=drum.name,
        size=size_text(drum),
        rods=rods_of(drum),
        references=tuple(references),
        passages=desk.user.passages,
        turns=drum.turns_offered,
        caution=caution_text(drum),
    )


def _missing(presets: int) -> str:
    """Return that some *presets* are not on the card of their drum; empty where all are."""
    if not presets:
        return ""
    return (
        f"{counted(presets, 'preset')} cannot be read and {'is' if presets == 1 else 'are'} not on this card."
    )


def _today(desk: Desk) -> str:
    return day_text(desk.now().date())


def _strainer(drum: Drum) -> tuple[str, ...]:
    return tuple(filter(None, (drum.strainer.name, *map(adjustment_text, drum.strainer.adjustments))))


def _wires_text(wires: Wires) -> str:
    parts = (
        f"wires: {wires.kind}",
        "" if wires.strands is None else counted(wires.strands, "strand"),
        wires.tied and f"tied with {wires.tied}",
        "" if wires.since is None else f"on since {day_text(wires.since)}",
    )
    return ", ".join(filter(None, parts))


def _heads_of_the_day(drum: Drum, preset: Preset) -> tuple[str, ...]:
    """Return the heads that were on when the preset was made, as far as that is written down."""
    if preset.made is None:
        return ()
    day = preset.made.date()
    found = []
    for side in SIDES:
        on = [one for one in drum.heads if one.side == side and one.on <= day]
        head = on[-1] if on and (on[-1].off is None or day <= on[-1].off) else None
        if head is not None:
            gone = "" if head.off is None else f", taken off {day_text(head.off)}"
            found.append(f"{side}: {head_text(head)}, on since {day_text(head.on)}{gone}")
    return tuple(found)


def _map(desk: Desk, drum_id: str, preset: Preset, entries: tuple[Entry, ...]) -> tuple[CardMap | None, str]:
    """Return the map of the search that a preset was found in, or why there is none; nothing without one."""
    entry = next((one for one in entries if preset.entry in (one.id, one.stands_for)), None)
    if preset.entry is None or entry is None or not entry.search:
        return None, ""
    found = next_trial(desk, drum_id, search=entry.search)
    row = next((one for one in found.now.rows if one.entry.stands_for == entry.stands_for), None)
    map_ = search_map(found)
    if row is None or map_ is None or row.void:
        why = "" if row is None or not row.void else f" ({row.void})"
        return None, f"The search that it was found in no longer counts{why}, so there is no map."
    return CardMap(search=found.now.name, number=row.number, map=_on_paper(map_)), ""


def _on_paper(map_: Map) -> Map:
    """Return a map that says neither what is next nor where the drum stands: paper does not know that."""
    cells = {place: replace(cell, proposed=False, here=False) for place, cell in map_.cells.items()}
    return replace(map_, cells=cells)


def _row(desk: Desk, drum_id: str, drum: Drum, slug: str, preset: Preset) -> CardRow:
    row = preset_row(drum_id, slug, preset, drum, desk)
    turns = turns_of(drum, preset, {"top": row.turns_top, "bottom": row.turns_bottom})
    shown = {one.head: pitch_text(one) for one in pitches_of(desk, preset)}
    return CardRow(
        name=preset.name,
        top=shown.get(HEADS["top"], ""),
        bottom=shown.get(HEADS["bottom"], ""),
        a4_hz=preset.a4,
        turns=" / ".join(one.shown if one.lasts else "void" for one in turns),
    )
