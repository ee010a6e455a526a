"""Lugbook finds, keeps and brings back the head tensions of a drum for each kind of music.

The package is built in floors, and a floor imports only floors below it: ``errors`` and ``plain`` at the
ground, then ``pitch``, then ``heads`` and ``turns``, ``records``, ``library`` and ``sound`` and ``cards``,
``desk``, and on top the two faces ``cli`` and ``tui``. DEVELOPERS.md tells what lives where.
"""

__version__ = "0.1.0"
