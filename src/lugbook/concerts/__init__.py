"""The running order: which drum in which preset for which piece, and when to change it."""

from lugbook.concerts.planning import plan
from lugbook.concerts.programme import Change, Option, Piece, Plan, Short, Step

__all__ = ["Change", "Option", "Piece", "Plan", "Short", "Step", "plan"]
