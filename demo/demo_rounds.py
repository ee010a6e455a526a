"""The demo's rounds of the rods: one tap near each rod of the concert snare's top head, clockwise from rod 1.

Two rods are off; the rest differ by what a careful hand leaves. Each tap sounds its own neighbourhood.
"""

import math
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from demo_recordings import RECORDED, struck
from struck_head import RATE_HZ, Tap, strike_each

CENTS = (1.0, -2.0, 0.0, -24.0, 2.0, -1.0, 17.0, 0.0, 1.0, -1.0)
"""How far the head is off near each rod, in cents."""

RATE_OF_ROUNDS_HZ = RATE_HZ // 2

SECONDS = 6.4

_PAUSES_S = (0.61, 0.58, 0.64, 0.60, 0.57, 0.62, 0.63, 0.59, 0.60)
_LEVELS = (0.9, 1.0, 0.85, 0.9, 0.95, 0.8, 0.9, 1.0, 0.85, 0.9)

FILE = "concert-snare-top.wav"


def true_hz() -> tuple[float, ...]:
    """Return the pitch in Hz that the head really has near each rod."""
    top_hz, _ = RECORDED[0].true_hz()
    return tuple(top_hz * 2 ** (cents / 1200) for cents in CENTS)


def rounds() -> dict[str, npt.NDArray[np.int16]]:
    """Return the name of each round → its samples: mono, 16 bit, at half of `struck_head.RATE_HZ`."""
    at_s = np.cumsum((0.25, *_PAUSES_S))
    head = struck(RECORDED[0].drum, "top", true_hz()[0])
    blows = tuple(
        (
            replace(head, hz=hz),
            Tap(
                at_s=float(at_s[rod]),
                level=_LEVELS[rod],
                radius=0.85,
                angle=2 * math.pi * (rod + 0.5) / len(CENTS),
            ),
        )
        for rod, hz in enumerate(true_hz())
    )
    full = strike_each(blows, seconds=SECONDS, seed=900)
    # Two samples become one; above 11 kHz there is nothing but the click and noise.
    halved = full[: full.size // 2 * 2].reshape(-1, 2).mean(axis=1)
    return {FILE: np.rint(halved).astype(np.int16)}
