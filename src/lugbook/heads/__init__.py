"""From the sound of a stroke to the pitch of a drum head.

`listen` is the door; its results are plain frozen values. The names are loaded on use, so that importing this
package does not load numpy, which takes longer than most commands.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lugbook.heads.hearing import (
        Alternative,
        Hearing,
        OtherHead,
        Partial,
        Reading,
        Rod,
        RodRound,
        Struck,
        Tap,
    )
    from lugbook.heads.listening import listen
    from lugbook.heads.rod_answers import RodAnswer, SecondRound, first_answer, second_round
    from lugbook.heads.rods import hear_rods, judge_rods

__all__ = [
    "Alternative",
    "Hearing",
    "OtherHead",
    "Partial",
    "Reading",
    "Rod",
    "RodAnswer",
    "RodRound",
    "SecondRound",
    "Struck",
    "Tap",
    "first_answer",
    "hear_rods",
    "judge_rods",
    "listen",
    "second_round",
]


_MODULES = {
    "listen": "listening",
    "hear_rods": "rods",
    "judge_rods": "rods",
    "RodAnswer": "rod_answers",
    "SecondRound": "rod_answers",
    "first_answer": "rod_answers",
    "second_round": "rod_answers",
}
"""Name → the module that has it; the others are in `hearing`."""


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    # Imported here so that `import lugbook.heads` alone stays free of numpy (PEP 562).
    return getattr(import_module(f"{__name__}.{_MODULES.get(name, 'hearing')}"), name)
