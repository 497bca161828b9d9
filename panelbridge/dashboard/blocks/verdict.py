"""The verdict: what the gear is, in one or two large words.

It is drawn from what the logic publishes: the legs, the handle, the power of the gear, the lamps.
"""

from __future__ import annotations

from collections.abc import Sequence

from panelbridge.dashboard.blocks.banner import Banner, BannerLook
from panelbridge.dashboard.blocks.lamp_cells import LampLayout
from panelbridge.dashboard.text.lines import words_of_name
from panelbridge.dashboard.text.state_words import LEG_WORDS
from panelbridge.engine.snapshot import Snapshot
from panelbridge.signals import GearPosition, LegState, LegView

MOVING = frozenset(
    (
        LegState.UNLOCKING_TO_EXTEND,
        LegState.EXTENDING,
        LegState.UNLOCKING_TO_RETRACT,
        LegState.RETRACTING,
    )
)
_ENDS = {LegState.DOWN_LOCKED: " DOWN", LegState.UP_LOCKED: " UP"}
_DRIVEN = ("running", "resting")
"""Words of ``gear_power`` while a movement goes on."""


def gear_verdict(snapshot: Snapshot, lamps: LampLayout) -> Banner:
    """The first that applies: unsafe, no power, unknown, in transit, still elsewhere, locked."""
    if not snapshot.logic.legs:
        return Banner(("NO DATA YET", "NO DATA"), ("waiting for the first data",), BannerLook.PLAIN)
    checks = (_unsafe, _unpowered, _unknown, _moving, _elsewhere, _up)
    found = next((banner for check in checks if (banner := check(snapshot))), None)
    return found or _down(snapshot, lamps)


def _unknown(snapshot: Snapshot) -> Banner | None:
    legs = snapshot.logic.legs
    unknown = [leg for leg in legs if leg.state is LegState.UNKNOWN]
    if not unknown:
        return None
    whose = "the legs" if len(unknown) == len(legs) else _names(unknown)
    small = (f"nothing is known of {whose}",)
    return Banner(("GEAR UNKNOWN", "GEAR ?"), small, BannerLook.NOT_VALID)


def _moving(snapshot: Snapshot) -> Banner | None:
    if not _is_moving(snapshot):
        return None
    legs = snapshot.logic.legs
    small = (", ".join(map(_progress, legs)), _progresses(legs))
    return Banner(("IN TRANSIT",), small, BannerLook.PLAIN)


def _is_down(snapshot: Snapshot) -> bool:
    return snapshot.logic.legs[0].state is LegState.DOWN_LOCKED


def _elsewhere(snapshot: Snapshot) -> Banner | None:
    handle, down = snapshot.logic.handle, _is_down(snapshot)
    if handle is None or (handle is GearPosition.DOWN) is down:
        return None
    end = "down" if down else "up"
    small = (f"handle {handle}, but all legs {end} and locked",)
    return Banner((f"STILL {end.upper()}",), small, BannerLook.CAUTION)


def _up(snapshot: Snapshot) -> Banner | None:
    if _is_down(snapshot):
        return None
    small = (f"all legs up and locked{_handle(snapshot)}",)
    return Banner(("UP AND LOCKED", "UP LOCKED", "UP"), small, BannerLook.PLAIN)


def _handle(snapshot: Snapshot) -> str:
    return "" if snapshot.logic.handle is None else f", handle {snapshot.logic.handle}"


def unsafe_legs(snapshot: Snapshot) -> list[LegView]:
    """Legs that are not where they should be and that nothing moves, and contradictory ones."""
    legs, power = snapshot.logic.legs, snapshot.logic.values.get("gear_power")
    found = [leg for leg in legs if leg.locks.contradictory]
    if found or power in _DRIVEN:
        return found
    found = [leg for leg in legs if leg.state is LegState.STOPPED]
    ends = {leg.state for leg in legs}
    if found or power is None or len(ends) == 1 or ends & MOVING or LegState.UNKNOWN in ends:
        return found  # legs that the simulator moves may go one after another
    # Locked at different ends: those are unsafe that are not where the gear should be.
    wanted = snapshot.logic.gear_demand or GearPosition.DOWN
    right = LegState.DOWN_LOCKED if wanted is GearPosition.DOWN else LegState.UP_LOCKED
    return [leg for leg in legs if leg.state is not right]


def _is_moving(snapshot: Snapshot) -> bool:
    legs, power = snapshot.logic.legs, snapshot.logic.values.get("gear_power")
    ends = {leg.state for leg in legs}
    if ends & MOVING or LegState.STOPPED in ends or len(ends) > 1:
        return True
    # Doors move before and after the legs; then all legs are at one end.
    return power in _DRIVEN and snapshot.logic.gear_disagrees


