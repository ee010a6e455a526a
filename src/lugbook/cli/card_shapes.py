"""The JSON of `card`: the same facts as on the page; keys are added, never changed."""

from dataclasses import asdict
from math import isfinite
from typing import TYPE_CHECKING, Any

from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.facts import CardDrum, CardPreset
from lugbook.cli.search_shapes import mapped
from lugbook.cli.shapes import Shape, cents, hertz

if TYPE_CHECKING:
    from lugbook.cards.concert_facts import CardChange, CardItem, CardWindow
    from lugbook.cards.facts import Card, CardMap, CardPitch


def card_shape(card: "Card") -> Shape:
    """Return what stands on a card."""
    if isinstance(card, CardPreset):
        return _preset(card)
    if isinstance(card, CardConcert):
        return _concert(card)
    shape: dict[str, Any] = asdict(card)
    shape.pop("id")
    shape = {"drum": card.id, **shape}
    if isinstance(card, CardDrum):
        shape["facts"] = _headed(card.facts)
    else:
        shape["references"] = _headed(card.references)
    return shape


def _preset(card: CardPreset) -> Shape:
    drum_id, _, slug = card.id.partition("/")
    return {
        "drum": drum_id,
        "preset": slug,
        "name": card.name,
        "drum_name": card.drum,
        "size": card.size,
        "contexts": list(card.contexts),
        "a4_hz": hertz(card.a4_hz),
        "pitches": [_pitch(one) for one in card.pitches],
        "interval": card.interval or None,
        "turns": [asdict(one) for one in card.turns],
        "rods": [asdict(one) for one in card.rods],
        "strainer": card.strainer,
        "snares": card.snares,
        "adjustments": [asdict(one) for one in card.adjustments],
        "snares_void": card.snares_void or None,
        "others": _headed(card.others),
        "words": card.words,
        "map": None if card.map is None else _map(card.map),
        "heads": list(card.heads),
        "remarks": list(card.remarks),
        "caution": card.caution,
        "made": card.made or None,
        "printed": card.printed,
    }


def _concert(card: CardConcert) -> Shape:
    return {
        "concert": card.id,
        "name": card.name,
        "day": card.day or None,
        "hall": card.hall or None,
        "a4_hz": hertz(card.a4_hz),
        "before_doors": [asdict(one) for one in card.before_doors],
        "items": [_item(one) for one in card.items],
        "windows": [_window(one) for one in card.windows],
        "fits": card.fits,
        "short": list(card.short),
        "remarks": list(card.remarks),
        "caution": card.caution,
        "printed": card.printed,
    }


def _item(item: "CardItem") -> Shape:
    played = [{"drum": drum, "preset": preset} for drum, preset in item.played]
    return {**asdict(item), "played": played}


def _window(window: "CardWindow") -> Shape:
    return {
        "after": window.after,
        "where": window.where,
        "seconds": _seconds(window.seconds),
        "work_s": _seconds(window.work_s),
        "missing_s": _seconds(window.missing_s),
        "changes": [_change(one) for one in window.changes],
    }


def _change(change: "CardChange") -> Shape:
    shape: dict[str, Any] = asdict(change)
    shape |= {"seconds": _seconds(change.seconds), "trusted": not change.doubts}
    return shape


def _seconds(value: float) -> float | None:
    """Return *value* to a tenth, as `change` has it; None for a time without end."""
    return round(value, 1) if isfinite(value) else None


def _pitch(pitch: "CardPitch") -> Shape:
    return {
        "head": pitch.head,
        "pitch": pitch.english,
        "shown": pitch.note,
        "cents": cents(pitch.cents),
        "hz": hertz(pitch.hz),
        "how": pitch.how,
    }


def _map(found: "CardMap") -> Shape:
    return {"search": found.search, "entry": found.number, **mapped(found.map)}


def _headed(rows: tuple[tuple[str, str], ...]) -> list[Shape]:
    return [{"heading": heading, "text": text} for heading, text in rows]
