"""What the brakes publish, and their switches that other systems read too."""

from __future__ import annotations

from dataclasses import dataclass

from panelbridge.logic.kit.curves import Line
from panelbridge.logic.kit.handles import Lever
from panelbridge.logic.kit.world import Facts

BRAKE_STEPS = 20
"""Steps from no brake to the full one: a full application."""
LEFT_BRAKE = Lever(
    "left_brake",
    "left brake pedal",
    "Left brake pedal, if it is wired to the panel.",
    by_contact=True,
)
RIGHT_BRAKE = Lever(
    "right_brake",
    "right brake pedal",
    "Right brake pedal, if it is wired to the panel.",
    by_contact=True,
)


@dataclass(frozen=True, slots=True)
class BrakesFacts(Facts):
    """Pedals, parking brake, emergency brake, stored energy.

    Attributes:
        side_fractions: how much the pedals or the emergency brake press on the left and right,
            0 to 1.
        parked_fraction: how much the parking brake presses on both, 0 to 1, in steps.
        emergency_braking: the emergency brake presses the brakes: there is no anti-skid then.
        air_steps: steps that the emergency brake has risen by since the beginning, each at the cost
            of air from the bottle.
        is_parked: the parking brake is not released: there is no anti-skid then.
        parking_holds: the parking brake holds.
        parking_word: released, partly, set, not_set, bled_down or trapped; None when unknown.
        parking_psi: pressure that the parking brake has shut in, psi, as a function of time.
        energy: full applications left in the accumulator, as a function of time.
        lever_word: the parking-brake lever: released, partly, set or unknown.
        lever_released: the parking-brake lever is known to be fully released.
        trapped: the lever is released, and there is still pressure in the brakes.
        energy_low: few full applications are left in the accumulator.
    """

    side_fractions: tuple[float, float] = (0.0, 0.0)
    parked_fraction: float = 0.0
    emergency_braking: bool = False
    air_steps: int = 0
    is_parked: bool = False
    parking_holds: bool = False
    parking_word: str | None = None
    parking_psi: Line = Line()
    energy: Line = Line()
    lever_word: str = "unknown"
    lever_released: bool = False
    trapped: bool = False
    energy_low: bool = False
