"""The card of a concert in plain text, in the order of the evening; nothing is left out."""

from lugbook.cards.concert_facts import CardChange, CardConcert, CardItem, CardWindow
from lugbook.cards.text_lines import RULE, WIDTH, short, wrapped
from lugbook.plain import shown

MOST_BYTES = 600
"""A QR code holds no more text: with more its squares are too small to be read in a dim light (judgement)."""

_INDENT = "    "


def concert_lines(card: CardConcert) -> list[str]:
    """Return the card of a concert in lines of at most `WIDTH` columns."""
    lines = [line for text in (card.name, card.place) if text for line in wrapped(text)]
    lines += [RULE, *wrapped("Before the doors, measured:")]
    for setting in card.before_doors:
        lines += wrapped(f"{setting.drum}: {setting.preset} (item {setting.number})")
        lines += [line for one in setting.pitches for line in _under(one)]
    lines += [] if card.before_doors else _under("no drum" if card.items else "nothing yet")
    lines += wrapped(card.language) if card.language else []
    lines.append(RULE)
    lines += [] if card.items else wrapped("There are no items yet.")
    for part in card.evening:
        lines += _item(part) if isinstance(part, CardItem) else _window(part)
    if not card.fits:
        lines += [RULE, *wrapped("DOES NOT FIT. What would have to give:")]
        lines += [line for one in card.short or ("not known",) for line in _under(one)]
    lines += [RULE, *(line for one in card.remarks for line in wrapped(one))]
    return [*lines, *wrapped(card.caution), *wrapped(f"Card of {card.printed}.")]


def concert_essentials(card: CardConcert) -> str:
    """Return what a QR code of the card holds: the drums before the doors, and changes as far as they go."""
    lines = [
        *(short(card.name), card.place),
        *(f"{short(one.drum)}: {short(one.preset)}" for one in card.before_doors),
        *(
            f"{window.where}: {short(change.drum)} to {short(change.to_preset)}: {_turns(change)}"
            for window in card.windows
            for change in window.changes
        ),
    ]
    kept: list[str] = []
    for line in map(shown, lines):
        if len("\n".join((*kept, line)).encode()) > MOST_BYTES:
            return "\n".join((*kept, f"… {len(lines) - len(kept)} more lines"))
        kept.append(line)
    return "\n".join(kept)


def _item(item: CardItem) -> list[str]:
    lines = wrapped(f"{item.number}  {item.name}")
    return lines + [line for one in (*item.played_with, *item.remarks) for line in _under(one)]


def _window(window: CardWindow) -> list[str]:
    lines = wrapped(f"-- {window.where}: {', '.join(filter(None, (window.time, window.missing.upper())))}")
    for change in window.changes:
        trust = ", NOT TRUSTED" if change.doubts else ""
        lines += wrapped(
            f"[ ] {change.drum}: {change.from_preset} to {change.to_preset}, for {change.before}"
        )
        lines += _under(f"takes {change.takes}{trust}")
        for turn in change.turns:
            lines += _under(f"{turn.head}: {turn.shown}")
            lines += _under(f"rods {' '.join(map(str, turn.order))}")
        lines += [] if change.turns else _under("nothing to turn")
        lines += [line for one in (*change.cautions, *change.then, *change.doubts) for line in _under(one)]
    return lines


def _turns(change: CardChange) -> str:
    """Return what is turned, head by head, such as ``bottom loosen ⅜, then tighten ⅛``."""
    turns = "; ".join(f"{one.head.partition(' ')[0].lower()} {one.shown}" for one in change.turns)
    return turns or "nothing to turn"


def _under(text: str) -> list[str]:
    """Return *text* in indented lines."""
    return [f"{_INDENT}{line}" for line in wrapped(text, width=WIDTH - len(_INDENT))]
