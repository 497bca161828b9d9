"""Wires: resistance, and the voltage that is lost on a return which several loads share."""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.electrics.keys import WireGauge

OHM_PER_KM: Mapping[WireGauge, float] = {20: 33.3, 22: 52.7, 24: 84.2, 26: 133.9, 28: 212.9}
"""Copper, ohm a kilometre by AWG. Source: published tables; 20 and 26 from memory."""  # O-11
MOST_LOST_V = 0.3
"""What may be lost on a shared return, V (common practice, no source)."""


def pair_ohm(length_m: float, gauge: WireGauge) -> float:
    """Resistance of both wires of a pair, there and back, ohm."""
    return 2.0 * length_m * OHM_PER_KM[gauge] / 1000.0


def lost_v(length_m: float, gauge: WireGauge, current_ma: float) -> float:
    """What a current loses on a pair of wires, V."""
    return pair_ohm(length_m, gauge) * current_ma / 1000.0
