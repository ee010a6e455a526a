"""How the snares are set: words, and named adjustments in the player's own unit and zero."""

from pydantic import Field

from lugbook.records.base import Line, Name, Record


class Adjustment(Record):
    """One thing on the strainer or the butt that can be set: a knob, a lever step, one strand."""

    name: Name
    """What the player calls it, such as ``knob`` or ``gut 3``."""

    unit: Line = ""
    """What it is counted in, such as ``turns`` or ``clicks``."""

    zero: Line = ""
    """Where zero is, such as ``all the way out``."""


class SnareSetting(Record):
    """One setting of the snares. After a turn of the bottom head it is only where to begin."""

    words: Line = ""
    """The setting in the player's words."""

    values: dict[str, float] = Field(default_factory=dict)
    """Adjustment name → its value, in the unit that the drum's strainer gives for it."""

    def text(self) -> str:
        """Return the setting in one line, such as ``just free; knob 3.5``."""
        parts = [self.words] if self.words else []
        parts += [f"{name} {value:g}" for name, value in self.values.items()]
        return "; ".join(parts)
