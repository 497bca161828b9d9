"""panelbridge: a home-cockpit landing-gear-and-brake panel, live or on the bench.

For simulation only, never for a real aircraft.
"""

__version__ = "0.1.0"
