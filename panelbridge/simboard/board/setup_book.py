"""The set-up on the board: checked item by item, active after a commit."""

from __future__ import annotations

from collections.abc import Callable

from panelbridge.config.boards import LAMP_PULSE_HZ, SERVO_PULSE_HZ, Board, Pin
from panelbridge.link.wire import (
    FIRST_CHAIN_PIN,
    ItemFlag,
    ItemKind,
    SetupBegin,
    SetupItem,
    SetupShape,
    SetupStatus,
)
from panelbridge.link.wire.constants import MAX_ITEMS, MAX_TONES_HZ
from panelbridge.link.wire.frames import MAX_MESSAGE, crc16
from panelbridge.simboard.board.chains import bit_can, chain_bits, judge_chain, pins_of

_LONGEST = MAX_MESSAGE - 2  # without its CRC
_LONGEST_DEBOUNCE_MS = 500
_LOWEST_HZ, _HIGHEST_HZ = 31, 10_000
_LONGEST_PULSE_US = 10_000
_MAX_CONTACTS = 128  # an edge has seven bits for its contact
_KNOWN_FLAGS = {
    ItemKind.CONTACT: ItemFlag.PULL_UP | ItemFlag.ACTIVE_LOW | ItemFlag.HOLD_AFTER_EDGE,
    ItemKind.ANALOGUE: ItemFlag.NONE,
    ItemKind.LAMP: ItemFlag.ACTIVE_LOW | ItemFlag.PWM,
    ItemKind.TONE: ItemFlag.NONE,
    ItemKind.SERVO: ItemFlag.NONE,
}
_VALUES_FIT: dict[ItemKind, Callable[[int, int, int, int], bool]] = {
    ItemKind.CONTACT: lambda p1, p2, p3, _: 1 <= p1 <= _LONGEST_DEBOUNCE_MS and p2 == p3 == 0,
    ItemKind.ANALOGUE: lambda p1, p2, p3, counts: p1 <= counts and p2 == p3 == 0,
    ItemKind.LAMP: lambda p1, p2, p3, _: p1 <= 255 and p2 == p3 == 0,
    ItemKind.TONE: lambda p1, p2, p3, _: _LOWEST_HZ <= p1 <= _HIGHEST_HZ and p2 > 0 and p3 > 0,
    ItemKind.SERVO: lambda p1, p2, p3, _: (
        0 < p2 <= p3 <= _LONGEST_PULSE_US and (p1 == 0 or p2 <= p1 <= p3)
    ),
}
"""Whether an item's p1, p2 and p3 are in range; the last argument is the board's largest count."""
_KNOWN_KINDS = (*_KNOWN_FLAGS, ItemKind.CHAIN_IN, ItemKind.CHAIN_OUT)


