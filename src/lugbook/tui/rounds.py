"""Turning at the bench: rounds of the rods, and what is done only when it is asked for twice."""

from collections.abc import Callable
from functools import partial

from textual.reactive import reactive

from lugbook.desk import Desk, turning_rods
from lugbook.desk.bench import Bench
from lugbook.desk.changing import silently
from lugbook.errors import Doubtful, LugbookError
from lugbook.records import HeadSide
from lugbook.tui.hand import AtHandScreen
from lugbook.tui.keys import sign_of
from lugbook.tui.places import Place


class RoundScreen(AtHandScreen):
    """The part of the bench that is about turning; the desk makes each step, and the next state follows."""

    bench: reactive[Bench | None] = reactive(None, init=False)
    """The state at the drum; None until the desk has opened it."""

    def __init__(self, desk: Desk, *, place: Place, keys: dict[str, str]) -> None:
        super().__init__(desk, place=place, keys=keys)
        self._asked: tuple[object, ...] = ()
        self._doubted: tuple[object, ...] | None = None

    def follow(self, bench: Bench) -> None:
        """Take the new state; what was doubted of the one before is forgotten."""
        self.bench, self._doubted = bench, None
        if bench.round is not None:
            self.at_hand = bench.round.side

    def failed(self, error: LugbookError) -> None:
        """What is doubted is done when it is asked for again; say so."""
        if isinstance(error, Doubtful):
            self._doubted = self._asked
            self.fault(f"{error} {sign_of(self.keys[str(self._asked[0])])} again: all the same.")

    def action_turn(self) -> None:
        """Begin the round that the advice asks for next."""
        self._begin("turn", lambda bench: bench.next_side or "bottom")

    def action_turn_this(self) -> None:
        """Begin the round of the head at hand, out of turn."""
        side = self.at_hand
        self._begin("turn_this", lambda _: side)

    def action_silent(self) -> None:
        """Be about to turn to the preset by turns alone; asked again, with the drum off its stand."""
        insisted = self.insists("silent")
        self._at_drum("counting", lambda bench: silently(self.desk, bench, off_stand=insisted))

    def action_rod_done(self) -> None:
        """The rod shown has been turned."""
        self._at_drum("writing", partial(turning_rods.rod_done, self.desk))

    def action_all_done(self) -> None:
        """All rods have been turned."""
        self._at_drum("writing", partial(turning_rods.all_done, self.desk))

    def action_take_back(self) -> None:
        """Take the round back, or go on with it after all; one without a rod turned is dropped."""

        def then(bench: Bench) -> None:
            self.follow(bench)
            if bench.round is None:
                self.say("The round is dropped; no rod was turned.")

        self.ask("writing", lambda: turning_rods.take_back(self.desk, self.present()), then)

    def action_to_logbook(self) -> None:
        """Open the logbook of the drum at hand; it may be turned there."""
        # Imported here: the logbook turns rods too, and so is itself one of these screens.
        from lugbook.tui.logbook import LogbookScreen

        bench = self.bench
        if bench is not None:
            page = LogbookScreen(self.desk, bench.drum_id, name=bench.drum.name, keys=self.keys)
            self.app.push_screen(page, lambda _: self.came_back())

    def came_back(self) -> None:
        """Take notice that the drum may have been turned meanwhile."""

    def insists(self, *deed: object) -> bool:
        """Take note of what is asked for, and tell whether it was asked for just before and doubted.

        Args:
            deed: the command's id first, then what it is done with.
        """
        again = self._doubted == deed
        self._asked, self._doubted = deed, None
        return again

    def _begin(self, command: str, side_of: Callable[[Bench], HeadSide]) -> None:
        insisted = self.insists(command)
        self._at_drum("beginning", lambda bench: turning_rods.begin(bench, side_of(bench), insisted=insisted))

    def _at_drum(self, words: str, step: Callable[[Bench], Bench]) -> None:
        """Have the desk take the step from the state that is shown by then."""

        def then(bench: Bench) -> None:
            self.follow(bench)
            if turning_rods.TAKEN_BACK in bench.remarks:
                self.say(turning_rods.TAKEN_BACK)

        self.ask(words, lambda: step(self.present()), then)

    def present(self) -> Bench:
        """Return the state that is shown.

        Raises:
            LugbookError: the bench has not been opened yet.
        """
        bench = self.bench
        if bench is None:
            raise LugbookError("The bench is not open.", hint="Go back to the shelf and choose a preset.")
        return bench
