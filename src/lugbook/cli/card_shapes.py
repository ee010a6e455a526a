"""The JSON of `card`: the same facts as on the page; keys are added, never changed."""

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from lugbook.cards.facts import CardDrum, CardPreset
from lugbook.cli.search_shapes import mapped
from lugbook.cli.shapes import Shape, cents, hertz

if TYPE_CHECKING:
    from lugbook.cards.facts import Card, CardMap, CardPitch


def card_shape(card: "Card") -> Shape:
    """Return what stands on a card."""
    if isinstance(card, CardPreset):
        return _preset(card)
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
