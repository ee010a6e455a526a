"""Between which bounds a head is listened to; needs no numpy, so that others can ask without it."""

LOWEST_HZ, HIGHEST_HZ = 40.0, 1200.0
"""Where lines of drums are looked for: between these a struck head sounds."""

LEAST_RATE_HZ, MOST_RATE_HZ = 4000, 400_000
"""Samples a second that are listened to."""
