"""What a drum brings to a paper chart: rods in star order, references, and the player's passages."""

from lugbook.cards.blank_chart import CAUTION, ROPE_CAUTION, BlankHead, blank_chart
from lugbook.desk.card_parts import counted_sides, head_name
from lugbook.desk.desk import Desk
from lugbook.desk.wording import size_text
from lugbook.records import Drum, HeadSide
from lugbook.turns.orders import star_order


def paper_chart(desk: Desk, drum_id: str) -> list[str]:
    """Return a chart of trials without data, to print and pencil in.

    Raises:
        NotFound: there is no such drum.
    """
    drum = desk.library.drum(drum_id).record
    return blank_chart(
        f"{drum.name}, {size_text(drum)}",
        [_head(drum, side) for side in counted_sides(drum)],
        passages=desk.user.passages,
        caution=CAUTION if drum.turns_offered else ROPE_CAUTION,
    )


def _head(drum: Drum, side: HeadSide) -> BlankHead:
    count = drum.count_of(side)
    reference = count.reference if count is not None else "_" * 40
    return BlankHead(head_name(drum, side), star_order(drum.side(side).rods), reference)
