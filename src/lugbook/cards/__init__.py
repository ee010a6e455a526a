"""Pages and pictures, drawn as SVG: this is the one floor where that is done.

A picture is a function of plain values: no file is read or written here, and no screen is known. Every
picture stands for itself (no font, style sheet or image is fetched), prints in black and white, says in signs
and words what it also says in colour, and shows text from elsewhere as text.
"""

from lugbook.cards.listening import listening_picture

__all__ = ["listening_picture"]
