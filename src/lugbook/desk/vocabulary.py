"""Words for music that come with the program, in five kinds, each with the other words players use for it.

Common practice, no source. The list is small on purpose: a player's own words stand beside it.
"""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["setting", "texture", "dynamics", "articulation", "hall"]
"""Where one plays; what one plays; how loud; how it speaks; what the room does."""

KINDS: tuple[Kind, ...] = ("setting", "texture", "dynamics", "articulation", "hall")


@dataclass(frozen=True, slots=True)
class Word:
    """One word for music."""

    text: str
    kind: Kind
    also: tuple[str, ...] = ()
    """Other words for the same."""


WORDS = (
    Word("orchestral", "setting", ("orchestra", "symphonic")),
    Word("chamber", "setting", ("chamber music", "ensemble")),
    Word("opera pit", "setting", ("pit", "opera", "ballet")),
    Word("étude", "setting", ("study", "exercise")),
    Word("audition", "setting", ("trial", "competition")),
    Word("solo", "setting", ("recital",)),
    Word("wind band", "setting", ("concert band",)),
    Word("studio", "setting", ("recording", "session")),
    Word("tutti", "texture", ("full orchestra",)),
    Word("accompaniment", "texture", ("accompanying",)),
    Word("rolls", "texture", ("roll", "tremolo")),
    Word("ornaments", "texture", ("flams", "drags", "ruffs")),
    Word("march", "texture", ("marches", "marching", "military")),
    Word("ostinato", "texture", ("repeated rhythm",)),
    Word("field drum", "texture", ("parade drum", "long drum")),
    Word("soft", "dynamics", ("quiet", "pp", "p", "piano")),
    Word("medium", "dynamics", ("moderate", "mf", "mp")),
    Word("loud", "dynamics", ("strong", "f", "ff", "forte")),
    Word("dry", "articulation", ("short", "secco", "tight")),
    Word("open", "articulation", ("ringing", "long")),
    Word("crisp", "articulation", ("clear", "articulate")),
    Word("dark", "articulation", ("low", "deep")),
    Word("bright", "articulation", ("high",)),
    Word("light", "articulation", ("delicate",)),
    Word("concert hall", "hall", ("hall",)),
    Word("live room", "hall", ("resonant", "reverberant")),
    Word("dry room", "hall", ("small room", "dead room")),
    Word("church", "hall", ("cathedral", "chapel")),
    Word("open air", "hall", ("outdoors", "outside")),
)
"""All of them, by kind."""

AMBIGUOUS = frozenset(
    (
        *("p", "f", "piano", "high", "low", "deep", "long", "short", "clear", "moderate", "strong", "tight"),
        *("trial", "session", "recording", "pit", "ensemble", "military", "resonant", "hall"),
    )
)
"""Other words that say it only by themselves: a long roll is not open, a piano concerto not soft."""


def word_of(text: str) -> Word | None:
    """Return the word that *text*, folded by the caller, is or stands for; None for a player's own."""
    # Imported on use: `wording` brings the records along, and the table alone needs none of them.
    from lugbook.desk.wording import folded

    return next((one for one in WORDS if text in map(folded, (one.text, *one.also))), None)
