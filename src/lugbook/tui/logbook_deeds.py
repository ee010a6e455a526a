"""The deeds of the logbook at the drum: going on, turning, undoing, reading again, the map, finding."""

from collections.abc import Mapping
from typing import ClassVar

from lugbook.desk import questions, trial_bench
from lugbook.desk.questions import AtHand
from lugbook.desk.searches import SearchNow
from lugbook.tui.search_deeds import SearchDeeds
from lugbook.tui.trial_line import Asking, TrialLine


class LogbookDeeds(SearchDeeds):
    """The part of the logbook that its keys do at the drum."""

    map_shown = False
    """Whether the map is shown in place of the chart."""
    both_shown = False
    """Whether there is room for both."""

    WHY_NOT: ClassVar[Mapping[str, str]] = {
        "turn_there": "There is nothing to turn.",
        "undo_state": "The drum stands in the kept state: there is nothing to undo.",
        "map": "Chart and map are both shown.",
        "keep_state": "Nothing is kept yet.",
        "finer": "Sides of the kept state are still untried at this step.",
        "strike": "No search was begun yet.",
        "resume": "No search was begun yet.",
        "next_search": "This drum has no other search.",
        "go_on": "You ended this search: begin another, or read the drum to go on with it.",
        "end_search": "There is no search that could be ended.",
        "find": "No search was begun yet.",
        "where_heard": "Where it is heard was said when the search began.",
    }

    def can(self, command: str) -> bool:
        """Tell whether a command makes sense now."""
        if command == "where_heard":
            asking = self.query_one(TrialLine).asking if self.is_mounted else None
            return asking is not None and asking.wish == "music"
        if command == "take_back":
            return self.bench is not None and self.bench.round is not None and not self.bench.round.back
        if command == "next_search":
            return len(self.names) > 1
        if self.now is None:
            return command not in _OF_A_SEARCH
        return self._can_in(self.now, command)

    def _can_in(self, now: SearchNow, command: str) -> bool:
        """Tell whether a command makes sense in a search."""
        if command == "map":
            return not self.both_shown
        if command == "turn_there":
            return self.found is not None and bool(self.found.moves)
        if command == "undo_state":
            return now.search is not None and now.place != now.search.kept
        if command == "keep_state":
            return now.kept is not None or not now.drum.turns_offered
        if command == "go_on":
            return not now.ended
        if command == "judge_again":
            return now.search is not None
        if command == "finer":
            return now.search is not None and now.settled
        return command != "end_search" or not now.ended

    def action_go_on(self) -> None:
        """Do what comes next: finish the round, ask what is open, turn, or read where the drum stands."""
        now, found = self.now, self.found
        if now is None:
            self.action_new_search()
        elif now.unfinished:
            self.take_up()
        elif self.open_questions():
            self.ask_state()
        elif found is None:
            # Asked for while the proposal is being worked out: it goes on once that is known.
            self.ask("working it out", lambda: None, lambda _: self._go_on_from_found())
        else:
            self._go_on_from_found()

    def _go_on_from_found(self) -> None:
        now, found = self.now, self.found
        if now is None or found is None:
            return
        if found.proposal is not None and found.moves:
            self.turn_by(found.moves, command="turn_there")
        elif found.proposal is not None or (not now.ended and now.search is None):
            at = questions.at_hand(self.desk, now)
            again = bool(at.questions) and now.drum.turns_offered
            self.ask_of(at if again else questions.new_state(self.desk, now), afresh=True)
        else:
            self.say(found.why)

    def action_turn_there(self) -> None:
        """Turn to the state that is proposed, rod by rod."""
        if self.found is not None:
            self.turn_by(self.found.moves, command="turn_there")

    def action_undo_state(self) -> None:
        """Turn back to the kept state."""
        if self.now is not None:
            self.turn_by(trial_bench.back_to_kept(self.now), command="undo_state")

    def action_resume(self) -> None:
        """Read both heads where the drum stands."""
        self.begin_reading("")

    def begin_reading(self, begun: str) -> None:
        """Read a head: of the state at hand where one is not read yet, else again where the drum stands."""
        if self.now is None:
            return
        at: AtHand = questions.at_hand(self.desk, self.now)
        if not begun or at.row is None or not any(one.side for one in at.questions):
            at = questions.read_again(self.now)
        self.ask_of(at, begun=begun)

    def action_find(self) -> None:
        """Ask for the words to find."""
        self.open_line(Asking("find", offered=self.sought))

    def action_map(self) -> None:
        """Show the map in place of the chart, or the chart again."""
        self.map_shown = not self.map_shown
        self.watch_place()
        self.query_one("#map" if self.map_shown else "#chart").focus()

    def action_ear_or_typed(self) -> None:
        """Change between pitches found by ear and typed ones."""
        self.action_by_ear()

    def action_higher(self) -> None:
        """By ear, one step to the high side; a pitch that was typed until now is by ear from here on."""
        if self.how == "typed":
            self.how = "on it"
        else:
            super().action_higher()

    def action_lower(self) -> None:
        """By ear, one step to the low side; a pitch that was typed until now is by ear from here on."""
        if self.how == "typed":
            self.how = "on it"
        else:
            super().action_lower()

    def wish_given(self, asking: Asking, text: str) -> None:
        """Take the music, the name of a preset, the last rod turned, or the words to find."""
        if asking.wish == "rod":
            self.stopped_after(text)
        elif asking.wish == "find":
            self.sought = text
            self.leave_line()
            self.reload()
        elif text and asking.wish == "music":
            self.begin_search(text)
        elif text:
            self.keep_as(text)
        else:
            self.action_drop_line()

    def action_back(self) -> None:
        """Leave the turning face, which is kept; else go back to the screen before."""
        if self.stop():
            return
        if self.place == "trial turning":
            self.reload()
        else:
            self.dismiss()


_OF_A_SEARCH = frozenset(
    (
        *("turn_there", "undo_state", "map", "keep_state", "finer", "strike"),
        *("resume", "end_search", "find"),
    )
)
"""Commands that need a search."""
