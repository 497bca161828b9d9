"""Which key moves which switch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from panelbridge.dashboard.ports import SwitchControl

RESERVED = frozenset("qlf")
"""Letters of the screen itself: quit, log, fly again."""
_FAVOURITES = {
    "gear_handle": "g",
    "horn_silence": "h",
    "lamp_test": "t",
    "warning_test": "w",
    "steering_button": "s",
    "emergency_extend": "e",
    "parking_brake": "p",
    "antiskid": "a",
    "aux_pump": "u",
    "cold_weather": "c",
    "night": "n",
    "gear_reset": "r",
    "downlock_release": "d",
}
_LEVER_KEYS = (
    *(("-", "+"), ("<", ">"), ("(", ")"), (",", "."), ("/", "*")),
    *(("[", "]"), ("{", "}"), (";", ":"), ("'", '"'), ("$", "%")),
)
"""Signs that most keyboards have side by side come first."""
# A plus needs the shift key on most keyboards; the same key without it does the same.
_TWINS = {"=": "+", "_": "-"}


@dataclass(frozen=True, slots=True)
class KeyUse:
    """What a key does.

    Attributes:
        control: the switch that it moves.
        step: of a lever: +1 or -1; 0: to its other end, or to the middle that it rests in.
        hold: of a button: hold it, or let it go when it is held.
    """

    control: SwitchControl
    step: int = 0
    hold: bool = False


@dataclass(frozen=True, slots=True)
class KeyPlan:
    """Keys of all switches.

    Attributes:
        uses: what each typed character does.
        shown: what stands beside each switch, by its name.
    """

    uses: Mapping[str, KeyUse] = field(default_factory=dict)
    shown: Mapping[str, str] = field(default_factory=dict)


def plan_keys(switches: Sequence[SwitchControl]) -> KeyPlan:
    """Give every switch its key: its usual letter, else the first free one of its label.

    A switch for which no key is left has none; the mouse still moves it.
    """
    uses: dict[str, KeyUse] = {}
    shown: dict[str, str] = {}
    levers = [control for control in switches if control.form == "lever"]
    for control, (less, more) in zip(levers, _LEVER_KEYS, strict=False):
        uses[less], uses[more] = KeyUse(control, step=-1), KeyUse(control, step=1)
        shown[control.name] = f"{less} {more}"
    # The usual letters first, so that no other switch takes them away; levers have signs besides.
    ordered = sorted(
        switches, key=lambda control: (control.name not in _FAVOURITES, control.form == "lever")
    )
    for control in ordered:
        if control.form == "lever" and control.rest is None:
            continue
        wishes = _FAVOURITES.get(control.name, "") + control.label.lower()
        letters = [c for c in wishes + "abcdefghijklmnopqrstuvwxyz" if "a" <= c <= "z"]
        letter = next((c for c in letters if c not in RESERVED and c not in uses), None)
        if letter is None:
            continue
        uses[letter] = KeyUse(control)
        uses[letter.upper()] = KeyUse(control, hold=control.form == "button")
        signs = shown.get(control.name, "").replace(" ", "")
        shown[control.name] = f"{letter} {signs}".rstrip()
    for twin, sign in _TWINS.items():
        if sign in uses:
            uses[twin] = uses[sign]
    return KeyPlan(uses, shown)
