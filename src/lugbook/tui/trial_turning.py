"""Turning from the logbook: to the state that is proposed, or back to the kept one, rod by rod."""

from collections.abc import Callable, Mapping

from textual.reactive import reactive

from lugbook.desk import trial_bench, turning_rods
from lugbook.desk.bench import Bench
from lugbook.desk.searches import SearchNow
from lugbook.records import HeadSide
from lugbook.tui.rounds import RoundScreen
from lugbook.tui.trial_line import Asking, TrialLine


class TrialTurningScreen(RoundScreen):
    """The part of the logbook that turns; what follows a turn is asked by the screen around it."""

    now: reactive[SearchNow | None] = reactive[SearchNow | None](None, init=False, always_update=True)
    """The search that is shown; shown anew whenever it was read, without comparing all its entries."""

    pending = ""
    """What was typed and is being written; empty while nothing is."""

    def reload(self, said: str = "", *, then: Callable[[], None] | None = None) -> None:
        """Read the search again, say something, and go on."""
        raise NotImplementedError

    def ask_state(self) -> None:
        """Ask the first open question of the state that the drum stands in."""
        raise NotImplementedError

    def open_line(self, asking: Asking, *, begun: str = "") -> None:
        """Ask for something in the line."""
        raise NotImplementedError

    def turn_by(self, moves: Mapping[HeadSide, float], *, command: str) -> None:
        """Begin the round that leads by *moves* to another state."""
        now = self.now
        insisted = self.insists(command)
        if now is not None:
            self.ask(
                "beginning",
                lambda: trial_bench.turn_to(self.desk, now, moves, insisted=insisted),
                self.follow,
            )

    def take_up(self) -> None:
        """Take the round up that was stopped part-way."""
        now = self.now
        if now is not None:
            self.ask("reading", lambda: trial_bench.left_open(self.desk, now), self.follow)

    def follow(self, bench: Bench) -> None:
        """Show the round at hand; once the last rod is turned, ask for the readings."""
        super().follow(bench)
        if bench.round is not None:
            self.place = "trial turning"
        elif trial_bench.was_turned(bench):
            self.reload(" ".join(bench.remarks), then=self.ask_state)
        elif turning_rods.TAKEN_BACK in bench.remarks:
            self.reload(turning_rods.TAKEN_BACK)
        else:
            self.reload("The round is dropped; no rod was turned.")

    def _at_drum(self, words: str, step: Callable[[Bench], Bench]) -> None:
        super()._at_drum(words, lambda bench: trial_bench.on_to_next(step(bench), bench))

    def action_stopped(self) -> None:
        """Ask for the last rod that was turned; the one done last is filled in."""
        at_hand = self.bench.round if self.bench is not None else None
        done = () if at_hand is None else at_hand.turned
        self.open_line(Asking("rod", offered=str(done[-1]) if done else ""))

    def stopped_after(self, text: str) -> None:
        """Keep that the round was stopped after a rod."""

        def then(bench: Bench) -> None:
            self.pending = ""
            self.query_one(TrialLine).close()
            self.follow(bench)
            if bench.round is not None:
                self.say(f"Kept: stopped after rod {text}. Go on when you like, or take it back.")

        if text.isdecimal() and text.isascii():
            rod = int(text[:4])
            self.pending = text
            self.ask("writing", lambda: turning_rods.stopped_after(self.desk, self.present(), rod), then)
        else:
            self.fault(f"{text[:20]!r} is no number of a rod.")
