"""Which key moves which switch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from panelbridge.dashboard.interfaces import SwitchControl

RESERVED = frozenset("qlf")
"""Letters of the screen itself: quit, log, fly again."""
_USUAL = {
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
    *(
        ("-", "+"),
        ("<", ">"),
        ("(", ")"),
        (",", "."),
        ("/", "*"),
        (";", ":"),
        ("'", '"'),
        ("$", "%"),
    ),
)
"""Keys for less and more, in reach on American, German and French keyboards: no square or curly
brackets, which need a third key there."""
_SAME_KEY = {"=": "+", "_": "-"}
"""On most keyboards these are the same key with and without Shift."""


class KeyAction(Struct, frozen=True):
    """What a key does.

    Attributes:
        control: the switch that it moves.
        step: of a lever: +1 or -1; 0: to its other end, or to the middle if it rests there.
        hold: of a button: hold it, or release it when it is held.
    """

    control: SwitchControl
    step: int = 0
    hold: bool = False


class KeyAssignment(Struct, frozen=True):
    """Keys of all switches.

    Attributes:
        actions: what each typed character does.
        shown: the keys of each switch as text, by its name.
    """

    actions: Mapping[str, KeyAction] = field(default_factory=dict)
    shown: Mapping[str, str] = field(default_factory=dict)


def assign_keys(switches: Sequence[SwitchControl]) -> KeyAssignment:
    """Assign a key to every switch: its usual letter, else the first free one of its label.

    If no letter is left, a switch has no key; the mouse still moves it.
    """
    actions: dict[str, KeyAction] = {}
    shown: dict[str, str] = {}
    levers = [control for control in switches if control.form == "lever"]
    for control, (less, more) in zip(levers, _LEVER_KEYS, strict=False):
        actions[less], actions[more] = KeyAction(control, step=-1), KeyAction(control, step=1)
        shown[control.name] = f"{less} {more}"
    # Usual letters first, so that no other switch takes them; levers last: they have signs too.
    ordered = sorted(
        switches, key=lambda control: (control.name not in _USUAL, control.form == "lever")
    )
    for control in ordered:
        if control.form == "lever" and control.rest is None:
            continue
        wishes = _USUAL.get(control.name, "") + control.label.lower()
        letters = [c for c in wishes + "abcdefghijklmnopqrstuvwxyz" if "a" <= c <= "z"]
        letter = next((c for c in letters if c not in RESERVED and c not in actions), None)
        if letter is None:
            continue
        actions[letter] = KeyAction(control)
        actions[letter.upper()] = KeyAction(control, hold=control.form == "button")
        signs = shown.get(control.name, "").replace(" ", "")
        shown[control.name] = f"{letter} {signs}".rstrip()
    for other, sign in _SAME_KEY.items():
        if sign in actions:
            actions[other] = actions[sign]
    return KeyAssignment(actions, shown)
