"""What the board drives: lamps, tones and servos, with their idle values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from types import MappingProxyType

from panelbridge.link.messages import FIRST_CHAIN_PIN, ItemFlag, ItemKind, SetupItem
from panelbridge.simboard.board.wiring import Wiring


class ToneOrder(IntEnum):
    """How a tone is commanded."""

    SILENT = 0
    INTERMITTENT = 1
    CONTINUOUS = 2


@dataclass(frozen=True, slots=True)
class Tone:
    """A tone as the board plays it.

    Attributes:
        order: as commanded.
        since_s: when that order began; the intermittent pattern starts with its sounding part.
        frequency_hz: its pitch.
        on_s: sounding part of the intermittent pattern, seconds.
        off_s: silent part of the intermittent pattern, seconds.
    """

    order: ToneOrder
    since_s: float
    frequency_hz: int
    on_s: float
    off_s: float

    def sounding(self, now_s: float) -> bool:
        """Whether it can be heard at ``now_s``."""
        if self.order is not ToneOrder.INTERMITTENT:
            return self.order is ToneOrder.CONTINUOUS
        return (now_s - self.since_s) % (self.on_s + self.off_s) < self.on_s


@dataclass(frozen=True, slots=True)
class OutputView:
    """All that a board drives at one instant, by pin name. Pins that it does not drive are absent.

    Attributes:
        lamps: brightness as it is seen, 0-255 (a lamp on a pin without PWM is 0 or 255).
        levels: share of the time that a lamp's pin is high, 0-255: the other way round for a lamp
            that is lit by a low pin.
        tones: every horn.
        servo_us: length of the pulse, us; 0 = no pulse.
        idle: the outputs are at their idle values: no host commands them.
        host_silent: they are so because the host has been silent for its time-out.
        session: number of the session in force; 0 = none.
    """

    lamps: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    levels: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    tones: Mapping[str, Tone] = field(default_factory=lambda: MappingProxyType({}))
    servo_us: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    idle: bool = True
    host_silent: bool = False
    session: int = 0

    def sounding(self, now_s: float) -> bool:
        """Whether any tone can be heard at ``now_s``."""
        return any(tone.sounding(now_s) for tone in self.tones.values())


class OutputPins:
    """The outputs of a set-up, in its order.

    Args:
        items: the set-up's output items.
        pin_names: name of each pin by its number.
        wiring: where the chips of the chains are, which keep what they are told.
        now_s: when they are put in force, at their idle values.
    """

    def __init__(
        self,
        items: Sequence[SetupItem],
        pin_names: Mapping[int, str],
        wiring: Wiring,
        now_s: float,
    ) -> None:
        self._wiring = wiring
        self._items = tuple(items)
        self._names = tuple(pin_names[item.pin] for item in items)
        self._idle_values = tuple(
            0 if item.kind == ItemKind.TONE else item.p1 for item in self._items
        )
        self._values = self._idle_values
        self._tone_since_s = [now_s] * len(self._items)
        self.idle = True
        self._latch(self._values)

    def acceptable(self, values: tuple[int, ...]) -> bool:
        """Whether every value has a meaning."""
        return all(
            item.kind != ItemKind.TONE or value <= ToneOrder.CONTINUOUS
            for item, value in zip(self._items, values, strict=True)
        )

    def drive(self, now_s: float, values: tuple[int, ...]) -> None:
        """Drive the values of a COMMAND."""
        self._set(now_s, values)
        self.idle = False

    def go_idle(self, now_s: float) -> None:
        """Drive the idle values of the set-up."""
        self._set(now_s, self._idle_values)
        self.idle = True

    def let_go(self) -> None:
        """The set-up ends: the chips of the chains are told to be dark, for they remember."""
        self._latch((0,) * len(self._items))

    def view(self, *, host_silent: bool, session: int) -> OutputView:
        """A frozen picture of what the pins do."""
        lamps: dict[str, int] = {}
        levels: dict[str, int] = {}
        tones: dict[str, Tone] = {}
        servo_us: dict[str, int] = {}
        for at, (item, name, value) in enumerate(
            zip(self._items, self._names, self._values, strict=True)
        ):
            if item.kind == ItemKind.LAMP:
                seen = value if item.flags & ItemFlag.PWM else 255 * (value > 0)
                lamps[name] = seen
                levels[name] = 255 - seen if item.flags & ItemFlag.ACTIVE_LOW else seen
            elif item.kind == ItemKind.TONE:
                on_s, off_s = item.p2 / 1000.0, item.p3 / 1000.0
                tones[name] = Tone(ToneOrder(value), self._tone_since_s[at], item.p1, on_s, off_s)
            else:
                servo_us[name] = value and min(max(value, item.p2), item.p3)
        return OutputView(
            MappingProxyType(lamps),
            MappingProxyType(levels),
            MappingProxyType(tones),
            MappingProxyType(servo_us),
            self.idle,
            host_silent,
            session,
        )

    def _set(self, now_s: float, values: tuple[int, ...]) -> None:
        # A pattern goes on while the order stays: every COMMAND repeats it.
        for at, (old, new) in enumerate(zip(self._values, values, strict=True)):
            if old != new:
                self._tone_since_s[at] = now_s
        self._values = values
        self._latch(values)

    def _latch(self, values: tuple[int, ...]) -> None:
        for item, name, value in zip(self._items, self._names, values, strict=True):
            if item.pin >= FIRST_CHAIN_PIN:
                self._wiring.latch(name, (value > 0) != bool(item.flags & ItemFlag.ACTIVE_LOW))
