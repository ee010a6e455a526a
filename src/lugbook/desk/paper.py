"""What a drum brings to a paper chart: rods in star order, references, and the player's passages."""

from lugbook.cards.blank_chart import BlankHead, blank_chart
from lugbook.desk.desk import Desk
from lugbook.desk.wording import size_text
from lugbook.records import SIDES, Drum, HeadSide
from lugbook.turns.orders import star_order


def paper_chart(desk: Desk, drum_id: str) -> list[str]:
    """Return a chart of trials without data, to print and pencil in.

    Raises:
        NotFound: there is no such drum.
    """
    drum = desk.library.drum(drum_id).record
    if not drum.turns_offered:
        heads = []
    elif drum.tension == "single":
        heads = [_head(drum, "top", name="Both heads")]
    else:
        heads = [_head(drum, side, name=f"{side.capitalize()} head") for side in SIDES]
    return blank_chart(f"{drum.name}, {size_text(drum)}", heads, passages=desk.user.passages)


def _head(drum: Drum, side: HeadSide, *, name: str) -> BlankHead:
    count = drum.count_of(side)
    reference = count.reference if count is not None else "_" * 40
    return BlankHead(name, star_order(drum.side(side).rods), reference)
