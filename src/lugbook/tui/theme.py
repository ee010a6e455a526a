"""The two themes: a dim stage and a light room. Colours stand here alone; the style sheet names variables."""

from textual.theme import Theme

STAGE = Theme(
    name="lugbook-stage",
    primary="#f2b25c",
    secondary="#c9a27a",
    accent="#f2b25c",
    foreground="#e9dfcf",
    background="#0c0b0a",
    surface="#15130f",
    panel="#221e18",
    success="#a9c98b",
    warning="#f2b25c",
    error="#ef8d6b",
    dark=True,
    variables={
        "block-cursor-background": "#f2b25c",
        "block-cursor-foreground": "#0c0b0a",
        "block-cursor-text-style": "bold",
        "input-selection-background": "#f2b25c 35%",
        "border": "#4a4236",
        "border-blurred": "#2e2921",
    },
)
"""Warm and dark: a stage on which nobody should notice the screen."""

ROOM = Theme(
    name="lugbook-room",
    primary="#7a4a00",
    secondary="#5f5140",
    accent="#7a4a00",
    foreground="#1d1a16",
    background="#f7f3ea",
    surface="#fffdf7",
    panel="#e8e0d0",
    success="#2f5d1e",
    warning="#7a4a00",
    error="#9c2a10",
    dark=False,
    variables={
        "block-cursor-background": "#7a4a00",
        "block-cursor-foreground": "#fffdf7",
        "block-cursor-text-style": "bold",
        "border": "#b3a68f",
        "border-blurred": "#d6ccb8",
    },
)
"""Dark on light: a practice room by day."""

THEMES = (STAGE, ROOM)
