"""The aircraft file: the numbers and rules of an aircraft type."""

from __future__ import annotations

from typing import Literal

from panelbridge.logic.aircraft import AircraftParameters


class AircraftFile(AircraftParameters):
    """An aircraft file: the parameters of every system."""

    kind: Literal["aircraft"]
    """What this file is."""
    format: Literal[1]
    """Version of the file's layout; this program reads 1."""
