"""The concerts and the pieces of a library in one list, and what of it was removed.

An id here is ``concert:slug`` or ``piece:slug``, as `Library.removed` has them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.desk.concerts import ConcertRow, concerts, remove_concert, restore_concert
from lugbook.desk.desk import Desk
from lugbook.desk.pieces import PieceRow, pieces, remove_piece, restore_piece
from lugbook.desk.wording import day_text, holds_words
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
    def next_concert(self) -> str | None:
        """The slug of the concert that comes next (`next_concert`); None where there is none."""
        return _next_of(self.concerts)


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


def next_concert(desk: Desk) -> str | None:
    """Return the slug of the concert that comes next; None where there is none.

    It is the first from today on, else one without a day, else the last that is past.
    """
    return _next_of(concerts(desk).rows)


def holds(row: ConcertRow | PieceRow, words: str) -> bool:
    """Tell whether a concert or a piece holds all of these *words*; accents and case do not matter.

    A concert is looked through for its name, hall and day, a piece for composer, title, music, dynamics and
    the presets that served in it.
    """
    if isinstance(row, PieceRow):
        piece = row.piece
        parts = (row.slug, piece.called, *piece.contexts, piece.dynamics, *piece.served)
    else:
        concert = row.concert
        day = (f"{concert.on} {day_text(concert.on)}",) if concert.on is not None else ()
        parts = (row.slug, concert.name, concert.hall, *day)
    return holds_words(" ".join(parts), words)


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


def _next_of(rows: Sequence[ConcertRow]) -> str | None:
    coming = [row for row in rows if row.concert.on is not None and not row.past]
    undated = [row for row in rows if row.concert.on is None]
    return next((row.slug for row in (*coming[:1], *undated[:1], *rows[-1:])), None)
