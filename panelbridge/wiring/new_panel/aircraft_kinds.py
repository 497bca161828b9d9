"""The kinds of aircraft to begin with, by what they are for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from panelbridge.config.boards import BoardKind


class KindToChoose(NamedTuple):
    """One answer of a question.

    Attributes:
        title: what it is.
        about: what it is good for, in a line.
    """

    title: str
    about: str


AIRCRAFT: Mapping[str, KindToChoose] = {
    "first_steps": KindToChoose("First steps", "three legs and a horn: the smallest panel of use"),
    "piston_single": KindToChoose(
        "Piston single", "an electric gear with its circuit breaker, free-fall extension"
    ),
    "tail_wheel": KindToChoose("Tail wheel", "two legs, no steering, an air bottle"),
    "twin_turboprop": KindToChoose(
        "Twin turboprop", "a locked gear handle, a hand pump, a horn that knows speed and altitude"
    ),
    "twin_jet": KindToChoose("Twin jet", "every system: anti-skid, brakes, steering, warnings"),
    "four_engine_freighter": KindToChoose("Four-engine freighter", "five legs, its own brakes"),
}
"""By the name of their file in ``configs/aircraft``."""

BOARDS_TO_CHOOSE: Mapping[BoardKind, KindToChoose] = {
    "uno": KindToChoose("Uno", "18 pins, 5 V: a good first board"),
    "nano": KindToChoose("Nano", "18 pins and 2 for knobs alone, 5 V: the same, smaller"),
    "mega2560": KindToChoose("Mega 2560", "68 pins, 5 V: a whole panel"),
    "leonardo": KindToChoose("Leonardo", "20 pins, 5 V, USB of its own"),
    "micro": KindToChoose("Micro", "20 pins, 5 V, USB of its own, small"),
    "pico": KindToChoose("Pico-class", "26 pins, 3.3 V: 5 V on a pin destroys it"),
}