def _names(legs: Sequence[LegView]) -> str:
    return ", ".join(words_of_name(leg.name) for leg in legs) + (
        " leg" if len(legs) == 1 else " legs"
    )


def _initials(leg: LegView) -> str:
    return "".join(word[:1] for word in leg.name.split("_")).upper()


def _percent(leg: LegView) -> str:
    return "" if leg.travel_fraction is None else f" {leg.travel_fraction:.0%}"


def _progress(leg: LegView) -> str:
    at = "" if leg.state in (LegState.UP_LOCKED, LegState.DOWN_LOCKED) else _percent(leg)
    return f"{words_of_name(leg.name)} {LEG_WORDS[leg.state][2]}{at}"


def _progresses(legs: Sequence[LegView]) -> str:
    moving = [leg for leg in legs if leg.state in MOVING]
    return (
        ", ".join(f"{words_of_name(leg.name)}{_percent(leg)}" for leg in moving) or "doors moving"
    )


def _unsafe(snapshot: Snapshot) -> Banner | None:
    legs = unsafe_legs(snapshot)
    if not legs:
        return None
    names = " ".join(words_of_name(leg.name) for leg in legs).upper()
    count = f"{len(legs)} LEGS"
    short = _initials(legs[0]) if len(legs) == 1 else count
    words = (f"UNSAFE {names} LEG",) if len(legs) == 1 else ()
    states = ", ".join(
        f"{words_of_name(leg.name)} leg: both lock switches made"
        if leg.locks.contradictory
        else f"{words_of_name(leg.name)} leg {_where(leg)}"
        for leg in legs
    )
    faults = "; ".join(snapshot.logic.faults)
    small = (*([f"{states}; {faults}"] if faults else []), states)
    words = (*words, f"UNSAFE {names}", f"UNSAFE {short}", "UNSAFE")
    return Banner(words, small, BannerLook.WARNING)


def _where(leg: LegView) -> str:
    if leg.state is not LegState.STOPPED or leg.travel_fraction is None:
        return LEG_WORDS[leg.state][1]
    if leg.travel_fraction in (0.0, 1.0):
        return f"{'down' if leg.travel_fraction else 'up'}, not locked"
    return f"{LEG_WORDS[leg.state][1]} at{_percent(leg)}"


def _unpowered(snapshot: Snapshot) -> Banner | None:
    if snapshot.aircraft.bus_powered is not False:
        return None
    legs = snapshot.logic.legs
    ends = {leg.state for leg in legs}
    state = f"; legs {LEG_WORDS[legs[0].state][1]}" if len(ends) == 1 else ""
    small = (
        f"no electrical power: every lamp is dark, the horn is silent{state}",
        f"no electrical power: lamps dark, horn silent{state}",
        "no electrical power",
    )
    if snapshot.logic.on_ground:
        end = _ENDS.get(legs[0].state, "") if len(ends) == 1 else ""
        words = (f"COLD AND DARK{end}", f"COLD DARK{end}", f"DARK{end}", "DARK")
        return Banner(words, small, BannerLook.NORMAL)
    return Banner(("NO POWER",), small, BannerLook.CAUTION)


def _down(snapshot: Snapshot, lamps: LampLayout) -> Banner:
    legs, outputs, at = snapshot.logic.legs, snapshot.outputs, _handle(snapshot)
    small: tuple[str, ...]
    greens = {leg: lamps.looks.get(f"{leg.name}_green") for leg in legs}
    fitted = {leg: look for leg, look in greens.items() if look is not None}
    if not fitted:
        small = (f"all legs down and locked{at}; the panel has no green lamps",)
        return Banner(("DOWN AND LOCKED", "DOWN"), small, BannerLook.GOOD)
    unknown = [leg for leg, look in fitted.items() if not lamps.is_known(look, outputs)]
    if unknown:
        small = (
            f"all legs down and locked{at}; what the green lamps show is not known: no link",
            "legs down and locked; green lamps not known: no link",
            "legs locked; no link to the lamps",
        )
        return Banner(("DOWN LAMPS ?", "DOWN ?"), small, BannerLook.PLAIN)
    dark = [leg for leg, look in fitted.items() if not lamps.is_lit(look, outputs)]
    count = len(fitted)
    if dark:
        words = (f"DOWN {count - len(dark)} OF {count} GREENS", "DOWN NO GREEN", "DOWN")
        if len(dark) < count:
            words = (words[0], f"{count - len(dark)} OF {count} GREENS", "GREEN OUT")
        return Banner(words, (f"green lamp dark: {_names(dark)}",), BannerLook.CAUTION)
    greens_text = "1 GREEN" if count == 1 else f"{count} GREENS"
    small = (f"all legs down and locked, every green lit{at}", "down and locked, all greens")
    return Banner((f"DOWN {greens_text}", greens_text, "DOWN"), small, BannerLook.GOOD)
