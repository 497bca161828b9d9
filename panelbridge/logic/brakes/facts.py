"""What the brakes publish, and their switches that other systems read too."""

from __future__ import annotations

from panelbridge.logic.kit.curves import Boyle, Line
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


class BrakeSupplyFacts(Facts, frozen=True):
    """Where the brakes' pressure comes from; pressures are not above that of full braking.

    Attributes:
        pedals_psi: what the pedals can press with, psi.
        parking_psi: what the parking brake can be set with, psi.
        parking_line_psi: what the pressure line gives a parking brake that is set, psi.
        source: what the pedals draw on: supply, accumulator or none.
        store: pressure of the brakes' own accumulator, psi, as a function of time; None without.
        left: full applications that are stored; None while the pressure is unknown.
        energy_low: few of them are left.
        parking_filled: the fluid that the parking brake asked for is there.
        fill_l_per_s: what flows from the pressure line into the brakes' own accumulator.
        drawn_l: what applications took from the pressure line since the beginning, litres.
        returned_l: what came back into the reservoir, litres.
    """

    pedals_psi: float = 0.0
    parking_psi: float = 0.0
    parking_line_psi: float = 0.0
    source: str = "none"
    store: Boyle | None = None
    left: int | None = 0
    energy_low: bool = True
    parking_filled: bool = False
    fill_l_per_s: float = 0.0
    drawn_l: float = 0.0
    returned_l: float = 0.0


class BrakesFacts(Facts, frozen=True):
    """Pedals, parking brake, emergency brake.

    Attributes:
        side_psi: what pedals or emergency brake press on the left and right, psi; anti-skid may
            take it away.
        side_fractions: the same, 0 to 1, in steps.
        parked_fraction: how much the parking brake presses on both, 0 to 1, in steps.
        parking_steps: fluid that the parking brake takes, in steps of an application.
        emergency_braking: the emergency brake presses the brakes: there is no anti-skid then.
        air_steps: steps that the emergency brake has risen by since the beginning, each at the cost
            of air from the bottle.
        is_parked: the parking brake is not released: there is no anti-skid then.
        parking_holds: the parking brake holds.
        parking_word: released, partly, set, not_set, bled_down or trapped; None when unknown.
        parking_psi: pressure that the parking brake has shut in, psi, as a function of time.
        lever_word: the parking-brake lever: released, partly, set or unknown.
        lever_released: the parking-brake lever is known to be fully released.
        trapped: the lever is released, and there is still pressure in the brakes.
    """

    side_psi: tuple[float, float] = (0.0, 0.0)
    side_fractions: tuple[float, float] = (0.0, 0.0)
    parked_fraction: float = 0.0
    parking_steps: int = 0
    emergency_braking: bool = False
    air_steps: int = 0
    is_parked: bool = False
    parking_holds: bool = False
    parking_word: str | None = None
    parking_psi: Line = Line()
    lever_word: str = "unknown"
    lever_released: bool = False
    trapped: bool = False


class WheelBrakesFacts(Facts, frozen=True):
    """The brake of each wheel, in the order of the aircraft file.

    Attributes:
        pressed_psi: what pedals or emergency brake press on it after anti-skid, psi.
        wanted: fluid that its brake asks for, in steps of an application.
        parking_wants: the parking brake is one that asks.
        fed_psi: pressure on the left and right by a feed that is its authority, psi.
    """

    pressed_psi: tuple[float, ...] = ()
    wanted: tuple[int, ...] = ()
    parking_wants: bool = False
    fed_psi: tuple[float | None, ...] = ()


class AntiskidDrainFacts(Facts, frozen=True):
    """Anti-skid and the stored energy of the brakes.

    Attributes:
        drains: anti-skid has been on for some time while the brakes draw on an accumulator.
    """

    drains: bool = False
