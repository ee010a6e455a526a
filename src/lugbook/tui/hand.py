"""What the player has at hand at the bench: which head, how its pitches are had, and where it is struck."""

from textual.reactive import reactive

from lugbook.records import HeadSide, Struck
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.line import How, next_side


class AtHandScreen(DeedScreen):
    """The part of the bench that is about what is at hand; nothing of it is written down."""

    at_hand: reactive[HeadSide] = reactive[HeadSide]("top", init=False)
    """The head at hand."""
    how: reactive[How] = reactive[How]("typed", init=False)
    """How the next pitch is had."""
    struck: reactive[Struck] = reactive[Struck]("rim", init=False)
    """Where the head is struck."""

    def watch_how(self) -> None:
        """Offer the ear's keys where the ear is asked."""
        self.freshen()

    def watch_at_hand(self) -> None:
        """Offer what makes sense for this head, of which the ear has said nothing yet."""
        self.ear_afresh()
        self.freshen()

    def ear_afresh(self) -> None:
        """Let the ear begin anew: what it said of one pitch is not said of the next."""
        if self.how != "typed":
            self.how = "on it"

    def action_by_ear(self) -> None:
        """Change between pitches found by ear and typed ones."""
        self.how = "on it" if self.how == "typed" else "typed"

    def action_higher(self) -> None:
        """By ear: one step to the high side."""
        self.how = next_side(self.how, step=1)

    def action_lower(self) -> None:
        """By ear: one step to the low side."""
        self.how = next_side(self.how, step=-1)

    def action_struck(self) -> None:
        """Change between the rim and the centre."""
        self.struck = "centre" if self.struck == "rim" else "rim"
