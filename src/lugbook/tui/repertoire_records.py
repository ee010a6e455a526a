"""The deeds of the repertoire that change what is kept: filling in, editing, putting away, bringing back."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from textual.reactive import reactive

from lugbook.desk import repertoire as music
from lugbook.desk.concerts import add_concert, edit_concert
from lugbook.desk.pieces import Kept, add_performance, add_piece, edit_piece
from lugbook.desk.repertoire import CONCERT, PIECE, Repertoire
from lugbook.records import Concert, Piece, Record
from lugbook.records.pieces import Performance
from lugbook.tui.form import FormScreen, Wanted
from lugbook.tui.keys import sign_of
from lugbook.tui.listing import ListScreen
from lugbook.tui.repertoire_rows import few


class RepertoireRecords(ListScreen):
    """The part of the repertoire that is about records."""

    found: reactive[Repertoire] = reactive(Repertoire(), init=False)
    """What is in the library."""

    remarks: tuple[str, ...] = ()
    """What is to be said of the record that was kept last."""

    def action_played(self) -> None:
        """Write down that the piece under the cursor was played."""
        kind, slug = self.under_cursor()
        if kind != PIECE:
            self.say("Go down to the piece that was played.")
            return
        name = next((row.piece.called for row in self.found.pieces if row.slug == slug), slug)
        self._fill_in(
            f"Played: {name}",
            Performance,
            PIECE,
            lambda values: add_performance(self.desk, slug, values),
            defaults={"on": f"{self.desk.now().date()}"},
        )

    def action_add_concert(self) -> None:
        """Fill in a new concert."""

        def then(a4_hz: float) -> None:
            self._fill_in(
                "New concert",
                Concert,
                CONCERT,
                partial(add_concert, self.desk),
                defaults={"a4": f"{a4_hz:g}"},
            )

        self.ask("reading", self.desk.a4_hz, then)

    def action_add_piece(self) -> None:
        """Fill in a new piece."""
        self._fill_in("New piece", Piece, PIECE, partial(add_piece, self.desk))

    def action_edit(self) -> None:
        """Change what is under the cursor."""
        kind, slug = self.under_cursor()
        library = self.desk.library
        if kind == CONCERT:
            save = partial(edit_concert, self.desk, slug)
            self.ask("reading", lambda: library.concert(slug).record, partial(self._edit, kind, save))
        elif kind == PIECE:
            save_piece = partial(edit_piece, self.desk, slug)
            self.ask("reading", lambda: library.piece(slug).record, partial(self._edit, kind, save_piece))

    def _edit(self, kind: str, save: Callable[[dict[str, Any]], Kept], record: Concert | Piece) -> None:
        self._fill_in(f"Edit {record.name}", type(record), kind, save, record=record)

    def action_remove(self) -> None:
        """Put what is under the cursor away."""
        kind, slug = self.under_cursor()
        back = f"{sign_of(self.keys['restore'])} brings it back"

        def then(said: tuple[str, ...]) -> None:
            self.read_again(" ".join((f"{slug} is put away; {back}.", *said)))

        if kind:
            self.ask("putting away", lambda: music.remove(self.desk, f"{kind}:{slug}"), then)

    def action_restore(self) -> None:
        """Bring back what was put away last."""
        removed = self.found.removed
        self._bring_back(removed, f"{removed.partition(':')[2]} is back.")

    def action_version_before(self) -> None:
        """Bring back what is under the cursor as it was before its last change; once more, the change."""
        kind, slug = self.under_cursor()
        key = sign_of(self.keys["version_before"])
        said = f"{slug} is as it was before its last change; {key} again takes that back."
        self._bring_back(f"{kind}:{slug}" if kind else "", said)

    def _bring_back(self, id_: str, said: str) -> None:
        def then(_: None) -> None:
            self.cursor = id_
            self.read_again(said)

        if id_:
            self.ask("bringing back", lambda: music.restore(self.desk, id_), then)

    def _fill_in(
        self,
        title: str,
        model: type[Record],
        kind: str,
        keep: Callable[[dict[str, Any]], Kept],
        *,
        record: Record | None = None,
        defaults: Mapping[str, str] | None = None,
    ) -> None:
        """Fill in a record; what there is to say of it is said once the list is read again."""

        def save(values: dict[str, Any]) -> str:
            kept = keep(values)
            self.remarks = kept.remarks
            return kept.id

        def then(slug: str, _: str) -> None:
            more = f"{sign_of(self.keys['items'])} lists the items, and what does not fit"
            self.cursor = f"{kind}:{slug}"
            self.said_after = few(self.remarks, more=more)

        wanted = Wanted(title, model, save=save, then=then, record=record, defaults=defaults or {})
        self.app.push_screen(FormScreen(self.desk, wanted, keys=self.keys))
