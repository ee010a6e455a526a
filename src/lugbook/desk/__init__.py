"""What a player does at the drum, one module for each deed; plain results, no printing.

`Desk` is built once, from a library, user settings, a clock and a source of sound. The deeds are functions
that take it first: `noting`, `listening`, `comparing`, `retuning`, `shelf`, `keeping`, `fitting`, `bench`,
`verifying`. Both faces call them and decide nothing themselves.
"""

from lugbook.desk.desk import Desk, SoundSource, open_desk

__all__ = ["Desk", "SoundSource", "open_desk"]
