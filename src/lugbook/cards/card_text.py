"""Cards in plain text, 42 columns wide: for a narrow printer, a message, or a terminal on the stand."""

from collections.abc import Iterable

from lugbook.cards.card_map import Grid, grid_of, more_words
from lugbook.cards.concert_facts import CardConcert
from lugbook.cards.concert_text import concert_essentials, concert_lines
from lugbook.cards.facts import Card, CardBlank, CardDrum, CardMap, CardPitch, CardPreset, CardRods
from lugbook.cards.text_lines import RULE, WIDTH, labelled, short, wrapped
from lugbook.pitch import signed, whole
from lugbook.plain import aligned, columns_of, shown
from lugbook.trials.mapping import Map

_LINES_TO_FILL = 8
_MOST_ACROSS, _LEAST_ACROSS, _MOST_UP = 7, 3, 9


def text_card(card: Card) -> list[str]:
    """Return a card in lines of at most `WIDTH` columns."""
    if isinstance(card, CardPreset):
        return _preset(card)
    if isinstance(card, CardConcert):
        return concert_lines(card)
    return _drum(card) if isinstance(card, CardDrum) else _blank(card)


def essentials(card: Card) -> str:
    """Return what a QR code of a card holds: a few lines of text, in English note names."""
    if isinstance(card, CardConcert):
        return concert_essentials(card)
    lines = [f"{short(card.name)}, {card.size}"]
    if isinstance(card, CardPreset):
        lines = [short(card.name), f"{short(card.drum)}, {card.size}"]
        lines += [f"{one.head}: {one.english}{hertz_text(one)}" for one in card.pitches]
        lines.append(f"A4 {card.a4_hz:g} Hz" + (f"; {card.interval}" if card.interval else ""))
        lines += [f"{one.head}: turns {one.shown if one.lasts else 'void'}" for one in card.turns]
        lines += [f"Snares: {short(text)}" for text in (_snares(card),) if text]
    else:
        lines += [f"{one.head}: rods {_order(one)}" for one in card.rods]
    return "\n".join(shown(line) for line in lines)


def pitch_text(pitch: CardPitch) -> str:
    """Return a pitch such as ``B♭3 −12``; the note alone where it is in tune."""
    return f"{pitch.note} {signed(pitch.cents)}" if whole(pitch.cents) else pitch.note


def hertz_text(pitch: CardPitch) -> str:
    """Return the hertz of a pitch in parentheses, with a space before; or that any octave is meant."""
    return " (any octave)" if pitch.hz is None else f" ({pitch.hz:.1f} Hz)"


def _preset(card: CardPreset) -> list[str]:
    lines = [*wrapped(card.name), *wrapped(f"{card.drum}, {card.size}")]
    lines += wrapped(", ".join(card.contexts)) if card.contexts else []
    lines.append(RULE)
    for one in card.pitches:
        lines += labelled(one.head.partition(" ")[0], f"{pitch_text(one)}{hertz_text(one)}; {one.how}")
    lines += labelled("A4", "; ".join(filter(None, (f"{card.a4_hz:g} Hz", card.language))))
    lines += labelled("Interval", card.interval) if card.interval else []
    for turns in card.turns:
        said = f"void ({turns.void}), was {turns.shown}" if turns.void else turns.shown
        said += " on this day only" if turns.day_only else ""
        lines += labelled("Turns", f"{turns.head}: {said}; from: {turns.reference}")
    lines += _rods(card.rods)
    lines += labelled("Snares", _snares(card)) if _snares(card) else []
    for heading, text in card.others:
        lines += labelled(heading, text)
    lines += labelled("Sound", card.words) if card.words else []
    lines += _map(card.map) if card.map else []
    lines += [line for head in card.heads for line in labelled("Head", head)]
    lines += [line for remark in card.remarks for line in wrapped(remark)]
    made = f"Found {card.made}. " if card.made else ""
    return [*lines, RULE, *wrapped(card.caution), *wrapped(f"{made}Card of {card.printed}.")]


