"""The deeds of the logbook about a whole search: begin, refine, end, strike out, keep a state, settings."""

from typing import Any

from lugbook.desk import Desk, questions, settling
from lugbook.desk.own_settings import change_settings
from lugbook.desk.questions import AtHand
from lugbook.desk.trying import strike_out
from lugbook.records import SIDES, Drum, UserSettings
from lugbook.tui.chart_view import ChartView
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.form import FormScreen, Wanted
from lugbook.tui.keys import sign_of
from lugbook.tui.offering import OfferScreen
from lugbook.tui.trial_line import Asking
from lugbook.turns.amounts import show_turns

_NOT_ASKED = frozenset({"writer", "keys", "last_preset"})
"""Settings that are the program's own, or have a form of their own."""


class SearchDeeds(OfferScreen):
    """The part of the logbook that is about a search as a whole.

    Args:
        desk: the desk.
        drum_id: the drum.
        name: what the player calls it.
        keys: the key of every command.
    """

    def __init__(self, desk: Desk, drum_id: str, *, name: str, keys: dict[str, str]) -> None:
        super().__init__(desk, place="logbook", keys=keys)
        self.drum_id, self.name_of_drum = drum_id, name
        self.drum: Drum | None = None
        self.names: tuple[str, ...] = ()
        self.search: str | None = None
        self.sought = ""
        self._to_strike = ""

    def action_strike(self) -> None:
        """Strike the last entry out, when asked twice."""
        now = self.now
        if now is None:
            return
        row = now.rows[-1]
        id_ = row.entry.stands_for
        if self._to_strike != id_:
            self._to_strike = id_
            key = sign_of(self.keys["strike"])
            turned = any(row.entry.turn.of(side) for side in SIDES)
            back = " Its turn is then not counted: turn it back at the drum." if turned else ""
            self.fault(f"Entry {row.number} is the last.{back} {key} again strikes it out.")
            return

        def struck(_: object) -> None:
            self._to_strike = ""
            self.reload(f"Entry {row.number} is struck out.")

        self.ask("writing", lambda: strike_out(self.desk, self.drum_id, id_), struck)

    def forget_strike(self) -> None:
        """Ask again before anything is struck out."""
        self._to_strike = ""

    def action_judge_again(self) -> None:
        """Ask for the verdict of the entry under the cursor again."""
        row = self.query_one(ChartView).at_cursor
        if self.now is not None and row is not None:
            self.ask_of(questions.judged_again(self.now, row.number), afresh=True)

    def action_finer(self) -> None:
        """Go on by half the step."""
        name = self.search

        def then(_: object) -> None:
            step = None if self.now is None or self.now.search is None else self.now.search.step / 2
            self.reload("" if step is None else f"Steps of {show_turns(step)} from here on.")

        self.ask("writing", lambda: settling.refine(self.desk, self.drum_id, search=name), then)

    def action_end_search(self) -> None:
        """End the search."""
        name = self.search
        self.ask(
            "writing",
            lambda: settling.settle(self.desk, self.drum_id, search=name),
            lambda _: self.reload("The search is ended; an entry that follows goes on with it."),
        )

    def action_keep_state(self) -> None:
        """Ask for the name of the preset that the kept state becomes."""
        now = self.now
        if now is not None:
            name = now.context or now.name
            self.open_line(Asking("name", offered=name[:1].upper() + name[1:]))

    def action_new_search(self) -> None:
        """Ask for the music of a new search."""
        self.in_the_hall = False
        self.open_line(Asking("music"))
        self.freshen()

    def action_where_heard(self) -> None:
        """Change between the drum and the hall."""
        self.in_the_hall = not self.in_the_hall

    def action_next_search(self) -> None:
        """Show the next search of the drum."""
        if self.search in self.names:
            self.search = self.names[(self.names.index(self.search) + 1) % len(self.names)]
            self.sought = ""
            self.reload()

    def begin_search(self, music: str) -> None:
        """Begin a search for some music, and ask for its first state."""
        hall = self.in_the_hall
        self.pending = music

        def then(at: AtHand) -> None:
            self.pending = ""
            self.search = at.now.name
            self.leave_line()
            self.reload(then=self.ask_state)

        self.ask(
            "writing",
            lambda: questions.begin_search(self.desk, self.drum_id, music, in_the_hall=hall),
            then,
        )

    def keep_as(self, name: str) -> None:
        """Keep the kept state, on a rope drum that under the cursor, as a preset of this name."""
        now = self.now
        if now is None:
            return
        row = self.query_one(ChartView).at_cursor
        which = "kept" if now.drum.turns_offered or row is None else str(row.number)
        self.pending = name

        def keep() -> str:
            values: dict[str, Any] = {"name": name}
            return settling.preset_of_state(self.desk, self.drum_id, which, values, search=now.name).id

        def then(id_: str) -> None:
            self.pending = ""
            self.leave_line()
            self.reload(f"Kept as the preset {id_}.")

        self.ask("writing", keep, then)

    def action_my_settings(self) -> None:
        """Change the player's own settings."""
        changed: list[Desk] = []

        def save(values: dict[str, Any]) -> str:
            changed.append(change_settings(self.desk, values))
            return "settings"

        def then(_: str, __: str) -> None:
            for screen in self.app.screen_stack:
                if isinstance(screen, DeedScreen):
                    screen.desk = changed[-1]
            self.query_one(ChartView).desk = changed[-1]
            self.language = changed[-1].user.note_names
            self.reload()

        wanted = Wanted(
            "Your own settings", UserSettings, save=save, then=then, record=self.desk.user, without=_NOT_ASKED
        )
        self.app.push_screen(FormScreen(self.desk, wanted, keys=self.keys))
