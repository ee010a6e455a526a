"""What the listening face of the bench says, as text: the heads in words, tall signs, advice and remarks."""

from collections.abc import Iterable

from lugbook.desk.asking import Taken, taken_from
from lugbook.desk.bench import Bench
from lugbook.desk.comparing import HeadResult
from lugbook.desk.wording import setting_text, turned_part
from lugbook.pitch import signed, whole
from lugbook.plain import shown
from lugbook.records import HeadSide, NoteNames
from lugbook.tui.bar import bar
from lugbook.tui.figures import cents_in_words, hertz, pitch, tall_name
from lugbook.tui.tall import LOW, TALL_ROWS, drawn, fitting
from lugbook.turns.amounts import show_turns

WIDE = 74
"""From this many columns on the target stands beside what was heard."""


def head_words(bench: Bench, side: HeadSide, *, language: NoteNames, short: bool = False) -> str:
    """Return one head in words: target, what was heard, and how far off that is.

    Args:
        bench: the state at the drum.
        side: which head.
        language: of note names.
        short: leave out what a narrow window has no room for.
    """
    target, taken, result = target_of(bench, side), bench.taken(side), _result(bench, side)
    to, at, gap = ("to", "at", "  ") if short and taken is not None else ("target", "heard", "   ")
    parts = [f"{to} {pitch(target.note, target.cents, language=language)}" if target else "no target"]
    parts.append(f"{at} {pitch(taken.note, taken.cents, language=language)}" if taken else "not heard yet")
    if result is not None:
        words = cents_in_words(result.off_cents, result.word)
        parts.append(words.replace(" cents", "").replace(" cent", "") if short else words)
    if side in bench.turned:
        parts.append("turned")
    return gap.join(parts)


def target_of(bench: Bench, side: HeadSide) -> Taken | None:
    """Return the preset's target for one head, and what it comes to; None where there is none."""
    target = bench.preset.target(side)
    return taken_from(target, a4_hz=bench.preset.a4) if target is not None else None


def heard_block(bench: Bench, side: HeadSide, *, width: int, language: NoteNames) -> str:
    """Return a heading and five rows: what was heard as tall as fits, and the target where there is room."""
    taken, target = bench.taken(side), target_of(bench, side)
    if taken is None:
        title = f"{side} head, target {hertz(target.hz) if target else ''}".rstrip()
        return "\n".join(_titled(title, target, None, language, width=width)) if target else ""
    heard = _titled(f"{side} head, heard {hertz(taken.hz)}".rstrip(), taken, None, language, width=width)
    if width < WIDE or target is None:
        return "\n".join(heard)
    beside = _titled(f"target {hertz(target.hz)}".rstrip(), target, LOW, language)
    return "\n".join(_beside(heard, beside, gap=max(6, (width - WIDE) // 2)))


def tap_hint(side: HeadSide) -> str:
    """Say how a head is read."""
    return f"Damp the other head whole, tap the {side} head softly near a rod, and type what you hear."


def off_block(result: HeadResult, *, width: int) -> str:
    """Return number and word in low signs, and under them the bar."""
    number = signed(result.off_cents)
    line = drawn(f"{number} {result.word.upper()}", signs=LOW)
    rows = line.rows
    if line.width > width:
        word = drawn(result.word.upper(), signs=LOW)
        fits = word.width + len(number) + 2 <= width
        tall, beside = (word, number) if fits else (drawn(number, signs=LOW), result.word)
        rows = (*tall.rows[:-1], f"{tall.rows[-1]}  {beside}")
    straight = bar(result.off_cents, tolerance_cents=result.tolerance_cents, width=width)
    return "\n".join((*rows, straight.filled, straight.scale))


def advice(bench: Bench, at_hand: HeadSide, *, turn_key: str) -> str:
    """Say what to do next; all of it was decided at the desk."""
    if bench.silent is None and bench.taken(at_hand) is None and bench.preset.target(at_hand) is not None:
        return tap_hint(at_hand)
    comparison, retuning = bench.comparison, bench.retuning
    if retuning is None:
        return ""
    side = bench.next_side
    turn = retuning.head(side) if side is not None else None
    if side is not None and turn is not None:
        way = "tighten" if turn.amount > 0 else "loosen"
        part = turned_part(bench.drum.tension, side)
        words = f"{turn_key}  turn the {part}: {way} every rod by {show_turns(abs(turn.amount))}"
        return "\n".join((words, *(f"! {caution.short}" for caution in bench.cautions(side))))
    if comparison is not None and comparison.within:
        return "✓ within tolerance: nothing to turn"
    return ""


def remarks(bench: Bench) -> tuple[str, ...]:
    """Return what the desk remarks, each sentence once: cautions, the bench's own, the interval, the rest."""
    found = [*bench.remarks, *_interval_words(bench)]
    if bench.retuning is not None and (why := bench.retuning.comparison.why) is not None:
        found += why.sentences()
    if bench.retuning is not None:
        found += bench.retuning.remarks
    if bench.comparison is not None:
        found += bench.comparison.remarks
    setting = setting_text(bench.drum, bench.preset)
    # Beside a head that is still to be tuned the setting waits; before and after, it is what to do.
    found.insert(len(found) if bench.next_side is not None else len(bench.remarks), setting)
    return cautions_first(filter(None, found))


def cautions_first(sentences: Iterable[str]) -> tuple[str, ...]:
    """Return each of *sentences* once, safe to show, those that caution before all others."""
    once = [shown(sentence) for sentence in dict.fromkeys(sentences)]
    return tuple(sorted(once, key=lambda sentence: not sentence.startswith("Caution")))


def _interval_words(bench: Bench) -> tuple[str, ...]:
    interval = bench.comparison.interval if bench.comparison is not None else None
    if interval is None or interval.target_cents is None:
        return ()
    name = f"{interval.name}, " if interval.name else ""
    measured = "" if interval.measured_cents is None else f", heard {signed(interval.measured_cents)}"
    return (f"Interval: {name}{signed(interval.target_cents)} cents from top to bottom{measured}.",)


def _result(bench: Bench, side: HeadSide) -> HeadResult | None:
    return bench.comparison.head(side) if bench.comparison is not None else None


def _titled(
    title: str,
    taken: Taken,
    signs: dict[str, tuple[str, ...]] | None,
    language: NoteNames,
    *,
    width: int = 0,
) -> tuple[str, ...]:
    """Return a heading over a pitch in tall signs; as tall as fits in *width* where no *signs* are named."""
    name = tall_name(taken.note, language=language)
    text = f"{name} {signed(taken.cents)}" if whole(taken.cents) else name
    line = drawn(text, signs=signs) if signs is not None else fitting(text, width=width)
    rows = line.rows if line is not None else (text,)
    return (title, *rows, *[""] * (TALL_ROWS - len(rows))) if signs is None else (title, *rows)


def _beside(left: tuple[str, ...], right: tuple[str, ...], *, gap: int) -> list[str]:
    indent = max(len(row) for row in left) + gap
    padded = (*right, *[""] * (len(left) - len(right)))
    return [f"{row:<{indent}}{other}".rstrip() for row, other in zip(left, padded, strict=True)]
