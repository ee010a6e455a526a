"""How pitches and cents are written on a page: note with musical signs, whole cents, hertz."""

from lugbook.errors import BadValue
from lugbook.pitch import cents_between, in_cents, nearest, signed


def note(hz: float, *, a4_hz: float) -> str:
    """Return the nearest note with its cents, such as ``B♭3 −12``; empty where there is none."""
    try:
        near = nearest(hz, a4_hz=a4_hz, digits=0)
    except BadValue:
        return ""
    return f"{near.note.sign()} {signed(near.cents)}" if near.cents else near.note.sign()


def hertz(hz: float) -> str:
    """Return a frequency with one decimal, such as ``221.3``; with four digits where it is no drum's."""
    return f"{hz:.1f}" if 0.1 <= hz < 1e5 else f"{hz:.3g}"


def off(hz: float, target_hz: float) -> str:
    """Return how far *hz* lies from a target that is named next, such as ``16 cents flat of``."""
    cents = cents_between(target_hz, to_hz=hz)
    return f"{in_cents(cents)} {'sharp' if cents > 0 else 'flat'} of" if round(cents) else "in tune with"
