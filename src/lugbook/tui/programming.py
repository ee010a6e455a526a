"""The part of the items' screen that changes them: one deed after another, each on the item that was meant.

A number says which item is meant only until something before it moves. So every item has a mark of its own
while it is shown; a key is pressed on a mark, and what number that is counts when its turn comes. Two quick
presses of *earlier* move one item by two places.
"""

from collections.abc import Callable, Sequence
from functools import partial
from itertools import count

from textual.reactive import reactive

from lugbook.desk import Desk, items
from lugbook.desk.concerts import restore_concert
from lugbook.desk.items import Changed
from lugbook.desk.keeping import Values
from lugbook.desk.programmes import ItemRow, Programme, programme
from lugbook.desk.running import Alter, Change, Drop, Move, Put
from lugbook.errors import NotPossible
from lugbook.tui.deeds import DeedScreen
from lugbook.tui.keys import sign_of
from lugbook.tui.repertoire_rows import few

Making = Callable[[ItemRow], Change]
"""Makes the change of an item as it is when its turn comes."""


class ProgrammeScreen(DeedScreen):
    """A concert's items, and what is done to them.

    Args:
        desk: the desk.
        slug: of the concert.
        keys: the key of every command.
    """

    found: reactive[Programme | None] = reactive(None, init=False)
    """The concert; None until it is read."""

    def __init__(self, desk: Desk, slug: str, *, keys: dict[str, str]) -> None:
        super().__init__(desk, place="items", keys=keys)
        self.slug = slug
        self.marks: tuple[int, ...] = ()
        """The mark of each item, in order."""
        self.wanted: int | None = None
        """The mark to put the cursor on; where it is, without one."""
        self._marks = count(1)

    def read(self) -> None:
        """Read the concert again; what was said stays said."""
        said = self.said

        def then(found: Programme) -> None:
            if self.found is None or found.concert.items != self.found.concert.items:
                self.marks = tuple(next(self._marks) for _ in found.rows)
            self.found = found
            self.said = said

        self.ask("reading", partial(programme, self.desk, self.slug), then)

    def number_of(self, mark: int) -> int:
        """Return the number of the item that has this *mark* now.

        Raises:
            NotPossible: it was taken out meanwhile.
        """
        if mark not in self.marks:
            raise NotPossible("That item is no longer in the concert.")
        return self.marks.index(mark) + 1

    def row_of(self, mark: int) -> ItemRow:
        """Return the item that has this *mark* now."""
        return self._programme().rows[self.number_of(mark) - 1]

    def alter(self, mark: int, make: Making, *, then: Callable[[], None] = lambda: None) -> None:
        """Have an item changed.

        Args:
            mark: the item that is meant.
            make: makes the change.
            then: is called once it is kept.
        """
        self._change(lambda: make(self.row_of(mark)), then)

    def put(
        self,
        values: Callable[[], Values],
        after: int | None,
        *,
        then: Callable[[], None] = lambda: None,
    ) -> None:
        """Have an item put in.

        Args:
            values: returns its values.
            after: the mark of the item before it; the last place without one.
            then: is called once it is kept.
        """

        def make() -> Change:
            at = self.number_of(after) + 1 if after in self.marks and after is not None else None
            return Put(values(), at)

        self._change(make, then)

    def move(self, mark: int, *, step: int) -> None:
        """Have an item moved by a *step* of −1 or +1."""

        def make(row: ItemRow) -> Change:
            to = row.number + step
            if not 1 <= to <= len(self.marks):
                raise NotPossible(f"It is the {'first' if step < 0 else 'last'} item already.")
            return Move(row.number, to)

        self.alter(mark, make)

    def drop(self, mark: int) -> None:
        """Have an item taken out."""
        back = f"{sign_of(self.keys['version_before'])} brings it back"
        self.alter(
            mark, lambda row: Drop(row.number), then=lambda: self.say(f"The item is taken out; {back}.")
        )

    def version_before(self) -> None:
        """Have the concert as it was before its last change."""
        key = sign_of(self.keys["version_before"])

        def work() -> Programme:
            restore_concert(self.desk, self.slug)
            return programme(self.desk, self.slug)

        def then(found: Programme) -> None:
            self.marks = tuple(next(self._marks) for _ in found.rows)
            self.found = found
            self.say(f"The concert is as it was before its last change; {key} again takes that back.")

        self.ask("bringing back", work, then)

    def take(self, change: Change, changed: Changed) -> None:
        """Show what a change came to, the cursor where it was, or on what was put in."""
        fresh = next(self._marks)
        self.marks = _marks_after(self.marks, change, fresh=fresh)
        if isinstance(change, Put):
            self.wanted = fresh
        self.found = changed.programme
        self.say(few(changed.remarks, more=f"{sign_of(self.keys['remarks'])} lists them"))

    def _change(self, make: Callable[[], Change], then: Callable[[], None]) -> None:
        def work() -> tuple[Change, Changed]:
            change = make()
            return change, items.change_items(self.desk, self._programme(), [change])

        def done(result: tuple[Change, Changed]) -> None:
            self.take(*result)
            then()

        self.ask("writing", work, done)

    def _programme(self) -> Programme:
        if self.found is None:
            raise NotPossible("The concert has not been read yet.")
        return self.found


def _marks_after(marks: Sequence[int], change: Change, *, fresh: int) -> tuple[int, ...]:
    """Return the *marks* of the items after a *change*; what is put in has the *fresh* one."""
    rows = list(marks)
    match change:
        case Put(_, at):
            rows.insert(len(rows) if at is None else at - 1, fresh)
        case Move(number, to):
            rows.insert(to - 1, rows.pop(number - 1))
        case Drop(number):
            rows.pop(number - 1)
        case Alter():
            pass
    return tuple(rows)
