"""What the nose-wheel steering publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class SteeringFacts(Facts, frozen=True):
    """What decides the steering, and the angle.

    Attributes:
        held: a button is known to be held.
        rising_edge: it was released since it was found held or refused, or never was so.
        has_weight: the steered leg's strut is known to carry weight.
        leg_down: the steered leg is known to be locked down.
        available: no emergency extension keeps it from working.
        powered: it has the pressure and the electrical power that it needs.
        wheel_free: no lock holds its wheel straight.
        is_engaged: it is engaged.
        steering_deg: angle asked of the nose wheel, degrees, right positive, in steps; exactly 0
            while it is not engaged.
    """

    held: bool = False
    rising_edge: bool = False
    has_weight: bool = False
    leg_down: bool = False
    available: bool = True
    powered: bool = True
    wheel_free: bool = True
    is_engaged: bool = False
    steering_deg: float = 0.0
