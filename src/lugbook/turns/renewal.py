"""What stays known when a head is changed, or the count of its turns begins anew.

The other head keeps all that is known of it. A new count keeps the slopes of its head and loses the pitch,
because nobody knows how far the head was turned meanwhile. A new head loses the pitch too; its slope begins
where that of the head before it was, in Hz² per turn, because rods, hoop and shell are the same and the
film's thickness cancels out (see `prior`), only less certain; one of another material has nothing of it.
"""

from dataclasses import replace

from lugbook.turns.learning import UNHEARD, begun
from lugbook.turns.prior import PITCH_SD_CENTS, HeadPrior
from lugbook.turns.squares import SLACK_HZ, spread_of
from lugbook.turns.state import B, State, Y

_NEXT_HEAD_SHARE = 0.2
"""The slope of the next head differs from the last one's by about so much of itself (judgement)."""


def recounted(state: State, head: int) -> State:
    """Return *state* with the count of *head* (0 top, 1 bottom) at nought and its pitch unknown."""
    y = Y[head]
    cov = state.cov.copy()
    cov[y, :] = cov[:, y] = 0.0
    cov[y, y] = spread_of(PITCH_SD_CENTS, at=max(state.mean[y], SLACK_HZ**2)) ** 2
    return _at_nought(replace(state, cov=cov), head)


def rebegun(state: State, head: int, prior: HeadPrior, *, learned: bool) -> State:
    """Return *state* with a new head as *prior* says on the side of *head*.

    Args:
        state: the two heads as they were.
        head: 0 top, 1 bottom.
        prior: what the new head is.
        learned: whether the slope of the old head rests on any reading; if so, the new one starts from it.
    """
    if learned and prior.stuff == state.priors[head].stuff:
        slope = float(state.mean[B[head]])
        doubt = (float(state.cov[B[head], B[head]]) + (_NEXT_HEAD_SHARE * slope) ** 2) ** 0.5
        prior = replace(prior, slope=slope, slope_sd=doubt)
    priors = (prior, state.priors[1]) if head == 0 else (state.priors[0], prior)
    return _at_nought(begun(replace(state, priors=priors), head, UNHEARD), head)


def _at_nought(state: State, head: int) -> State:
    top, bottom = state.position
    since_top, since_bottom = state.since
    if head == 0:
        return replace(state, position=(0.0, bottom), since=(state.day, since_bottom))
    return replace(state, position=(top, 0.0), since=(since_top, state.day))
