"""What the lock of the gear handle publishes."""

from __future__ import annotations

from panelbridge.logic.kit.world import Facts


class HandleLockFacts(Facts, frozen=True):
    """All that decides the solenoid.

    Attributes:
        powered: the bus is not known to be without power.
        in_air: the strut is known to carry no weight.
        released: the release button is held.
        works: the solenoid is not broken.
        compressed: the strut carries weight; None when unknown.
    """

    powered: bool = True
    in_air: bool = False
    released: bool = False
    works: bool = True
    compressed: bool | None = None
