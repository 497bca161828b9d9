"""Switches of a panel file: how each can be wired."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, create_model

from panelbridge.config.electrics.keys import CapacitorNf, PullUpOhm, SeriesOhm
from panelbridge.config.panel_parts.on_board import OnBoard
from panelbridge.config.pin_names import PinName, PinOrBit
from panelbridge.logic.kit.handles import HandleSwitch, Lever, Switch
from panelbridge.logic.kit.parameters import Parameters
from panelbridge.logic.systems import SWITCHES

DebounceMs = Annotated[
    int, Field(ge=1, le=500, description="How long the contact must be quiet, ms.")
]
DebounceMode = Annotated[
    Literal["wait_until_quiet", "report_first"],
    Field(
        description="wait_until_quiet: a change counts once the contact is quiet, so a glitch is "
        "never seen. report_first: it counts at once and the contact is then ignored for the "
        "debounce time, which is faster."
    ),
]


class TwoContactHandle(OnBoard):
    """A gear handle with a contact at each end of its travel."""

    form: Literal["two_contact"]
    """How it is wired."""
    up_pin: PinOrBit
    """Pin of the contact that closes when the handle is up."""
    down_pin: PinOrBit
    """Pin of the contact that closes when the handle is down."""
    travel_s: Annotated[float, Field(gt=0.0, le=10.0)] = 1.0
    """Longest time that the handle may be between its contacts before it counts as a fault, s."""
    debounce_ms: DebounceMs = 20
    debounce_mode: DebounceMode = "wait_until_quiet"
    normally_closed: bool = False
    """The contacts open when the handle arrives, instead of closing."""
    pull_up_ohm: PullUpOhm = None
    series_ohm: SeriesOhm = 0.0
    capacitor_nf: CapacitorNf = 0.0


class OneContactHandle(OnBoard):
    """A gear handle or toggle with one contact."""

    form: Literal["one_contact"]
    """How it is wired."""
    pin: PinOrBit
    """Pin of the contact."""
    closed_means: Literal["up", "down"]
    """Where the handle stands when the contact is closed."""
    debounce_ms: DebounceMs = 20
    debounce_mode: DebounceMode = "wait_until_quiet"
    pull_up_ohm: PullUpOhm = None
    series_ohm: SeriesOhm = 0.0
    capacitor_nf: CapacitorNf = 0.0


class ContactSwitch(OnBoard):
    """A button or toggle: one contact."""

    form: Literal["contact"] = "contact"
    """How it is wired."""
    pin: PinOrBit
    """Pin of the contact; the other side goes to ground."""
    normally_closed: bool = False
    """The contact opens when the switch is operated."""
    debounce_ms: DebounceMs = 20
    debounce_mode: DebounceMode = "wait_until_quiet"
    pull_up_ohm: PullUpOhm = None
    series_ohm: SeriesOhm = 0.0
    capacitor_nf: CapacitorNf = 0.0


class LeverSwitch(OnBoard):
    """A knob or lever: a potentiometer on an analogue pin."""

    form: Literal["lever"] = "lever"
    """How it is wired."""
    pin: PinName
    """Analogue pin of the wiper."""
    counts_at_0: Annotated[int, Field(ge=0, le=65535)] = 0
    """What the board reads at the lever's lowest end."""
    counts_at_1: Annotated[int, Field(ge=0, le=65535)] = 1023
    """What the board reads at the lever's highest end; may be the smaller number."""
    noise_gate_counts: Annotated[int, Field(ge=0, le=1000)] = 4
    """Changes up to this many counts are taken for noise."""


WiredSwitch = TwoContactHandle | OneContactHandle | ContactSwitch | LeverSwitch
Handle = Annotated[TwoContactHandle | OneContactHandle, Field(discriminator="form")]
OwnSwitchEntry = Annotated[ContactSwitch | LeverSwitch, Field(discriminator="form")]
LeverOrContact = Annotated[LeverSwitch | ContactSwitch, Field(discriminator="form")]
"""A lever or pedal: anywhere from 0 to 1 on an analogue pin, or one contact."""


def _forms_of(switch: Switch[Any]) -> Any:
    """How a switch can be wired."""
    if isinstance(switch, HandleSwitch):
        return Handle
    if isinstance(switch, Lever):
        return LeverOrContact if switch.by_contact else LeverSwitch
    return ContactSwitch


def _switch_fields() -> dict[str, Any]:
    """A key for every switch that a system declares, handles first."""
    switches = sorted(SWITCHES.values(), key=lambda one: not isinstance(one, HandleSwitch))
    return {
        one.name: (_forms_of(one) | None, Field(default=None, description=one.about))
        for one in switches
    }


if TYPE_CHECKING:

    class Switches(Parameters):
        """Every switch that this panel has, under the name that its system gives it."""

        def __init__(self, **entries: Any) -> None: ...
        def __getattr__(self, name: str) -> Any: ...

else:
    Switches = create_model(
        "Switches",
        __base__=Parameters,
        __doc__="Every switch that this panel has, under the name that its system gives it.",
        __module__=__name__,
        **_switch_fields(),
    )
