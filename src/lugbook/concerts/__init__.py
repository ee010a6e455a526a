"""The running order: which drum in which preset for which piece, and when to change it."""

from lugbook.concerts.planning import plan
from lugbook.concerts.terms import Option, Piece, Plan, Short, Step, Work

__all__ = ["Option", "Piece", "Plan", "Short", "Step", "Work", "plan"]
