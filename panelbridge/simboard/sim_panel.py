"""A whole panel in software: the boards of a panel file, and hands that move its switches."""

from __future__ import annotations

import random
from collections.abc import Mapping
from functools import partial
from typing import Self

from panelbridge.clock import Clock
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_wires import WireKey, wires_of
from panelbridge.config.pin_names import is_chain_bit
from panelbridge.errors import UsageError
from panelbridge.logic.switches import Declared
from panelbridge.logic.systems import SWITCHES
from panelbridge.simboard import registry
from panelbridge.simboard.board.outputs import Tone
from panelbridge.simboard.board.sim_board import SimBoard
from panelbridge.simboard.contacts.contact import Burst, bouncing, clean, rattling
from panelbridge.simboard.contacts.hands import Hand, SwitchFault
from panelbridge.simboard.contacts.wired_hands import HAND_TRAVEL_S
from panelbridge.simboard.switch_hand import switch_hand


class SimPanel:
    """The boards of a panel file and everything wired to them. Safe to use from several threads.

    It starts with the handle down, every button released, every toggle off, brakes released, the
    tiller in the middle and the dimmer at 1. A lever with one contact is moved to 0 or 1.

    Args:
        panel: what is wired where.
        now_s: when it is switched on.
        seed: of bounces, noise and boot ids.
        bounce: contacts bounce as real ones do.
        noise_counts: largest deviation of an analogue reading either way, counts.
        travel_s: how long the gear handle is between its contacts, s.
        declared: the switches of the aircraft, for words and rests.

    Attributes:
        boards: the boards, by name.
        dead_lamps: names of lamps that never light.
    """

    def __init__(
        self,
        panel: PanelFile,
        *,
        now_s: float = 0.0,
        seed: int = 0,
        bounce: bool = True,
        noise_counts: int = 0,
        travel_s: float = HAND_TRAVEL_S,
        declared: Declared = SWITCHES,
    ) -> None:
        self.panel = panel
        rng = self._rng = random.Random(seed)
        self.boards: Mapping[str, SimBoard] = {
            name: SimBoard(
                entry.hardware,
                boot_id=rng.randrange(65536),
                now_s=now_s,
                noise_counts=noise_counts,
                seed=rng.randrange(1 << 30),
            )
            for name, entry in panel.boards.items()
        }
        self._burst: Burst = partial(bouncing, rng) if bounce else clean
        self._hands: dict[str, Hand] = {
            name: switch_hand(
                name,
                wired,
                self.boards[wired.board],
                partial(self._at, wired.board),
                now_s,
                travel_s=travel_s,
                burst=self._burst,
                declared=declared,
            )
            for name, wired in panel.wired_switches.items()
        }
        self._registered: list[str] = []
        self.dead_lamps: set[str] = set()

    @property
    def choices(self) -> Mapping[str, tuple[str, ...]]:
        """Every switch with its positions; a lever has none, it goes from 0 to 1."""
        return {name: hand.positions for name, hand in self._hands.items()}

    def positions(self, now_s: float) -> Mapping[str, str | float]:
        """The position of every switch: a name, or a lever's fraction."""
        return {name: hand.position(now_s) for name, hand in self._hands.items()}

    def move(self, now_s: float, switch: str, position: str | float) -> None:
        """Move a switch. Raises: UsageError: no such switch, or no such position."""
        self._known(switch).move(now_s, position)

    def break_switch(self, now_s: float, switch: str, fault: SwitchFault) -> None:
        """Break a switch, or repair it (``SwitchFault.NONE``). Raises: UsageError."""
        self._known(switch).break_down(now_s, fault)

    def let_bounce(self, switch: str, burst_s: float | None) -> None:
        """Let the contacts of a switch bounce for this time, s; None: as they did at first.

        Raises: UsageError: no such switch.
        """
        hand = self._known(switch)
        if burst_s is None:
            hand.burst = self._burst
        else:
            hand.burst = partial(rattling, self._rng, burst_s, burst_s / 16)

    def faults(self) -> Mapping[str, SwitchFault]:
        """The fault of each switch."""
        return {name: hand.fault for name, hand in self._hands.items()}

    @property
    def next_due_s(self) -> float:
        """Time of the next action without input on a board or at a switch, s."""
        return min(board.next_due_s for board in self.boards.values())

    def advance(self, now_s: float) -> None:
        """Do everything due on all boards. A board behind a port also advances by itself."""
        for board in self.boards.values():
            board.advance(now_s)

    def lamps(self) -> Mapping[str, int]:
        """Brightness of each lamp of the panel file as its board drives it, 0-255."""
        views = {name: board.outputs for name, board in self.boards.items()}
        return {
            name: views[lamp.board].lamps.get(self._at(lamp.board, lamp.pin), 0)
            for name, lamp in self.panel.lamps.items()
        }

    def lit(self) -> Mapping[str, int]:
        """Brightness of each lamp as a person sees it, 0-255: by the level of its pin.

        The pin may be set up for another lamp, or for none: then nothing drives it.
        """
        return {name: self._light_of(name) for name in self.panel.lamps}

    def _light_of(self, name: str) -> int:
        lamp = self.panel.lamps[name]
        board, pin = self.boards[lamp.board], self._at(lamp.board, lamp.pin)
        if name in self.dead_lamps:
            return 0
        if pin != lamp.pin:
            return 255 if board.chain_bit_high(pin) != lamp.active_low else 0
        level = board.outputs.levels.get(pin)
        if level is None:
            return 0
        return 255 - level if lamp.active_low else level

    def needles(self) -> Mapping[str, float | None]:
        """Where each gauge's needle stands, 0 to 1 of its scale; None = no pulse moves it."""
        found: dict[str, float | None] = {}
        for name, us in self.gauges_us().items():
            entry = getattr(self.panel.gauges, name)
            travel_us = entry.pulse_at_1_us - entry.pulse_at_0_us
            found[name] = (us - entry.pulse_at_0_us) / travel_us if us else None
        return found

    def join_wires(self, now_s: float, one: WireKey, other: WireKey) -> None:
        """Let the wires of two contacts touch.

        Raises: UsageError: they are on two boards.
        """
        wires = wires_of(self.panel)
        first, second = wires[one], wires[other]
        if first.board != second.board:
            raise UsageError(f"the wires of {one.name} and {other.name} are on two boards")
        pins = (self._at(*first), self._at(*second))
        self.boards[first.board].join_pins(now_s, *pins)

    def solenoids(self) -> Mapping[str, bool]:
        """Whether each solenoid of the panel file is energised."""
        return {
            name: self.boards[entry.board].outputs.lamps.get(entry.pin, 0) > 0
            for name, entry in self.panel.solenoids
            if entry is not None
        }

    def horn(self) -> Tone | None:
        """The horn's tone; None without a horn, or while its pin is not driven."""
        horn = self.panel.horn
        return self.boards[horn.board].outputs.tones.get(horn.pin) if horn else None

    def gauges_us(self) -> Mapping[str, int]:
        """Pulse at each gauge's servo, us; 0 = none."""
        return {
            name: self.boards[gauge.board].outputs.servo_us.get(gauge.pin, 0)
            for name, gauge in self.panel.gauges
            if gauge is not None
        }

    def register(self, clock: Clock) -> dict[str, str]:
        """Make every board reachable as a port until ``unregister``, on the time of ``clock``.

        Returns:
            The URL of each board's port, by board name.

        Raises:
            LogicError: a simulated board of this name is registered.
        """
        urls = {}
        for name, board in self.boards.items():
            urls[name] = registry.register(name, board, clock).url
            self._registered.append(name)
        return urls

    def unregister(self) -> None:
        """Make the boards unreachable again."""
        while self._registered:
            registry.unregister(self._registered.pop())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc_info: object) -> None:
        self.unregister()

    def _known(self, switch: str) -> Hand:
        if switch not in self._hands:
            raise UsageError(
                f"this panel has no switch {switch!r}",
                hint="it has " + (", ".join(self._hands) or "none"),
            )
        return self._hands[switch]

    def _at(self, board: str, pin: str) -> str:
        """Name of a pin on the simulated board; a chain's bit is named by its data pin."""
        if not is_chain_bit(pin):
            return pin
        chain, _, bit = pin.partition(".")
        return f"{self.panel.boards[board].chains[chain].data_pin}.{bit}"