class SetupBook:
    """The set-up that is being sent, or the active one.

    Args:
        board: the kind of board, with what its pins can do.

    Attributes:
        session: number of the SETUP_BEGIN that is kept; 0 when there is none.
        items: the items taken so far.
        shape: lengths of the messages of the active set-up.
        host_timeout_s: of the set-up that is being sent or active, s.
        report_interval_s: likewise, s.
    """

    def __init__(self, board: Board) -> None:
        self._board = board
        self._pins = {pin.number: pin for pin in board.pins.values() if not pin.reserved}
        self.max_items = board.items
        self.forget()

    def forget(self) -> None:
        """Delete the set-up."""
        self.session = 0
        self.items: list[SetupItem] = []
        self.shape = SetupShape(0, 0, ())
        self.host_timeout_s = self.report_interval_s = 0.0
        self._begun: SetupBegin | None = None
        self._body = b""

    @property
    def checksum(self) -> int:
        """CRC-16 over the items accepted so far."""
        return crc16(self._body)

    def begin(self, message: SetupBegin) -> SetupStatus:
        """Delete the old set-up and begin a new one."""
        self.forget()
        if message.session == 0 or message.host_timeout_ms == 0 or message.report_interval_ms == 0:
            return SetupStatus.BAD_VALUE
        if message.item_count > self.max_items:
            return SetupStatus.TOO_MANY_ITEMS
        self.session = message.session
        self.host_timeout_s = message.host_timeout_ms / 1000.0
        self.report_interval_s = message.report_interval_ms / 1000.0
        self._begun = message
        return SetupStatus.OK

    def take(self, item: SetupItem) -> SetupStatus:
        """Check and store the next item; an exact repeat of the last one is accepted."""
        if self._begun is None:
            return SetupStatus.BAD_ORDER
        if self.items and item == self.items[-1]:
            return SetupStatus.OK
        if item.index != len(self.items) or item.index >= self._begun.item_count:
            return SetupStatus.BAD_ORDER
        status = self._judge(item)
        if status is SetupStatus.OK:
            self.items.append(item)
            self._body += item.body()
        return status

    def commit(self, checksum: int) -> SetupStatus:
        """Activate the items if they are complete and the checksums of both sides agree.

        A refused commit changes nothing; a repeated one of the active set-up is answered OK.
        """
        if self._begun is None or len(self.items) != self._begun.item_count:
            return SetupStatus.BAD_ORDER
        if not checksum == self._begun.checksum == self.checksum:
            return SetupStatus.BAD_CHECKSUM
        self.shape = SetupShape.of(tuple(self.items))
        return SetupStatus.OK

    def _judge(self, item: SetupItem) -> SetupStatus:  # noqa: PLR0911 - a status a rule
        if item.kind not in _KNOWN_KINDS:
            return SetupStatus.UNKNOWN_KIND
        bits = chain_bits(self.items)
        wanted = pins_of(item)
        if not all(number in bits or number in self._pins for number in wanted):
            return SetupStatus.NO_SUCH_PIN
        used = [number for other in self.items for number in pins_of(other)]
        if len({*used, *wanted}) < len(used) + len(wanted):
            return SetupStatus.PIN_IN_USE
        if item.is_chain:
            if any(number >= FIRST_CHAIN_PIN for number in wanted):
                return SetupStatus.PIN_CANNOT
            return judge_chain(item, self.items, self._pins)
        kind = ItemKind(item.kind)
        if item.pin in bits:
            able = bit_can(bits[item.pin], item)
        else:
            able = _pin_can(self._pins[item.pin], kind, item.flags) and not self._clashes(item)
        if not able:
            return SetupStatus.PIN_CANNOT
        fit = _VALUES_FIT[kind](item.p1, item.p2, item.p3, self._board.counts)
        if item.flags & ~int(_KNOWN_FLAGS[kind]) or not fit:
            return SetupStatus.BAD_VALUE
        return self._judge_room(item)

    def _judge_room(self, item: SetupItem) -> SetupStatus:
        """Whether it fits beside the earlier items."""
        room = {int(ItemKind.TONE): self._board.tones, int(ItemKind.SERVO): self._board.servos}
        if sum(each.kind == item.kind for each in self.items) >= room.get(item.kind, MAX_ITEMS):
            return SetupStatus.TOO_MANY_ITEMS
        if self._too_fast(item):
            return SetupStatus.BAD_VALUE
        shape = SetupShape.of((*self.items, item))
        if max(shape.command_length, shape.longest_report) > _LONGEST:
            return SetupStatus.REPORT_TOO_LONG
        if shape.contacts > _MAX_CONTACTS:
            return SetupStatus.TOO_MANY_ITEMS
        return SetupStatus.OK

    def _too_fast(self, item: SetupItem) -> bool:
        """Whether the chip, which makes tones in interrupts, would have too many of them."""
        hz = [each.p1 for each in (*self.items, item) if each.kind == ItemKind.TONE]
        return len(hz) > 1 and sum(hz) > MAX_TONES_HZ and not self._board.pairs_pulses

    def _clashes(self, item: SetupItem) -> bool:
        """Whether its pulses conflict with those of an earlier item."""
        hz = _pulse_hz(item)
        return hz > 0 and any(
            self._board.pulses_clash(self._pins[item.pin], hz, self._pins[other.pin], other_hz)
            for other in self.items
            if other.pin < FIRST_CHAIN_PIN and (other_hz := _pulse_hz(other))
        )


def _pin_can(pin: Pin, kind: ItemKind, flags: int) -> bool:
    if kind is ItemKind.ANALOGUE:
        return pin.analogue
    return pin.digital and not (kind is ItemKind.LAMP and flags & ItemFlag.PWM and not pin.pwm)


def _pulse_hz(item: SetupItem) -> int:
    """Frequency of the pulses that an item needs, Hz; 0 = none."""
    if item.kind == ItemKind.TONE:
        return item.p1
    if item.kind == ItemKind.SERVO:
        return SERVO_PULSE_HZ
    return LAMP_PULSE_HZ if item.kind == ItemKind.LAMP and item.flags & ItemFlag.PWM else 0
