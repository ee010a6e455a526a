"""The concerts and the pieces of a library in one list, and what of it was removed.

An id here is ``concert:slug`` or ``piece:slug``, as `Library.removed` has them.
"""

from dataclasses import dataclass

from lugbook.desk.concerts import ConcertRow, concerts, remove_concert, restore_concert
from lugbook.desk.desk import Desk
from lugbook.desk.pieces import PieceRow, pieces, remove_piece, restore_piece
from lugbook.library import Problem, kind_of

CONCERT, PIECE = "concert", "piece"
"""What may stand in the list."""


@dataclass(frozen=True, slots=True)
class Repertoire:
    """All that is played."""

    concerts: tuple[ConcertRow, ...] = ()
    """Those without a day first, then by day."""
    pieces: tuple[PieceRow, ...] = ()
    """By composer and title."""
    problems: tuple[Problem, ...] = ()
    removed: str = ""
    """The id of what was removed last and can be brought back; empty without one."""

    @property
    def next_concert(self) -> str:
        """The slug of the first concert that is not past; empty without one."""
        dated = [row for row in self.concerts if row.concert.on is not None and not row.past]
        coming = dated or [row for row in self.concerts if not row.past]
        return coming[0].slug if coming else ""


def repertoire(desk: Desk) -> Repertoire:
    """Return all concerts and pieces.

    Raises:
        LibraryMissing: there is no library.
    """
    evenings, music = concerts(desk), pieces(desk)
    gone = [one for one in desk.library.removed() if kind_of(one) in (CONCERT, PIECE)]
    return Repertoire(
        concerts=evenings.rows,
        pieces=music.rows,
        problems=tuple(dict.fromkeys((*evenings.problems, *music.problems))),
        removed=gone[-1] if gone else "",
    )


def remove(desk: Desk, id_: str) -> tuple[str, ...]:
    """Take a concert or a piece away; it can be restored. Return what comes of it, in sentences."""
    kind, _, slug = id_.partition(":")
    if kind == PIECE:
        return remove_piece(desk, slug)
    remove_concert(desk, slug)
    return ()


def restore(desk: Desk, id_: str) -> None:
    """Bring back a concert or a piece that was removed, or what it was before it was last changed."""
    kind, _, slug = id_.partition(":")
    if kind == PIECE:
        restore_piece(desk, slug)
    else:
        restore_concert(desk, slug)