def _drum(card: CardDrum) -> list[str]:
    lines = [*wrapped(f"{card.name}, {card.size}"), RULE]
    for heading, text in card.facts:
        lines += labelled(heading, text)
    for head in card.heads:
        said = [head.what, head.stands, head.reference and f"from: {head.reference}", head.limits]
        lines += labelled(head.head.partition(" ")[0], "; ".join(filter(None, said)))
    lines += _rods(card.rods)
    snares = "; ".join(filter(None, (*card.strainer, card.wires)))
    lines += labelled("Snares", snares) if snares else []
    for row in card.presets:
        pitches = f"{row.top or '–'} / {row.bottom or '–'}, A4 {row.a4_hz:g}"
        lines += ["", *wrapped(row.name)]
        under = (pitches, f"turns {row.turns}" if row.turns else "")
        lines += [f"  {part}" for one in under if one for part in wrapped(one, width=WIDTH - 2)]
    lines += ["", *wrapped(" ".join(card.remarks))] if card.remarks else []
    lines += ["", *wrapped(card.language)] if card.language else []
    lines += ["", *wrapped(card.note)] if card.note else []
    return [*lines, RULE, *wrapped(card.caution), *wrapped(f"Card of {card.printed}.")]


def _blank(card: CardBlank) -> list[str]:
    lines = [*wrapped(f"{card.name}, {card.size}"), *_rods(card.rods)]
    for head, reference in card.references:
        lines += labelled("From", f"{head}: {reference or '_' * 20}")
    lines += ["Music " + "_" * 20 + "  Date " + "_" * 9, "A4 ____  Step ____" if card.turns else "A4 ____"]
    lines += [line for one in card.passages for line in labelled("Play", one)]
    lines.append(RULE)
    for number in range(1, _LINES_TO_FILL + 1):
        turned = "turn ______ sums ____ ____" if card.turns else "_" * 26
        lines += [f"{number:>2} {turned} +0− ______", "   pitch ________ ________ verdict ______"]
        lines += ["   words " + "_" * 32, ""]
    return [*lines[:-1], RULE, *wrapped(card.caution)]


def _rods(rods: Iterable[CardRods]) -> list[str]:
    lines = []
    for one in rods:
        bed = f"; beside the snare beds: {' '.join(map(str, one.bed))}" if one.bed else ""
        lines += labelled("Rods", f"{one.head}: {_order(one)}{bed}")
    return lines


def _order(rods: CardRods) -> str:
    return " ".join(map(str, rods.order))


def _snares(card: CardPreset) -> str:
    set_to = [f"{one.name} {one.value}{f' ({one.unit})' if one.unit else ''}" for one in card.adjustments]
    said = [part for part in (*set_to, card.snares) if part]
    return "; ".join([*said, card.snares_void] if said and card.snares_void else said)


def _map(found: CardMap) -> list[str]:
    grid = grid_of(found.map, across=_MOST_ACROSS, up=_MOST_UP)
    of = f"{found.search}; this card is its entry {found.number}"
    said = "  ".join((*(f"{sign} {word}" for sign, word in grid.used), more_words(grid.more))).strip()
    return ["", *labelled("Map", of), *(_table(found.map) or _listed(grid)), *wrapped(said), ""]


def _table(map_: Map) -> list[str]:
    """Return a map as a table of as many columns as there is room for; empty where that is too little."""
    least = min(_LEAST_ACROSS, len(map_.tops))
    corner = "both heads" if map_.together else "bottom \\ top"
    for across in range(_MOST_ACROSS, least - 1, -1):
        grid = grid_of(map_, across=across, up=_MOST_UP)
        lines = aligned([[corner, *grid.tops], *([bottom, *cells] for bottom, cells in grid.rows)])
        if max(map(columns_of, lines)) <= WIDTH:
            return lines
    return []


def _listed(grid: Grid) -> list[str]:
    """Return the states of a map one by one: turns in many words leave no room for a table."""
    return [
        line
        for bottom, cells in grid.rows
        for top, cell in zip(grid.tops, cells, strict=True)
        if cell
        for line in labelled(cell, f"top {top}, bottom {bottom}" if bottom else f"both heads {top}")
    ]
