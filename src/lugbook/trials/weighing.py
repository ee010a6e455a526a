"""What is believed after the judgments so far: the same, whether something was asked in between or not."""

from lugbook.trials.belief import Belief, Told, first_weighed

_DOUBTFUL = 0.3
"""A verdict that is less likely than this by all that was said is doubted (judgement)."""


class Weighing:
    """Keeps the belief between two questions, and teaches it what is new."""

    def __init__(self) -> None:
        self._belief: Belief | None = None
        self._weighed_from = 0

    def after(self, told: tuple[Told, ...]) -> Belief:
        """Return what is believed after all that was *told*."""
        first = first_weighed(len(told))
        belief = self._belief
        if belief is None or first != self._weighed_from:
            belief = Belief()
            self._belief, self._weighed_from = belief, first
        latest = told[first:]
        for count in range(belief.learned, len(latest)):
            belief.learn(latest[: count + 1])
        return belief

    def doubted(self, told: tuple[Told, ...]) -> list[int]:
        """Return which of the judgments that were *told* go ill together with the others, by their index."""
        first = first_weighed(len(told))
        chances = self.after(told).chances(told[first:])
        return [first + number for number, chance in enumerate(chances) if chance < _DOUBTFUL]
