"""How the snares are set: words, and named adjustments in the player's own unit and zero."""

from typing import Annotated

from pydantic import Field

from lugbook.records.base import Line, Name, Record


class Adjustment(Record):
    """One thing on the strainer or the butt that can be set: a knob, a lever step, one strand."""

    name: Name
    """What the player calls it, such as ``knob`` or ``gut 3``."""

    unit: Line = ""
    """What it is counted in, such as ``turns`` or ``clicks``."""

    zero: Line = ""
    """Where zero is, such as ``all the way out``. Values grow as the wires are tightened."""

    step: Annotated[float, Field(gt=0, le=1000)] | None = None
    """The least it is set by; 1 for clicks and the like, and a quarter else, where missing."""


class SnareSetting(Record):
    """One setting of the snares. After a turn of the bottom head it is only where to begin."""

    words: Line = ""
    """The setting in the player's words."""

    values: dict[str, float] = Field(default_factory=dict)
    """Adjustment name → its value, in the unit that the drum's strainer gives for it."""

    free: dict[str, float] = Field(default_factory=dict)
    """Adjustment name → the value at which the wires just buzz freely, at pp near the edge."""

    choke: dict[str, float] = Field(default_factory=dict)
    """Adjustment name → the value at which the wires choke, at ff."""

    buzzes_with: tuple[Name, ...] = ()
    """Notes of other instruments that set the wires off, such as ``horn B♭3``."""

    wires: Line = ""
    """The id of the set of wires it was found with; another set or cord voids it."""

    def text(self) -> str:
        """Return the setting in one line, such as ``just free; knob 3.5``."""
        parts = [self.words] if self.words else []
        parts += [f"{name} {plain_number(value)}{self._limits(name)}" for name, value in self.values.items()]
        parts += [f"{name}{self._limits(name)}" for name in self._limited() if name not in self.values]
        if self.buzzes_with:
            parts.append(f"buzzes with {', '.join(self.buzzes_with)}")
        return "; ".join(parts)

    def _limited(self) -> list[str]:
        return list(dict.fromkeys((*self.free, *self.choke)))

    def _limits(self, name: str) -> str:
        said = [
            f"{word} {plain_number(limits[name])}"
            for word, limits in (("free at", self.free), ("chokes at", self.choke))
            if name in limits
        ]
        return f" ({', '.join(said)})" if said else ""


def plain_number(value: float) -> str:
    """Return *value* in as few digits as say it exactly, such as ``3.5``."""
    short = f"{value:g}"
    return short if float(short) == value else repr(value)
