"""The deeds of the shelf that change what is kept: filling in, editing, putting away, bringing back."""

from functools import partial
from typing import Any

from textual.reactive import reactive

from lugbook.desk import keeping
from lugbook.desk.answering import DrumAnswer, answer
from lugbook.desk.carrying import carrying_remarks, like_values
from lugbook.desk.repertoire import next_concert
from lugbook.records import Drum, Preset
from lugbook.tui.choosing import DrumsScreen
from lugbook.tui.concert import ConcertScreen
from lugbook.tui.form import FormScreen, Wanted
from lugbook.tui.heads import HeadsScreen
from lugbook.tui.keys import sign_of
from lugbook.tui.listing import ListScreen
from lugbook.tui.logbook import LogbookScreen
from lugbook.tui.repertoire import RepertoireScreen
from lugbook.tui.responses import response_page
from lugbook.tui.rows import Stock
from lugbook.tui.starts import StartsScreen
from lugbook.tui.sweep import SweepScreen

DRUM, PRESET = "drum", "preset"
"""What may be under the cursor."""


class RecordsScreen(ListScreen):
    """The part of the shelf that is about records."""

    stock: reactive[Stock] = reactive(Stock(), init=False)
    """What is on the shelf."""

    def action_add_drum(self) -> None:
        """Fill in a new drum."""
        self._fill_in(
            Wanted(
                "New drum",
                Drum,
                save=lambda values: keeping.add_drum(self.desk, values).id,
                then=partial(self._put_cursor, DRUM),
                defaults={"bottom.rods": "as the top"},
                remark=lambda values: " ".join(keeping.assumed(values)),
            )
        )

    def action_heads(self) -> None:
        """Show the heads of the drum under the cursor."""
        drum = self._drum_at_hand()
        if drum:
            name = self._drum_name(drum)
            self.app.push_screen(HeadsScreen(self.desk, drum, name=name, keys=self.keys))

    def action_sweep(self) -> None:
        """Set the snares of the drum under the cursor."""
        drum = self._drum_at_hand()
        if drum:
            self.app.push_screen(SweepScreen(self.desk, drum, name=self._drum_name(drum), keys=self.keys))

    def action_logbook(self) -> None:
        """Open the logbook of the drum under the cursor."""
        drum = self._drum_at_hand()
        if drum:
            name = self._drum_name(drum)
            self.app.push_screen(LogbookScreen(self.desk, drum, name=name, keys=self.keys))

    def action_repertoire(self) -> None:
        """Show the concerts and the pieces."""
        self.app.push_screen(RepertoireScreen(self.desk, keys=self.keys))

    def action_response(self) -> None:
        """Show how the heads of the drum under the cursor answer to turns."""
        drum = self._drum_at_hand()

        def then(found: DrumAnswer) -> None:
            self.app.push_screen(response_page(self.desk, found, keys=self.keys))

        if drum:
            self.ask("working it out", lambda: answer(self.desk, drum), then)

    def action_tonight(self) -> None:
        """Open the concert that comes next."""

        def then(slug: str | None) -> None:
            if slug is None:
                self.say(f"There is no concert yet; {sign_of(self.keys['repertoire'])} makes one.")
            else:
                self.app.push_screen(ConcertScreen(self.desk, slug, keys=self.keys))

        self.ask("looking for the concert", lambda: next_concert(self.desk), then)

    def action_carry(self) -> None:
        """Choose the drum to carry the preset under the cursor to."""
        kind, id_ = self.under_cursor()
        if kind != PRESET:
            self.say("Go down to the preset that is to be carried to another drum.")
            return
        drums = [one for one in self.stock.drums if one.slug != id_.partition("/")[0]]
        page = DrumsScreen(
            self.desk,
            title=f"Carry {id_} to",
            drums=drums,
            then=partial(self._carry_to, id_),
            keys=self.keys,
        )
        self.app.push_screen(page)

    def _carry_to(self, id_: str, drum: str) -> None:
        def carry() -> tuple[str, str]:
            kept = keeping.add_preset(self.desk, drum, like_values(self.desk, id_))
            return kept.id, " ".join(carrying_remarks(self.desk, id_, drum))

        def then(kept: tuple[str, str]) -> None:
            self.cursor = f"{PRESET}:{kept[0]}"
            self.read_again(kept[1])

        self.ask("carrying over", carry, then)

    def action_add_preset(self) -> None:
        """Fill in a new preset for the drum under the cursor."""
        self._new_preset(None)

    def action_begin_preset(self) -> None:
        """Begin a preset for the drum under the cursor from a starting point."""
        if self._drum_at_hand():
            self.app.push_screen(StartsScreen(self.desk, then=self._new_preset, keys=self.keys))

    def _new_preset(self, start: str | None) -> None:
        """Fill in a preset, begun from the starting point *start* or from nothing."""
        drum = self._drum_at_hand()

        def read() -> tuple[float, Preset | None]:
            begun = None if start is None else keeping.checked(Preset, keeping.start_values(start))
            return self.desk.a4_hz(), begun

        def then(found: tuple[float, Preset | None]) -> None:
            a4_hz, begun = found
            self._fill_in(
                Wanted(
                    f"New preset for {self._drum_name(drum)}",
                    Preset,
                    save=lambda values: keeping.add_preset(self.desk, drum, values).id,
                    then=partial(self._put_cursor, PRESET),
                    begun=begun,
                    defaults={"a4": f"{a4_hz:g}"},
                )
            )

        if drum:
            self.ask("reading", read, then)

    def action_edit(self) -> None:
        """Change what is under the cursor."""
        kind, id_ = self.under_cursor()
        if kind == DRUM:
            drum = self.desk.library.drum
            self.ask("reading", lambda: drum(id_).record, lambda record: self._edit(kind, id_, record))
        elif kind == PRESET:
            preset = self.desk.library.preset
            self.ask("reading", lambda: preset(id_).record, lambda record: self._edit(kind, id_, record))

    def action_remove(self) -> None:
        """Put what is under the cursor away."""
        kind, id_ = self.under_cursor()
        remove = keeping.remove_drum if kind == DRUM else keeping.remove_preset
        if kind:
            back = f"{sign_of(self.keys['restore'])} brings it back"
            said = f"{id_} is put away; {back}."
            self.ask("putting away", lambda: remove(self.desk, id_), lambda _: self.read_again(said))

    def action_restore(self) -> None:
        """Bring back what was put away last."""
        self._bring_back(self.stock.removed, f"{self.stock.removed} is back.")

    def action_version_before(self) -> None:
        """Bring back what is under the cursor as it was before its last change; once more, the change."""
        id_ = self.under_cursor()[1]
        key = sign_of(self.keys["version_before"])
        self._bring_back(id_, f"{id_} is as it was before its last change; {key} again takes that back.")

    def _bring_back(self, id_: str, said: str) -> None:
        """Bring a drum or a preset back from the trash, whole or to its version before."""

        def bring() -> Any:  # noqa: ANN401 -- either record, and nobody looks at it
            back = keeping.restore_preset if "/" in id_ else keeping.restore_drum
            return back(self.desk, id_)

        def then(_: object) -> None:
            self.cursor = f"{PRESET if '/' in id_ else DRUM}:{id_}"
            self.read_again(said)

        if id_:
            self.ask("bringing back", bring, then)

    def _edit(self, kind: str, id_: str, record: Drum | Preset) -> None:
        save = keeping.edit_drum if kind == DRUM else keeping.edit_preset
        self._fill_in(
            Wanted(
                f"Edit {record.name}",
                type(record),
                save=lambda values: save(self.desk, id_, values).id,
                then=partial(self._put_cursor, kind),
                record=record,
            )
        )

    def _fill_in(self, wanted: Wanted) -> None:
        self.app.push_screen(FormScreen(self.desk, wanted, keys=self.keys))

    def _put_cursor(self, kind: str, id_: str, remark: str) -> None:
        """Have the cursor on this row, and say the remark, once the library has been read again."""
        self.cursor, self.said_after = f"{kind}:{id_}", remark

    def _drum_at_hand(self) -> str:
        """Return the slug of the drum under the cursor, or of the preset's there; empty without one."""
        return self.under_cursor()[1].partition("/")[0]

    def _drum_name(self, slug: str) -> str:
        return next((drum.name for drum in self.stock.drums if drum.slug == slug), slug)
