"""The outputs of the board: lamps, tones and servos, with their idle values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import IntEnum

from msgspec import Struct, field

from panelbridge.link.wire import FIRST_CHAIN_PIN, ItemFlag, ItemKind, SetupItem
from panelbridge.simboard.board.wiring import Wiring


class ToneOrder(IntEnum):
    """How a tone is commanded."""

    SILENT = 0
    INTERMITTENT = 1
    CONTINUOUS = 2


class Tone(Struct, frozen=True):
    """A tone as the board plays it.

    Attributes:
        order: as commanded.
        since_s: when that order began; the intermittent pattern starts with its on time.
        on_s: on time of the intermittent pattern, s.
        off_s: off time of the intermittent pattern, s.
    """

    order: ToneOrder
    since_s: float
    on_s: float
    off_s: float

    def sounding(self, now_s: float) -> bool:
        """Whether it sounds at ``now_s``."""
        if self.order is not ToneOrder.INTERMITTENT:
            return self.order is ToneOrder.CONTINUOUS
        return (now_s - self.since_s) % (self.on_s + self.off_s) < self.on_s


class OutputView(Struct, frozen=True):
    """Everything that a board drives at one instant, by pin name. Pins not driven are absent.

    Attributes:
        lamps: brightness as seen, 0-255 (0 or 255 for a lamp on a pin without PWM).
        levels: duty cycle of a lamp's pin, 0-255; inverted for a lamp that a low pin lights.
        tones: every horn.
        servo_us: length of the pulse, us; 0 = no pulse.
        idle: the outputs are at their idle values: no host commands them.
        host_silent: they are idle because the host was silent for its time-out.
    """

    lamps: Mapping[str, int] = field(default_factory=dict)
    levels: Mapping[str, int] = field(default_factory=dict)
    tones: Mapping[str, Tone] = field(default_factory=dict)
    servo_us: Mapping[str, int] = field(default_factory=dict)
    idle: bool = True
    host_silent: bool = False


class OutputPins:
    """The outputs of a set-up, in its order.

    Args:
        items: the set-up's output items.
        pin_names: name of each pin by its number.
        wiring: has the chips of the chains, which keep their levels.
        now_s: when they become active, at their idle values.
    """

    def __init__(
        self, items: Sequence[SetupItem], pin_names: Mapping[int, str], wiring: Wiring, now_s: float
    ) -> None:
        self._wiring = wiring
        self._items = [(item, pin_names[item.pin]) for item in items]
        self._idle_values = tuple(0 if i.kind == ItemKind.TONE else i.p1 for i in items)
        self._values = self._idle_values
        self._tone_since_s = [now_s] * len(items)
        self.idle = True
        self._latch(self._values)

    def acceptable(self, values: tuple[int, ...]) -> bool:
        """Whether every value is valid."""
        return all(
            item.kind != ItemKind.TONE or value <= ToneOrder.CONTINUOUS
            for (item, _), value in zip(self._items, values, strict=True)
        )

    def drive(self, now_s: float, values: tuple[int, ...] | None) -> None:
        """Drive the values of a COMMAND; None = the idle values of the set-up."""
        self.idle = values is None
        new_values = self._idle_values if values is None else values
        # A pattern continues while the order stays: every COMMAND repeats it.
        for at, (old, new) in enumerate(zip(self._values, new_values, strict=True)):
            if old != new:
                self._tone_since_s[at] = now_s
        if new_values != self._values:
            self._values = new_values
            self._latch(new_values)

    def let_go(self) -> None:
        """End of the set-up: turn off the lamps on chains, whose chips keep their levels."""
        self._latch((0,) * len(self._items))

    def view(self, *, host_silent: bool) -> OutputView:
        """What the pins do now."""
        lamps: dict[str, int] = {}
        levels: dict[str, int] = {}
        tones: dict[str, Tone] = {}
        servo_us: dict[str, int] = {}
        for (item, name), value, since_s in zip(
            self._items, self._values, self._tone_since_s, strict=True
        ):
            if item.kind == ItemKind.LAMP:
                seen = value if item.flags & ItemFlag.PWM else 255 * (value > 0)
                lamps[name] = seen
                levels[name] = 255 - seen if item.flags & ItemFlag.ACTIVE_LOW else seen
            elif item.kind == ItemKind.TONE:
                on_s, off_s = item.p2 / 1000.0, item.p3 / 1000.0
                tones[name] = Tone(ToneOrder(value), since_s, on_s, off_s)
            else:
                servo_us[name] = value and min(max(value, item.p2), item.p3)
        return OutputView(lamps, levels, tones, servo_us, self.idle, host_silent)

    def _latch(self, values: tuple[int, ...]) -> None:
        for (item, name), value in zip(self._items, values, strict=True):
            if item.pin >= FIRST_CHAIN_PIN:
                self._wiring.latch(name, (value > 0) != bool(item.flags & ItemFlag.ACTIVE_LOW))
