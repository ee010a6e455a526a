"""The search for a sound: which states of the two heads were heard, what was said, and what to try next."""

from lugbook.trials.judgments import Judgment, Verdict, contradictions
from lugbook.trials.proposals import Proposal
from lugbook.trials.search import Search

__all__ = ["Judgment", "Proposal", "Search", "Verdict", "contradictions"]
