"""The player's own earlier words, offered while words are typed: gone through with two keys."""

from textual import on
from textual.widgets import Input, Static

from lugbook.desk import Desk
from lugbook.desk.words_heard import offered, with_word
from lugbook.tui.logbook_text import offers_text
from lugbook.tui.places import Place
from lugbook.tui.trial_line import Asking, TrialLine
from lugbook.tui.walking import WalkScreen


class OfferScreen(WalkScreen):
    """The part of the logbook that offers words."""

    def __init__(self, desk: Desk, *, place: Place, keys: dict[str, str]) -> None:
        super().__init__(desk, place=place, keys=keys)
        self.words: tuple[str, ...] = ()
        self._typed, self._offer = "", -1

    def open_line(self, asking: Asking, *, begun: str = "") -> None:
        """Ask for something, and offer the words said before where words are asked for."""
        self._typed, self._offer = begun, -1
        super().open_line(asking, begun=begun)
        self.show_offers()

    def leave_line(self) -> None:
        """Ask for nothing any more."""
        super().leave_line()
        self.show_offers(there=False)

    def show_offers(self, *, there: bool = True) -> None:
        """Show the words said before where words are asked for."""
        offers = self.query_one("#offers", Static)
        offers.display = there and self.place == "trial words" and bool(self.words)
        if offers.display:
            at = self._offer if self._offer >= 0 else None
            offers.update(offers_text(self._offers(), at, width=self.size.width - 2))

    def _offers(self) -> tuple[str, ...]:
        return offered(self.words, self._typed)

    @on(Input.Changed)
    def _typed_on(self, event: Input.Changed) -> None:
        self.press_what_was_typed()
        offers = self._offers()
        put = with_word(self._typed, offers[self._offer]) if 0 <= self._offer < len(offers) else None
        if event.value != put:
            self._typed, self._offer = event.value, -1
            self.show_offers()

    def _take_offer(self, step: int) -> None:
        offers = self._offers()
        if not offers:
            return
        self._offer = min(max(self._offer + step, -1), len(offers) - 1)
        word = with_word(self._typed, offers[self._offer]) if self._offer >= 0 else self._typed
        self.query_one(TrialLine).put(word)
        self.show_offers()

    def action_words_before(self) -> None:
        """Take the next of the words said before."""
        self._take_offer(1)

    def action_words_back(self) -> None:
        """Go back among the words said before."""
        self._take_offer(-1)

    def action_words_on(self) -> None:
        """Keep the word in the line, and say another beside it."""
        line = self.query_one(TrialLine)
        if line.text.strip():
            line.put(f"{line.text.strip().rstrip(',')}, ")
