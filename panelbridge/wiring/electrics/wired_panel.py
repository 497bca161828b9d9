"""Makes the ``WiredPanel`` of a panel file: chooses what the file leaves open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from panelbridge.config.electrics.keys import BOARD_SUPPLY, DriverKind
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.panel_parts.output_entries import (
    HornEntry,
    LampEntry,
    NeedleEntry,
    SolenoidEntry,
)
from panelbridge.config.panel_parts.switch_entries import LeverSwitch, WiredSwitch
from panelbridge.config.panel_wires import wired_entries
from panelbridge.config.pin_names import is_chain_bit
from panelbridge.wiring.electrics.chips import ChipLimits, chip_of
from panelbridge.wiring.electrics.circuits import (
    BulbCircuit,
    Circuit,
    CoilCircuit,
    ContactCircuit,
    LedCircuit,
    PotentiometerCircuit,
    ServoCircuit,
    SounderCircuit,
)
from panelbridge.wiring.electrics.drivers import OUTPUTS_OF_ARRAY, DriverStage
from panelbridge.wiring.electrics.leds import led_type, resistor_for, wanted_current_ma
from panelbridge.wiring.electrics.wired import (
    PartKind,
    WiredBoard,
    WiredChain,
    WiredPanel,
    WiredPart,
)

CHAIN_PULL_UP_OHM = 10_000.0
"""Of a switch at a 74HC165, whose inputs have no pull-up."""
UNKNOWN_PULL_UP_OHM = (20_000.0, 50_000.0)
SOUNDER_MA = {"piezo": 3.0, "active_buzzer": 30.0, "magnetic_buzzer": 30.0}
"""What a sounder takes when nothing is said (O-14, F-13 from memory)."""


def wired_panel(panel: PanelFile) -> WiredPanel:
    """What is wired by ``panel``, with a resistor for every LED."""
    by_board: dict[str, list[WiredPart]] = {name: [] for name in panel.boards}
    maker = _Maker(panel)
    for part in maker.parts():
        by_board[part.board].append(part)
    boards = {name: _board(name, maker, parts) for name, parts in by_board.items()}
    return WiredPanel(panel, boards, panel.electrics.supplies)


def _board(name: str, maker: _Maker, parts: list[WiredPart]) -> WiredBoard:
    entry = maker.panel.boards[name]
    at = {pin: part for part in parts for pin in part.pins.values()}
    chains = {
        chain: WiredChain(
            chain,
            its,
            {
                int(pin.partition(".")[2]): part
                for pin, part in at.items()
                if is_chain_bit(pin) and pin.startswith(f"{chain}.")
            },
        )
        for chain, its in entry.chains.items()
    }
    pins = {pin: part for pin, part in at.items() if not is_chain_bit(pin)}
    chip = maker.chips[name]
    return WiredBoard(
        name, entry, entry.hardware, chip, maker.volts(name), tuple(parts), pins, chains
    )


class _Maker:
    """Makes the parts of a panel, and gives out the outputs of transistor arrays."""

    def __init__(self, panel: PanelFile) -> None:
        self.panel = panel
        self.chips: dict[str, ChipLimits | None] = {
            name: chip_of(entry.hardware, entry.chip) for name, entry in panel.boards.items()
        }
        self._outputs: Counter[str] = Counter()

    def volts(self, board: str) -> float:
        return self.panel.boards[board].hardware.supply_v

    def parts(self) -> Iterator[WiredPart]:
        """Every part in the order of the file."""
        for (_, name), wires in groupby(wired_entries(self.panel), lambda wire: wire[0][:2]):
            (key, entry), *others = wires
            pins = {one.key: getattr(entry, one.key) for one, _ in ((key, entry), *others)}
            kind, circuit = self._circuit(entry, pins)
            legend = getattr(entry, "legend", "") or name
            yield WiredPart(kind, name, key.entry, entry.board, pins, circuit, legend)

    def _circuit(self, entry: Any, pins: dict[str, str]) -> tuple[PartKind, Circuit]:
        match entry:
            case LampEntry():
                return "lamp", self._lamp(entry)
            case HornEntry():
                return "horn", self._horn(entry)
            case NeedleEntry():
                return "gauge", self._gauge(entry)
            case SolenoidEntry():
                return "solenoid", self._coil(entry)
            case _:
                return "switch", self._switch(entry, pins)

    def _switch(self, entry: WiredSwitch, pins: dict[str, str]) -> Circuit:
        volts, chip = self.volts(entry.board), self.chips[entry.board]
        if isinstance(entry, LeverSwitch):
            return PotentiometerCircuit(pin_v=volts, supply=BOARD_SUPPLY, supply_v=volts)
        at_chain = any(is_chain_bit(pin) for pin in pins.values())
        fitted = entry.pull_up_ohm or (CHAIN_PULL_UP_OHM if at_chain else None)
        own = UNKNOWN_PULL_UP_OHM if chip is None else chip.pull_up_ohm
        return ContactCircuit(
            pin_v=volts,
            supply=BOARD_SUPPLY,
            supply_v=volts,
            pull_up_ohm=own if fitted is None else (fitted, fitted),
            internal_pull_up=fitted is None,
            series_ohm=entry.series_ohm,
            capacitor_nf=entry.capacitor_nf,
            normally_closed=getattr(entry, "normally_closed", False),
            debounce_ms=entry.debounce_ms,
        )

    def _stage(
        self, board: str, kind: DriverKind, diode: bool = True, pull_down: bool = True
    ) -> DriverStage | None:
        if kind == "none":
            return None
        if kind != "transistor_array":
            return DriverStage(kind, 0, 0, diode, pull_down)
        used = self._outputs[board]
        self._outputs[board] += 1
        chip, output = divmod(used, OUTPUTS_OF_ARRAY)
        return DriverStage(kind, chip + 1, output + 1, diode, pull_down)

    def _fed(self, board: str, name: str | None, default: str) -> tuple[str, float | None]:
        """The name of a supply, and its voltage where that is known."""
        name = default if name is None else name
        if name == BOARD_SUPPLY:
            return name, self.volts(board)
        supply = self.panel.electrics.supplies.get(name)
        return name, None if supply is None else supply.voltage_v

    def _lamp(self, lamp: LampEntry) -> Circuit:
        stage, pin_v = self._stage(lamp.board, lamp.driver), self.volts(lamp.board)
        if lamp.light == "bulb":
            fed_by = lamp.supply if stage is not None else BOARD_SUPPLY
            supply, volts = self._fed(lamp.board, fed_by, "")
            return BulbCircuit(
                pin_v=pin_v,
                driver=stage,
                supply=supply,
                supply_v=volts,
                colour=lamp.colour,
                current_ma=lamp.current_ma,
                active_low=lamp.active_low,
            )
        # Without a driver the pin itself feeds the LED, whatever stands under 'supply'.
        named = lamp.supply if stage is not None else BOARD_SUPPLY
        supply, volts = self._fed(lamp.board, named, BOARD_SUPPLY)
        electrics, drop_v = self.panel.electrics, 0.0 if stage is None else stage.type.drop_v
        led, wanted_ma = led_type(lamp, electrics), wanted_current_ma(lamp, electrics, pin_v)
        return LedCircuit(
            pin_v=pin_v,
            driver=stage,
            supply=supply,
            supply_v=volts,
            colour=lamp.colour,
            led=led,
            leds=lamp.leds,
            wanted_ma=wanted_ma,
            resistor=None
            if volts is None
            else resistor_for(lamp, electrics, led, wanted_ma, volts - drop_v),
            active_low=lamp.active_low,
        )

    def _horn(self, horn: HornEntry) -> Circuit:
        stage = self._stage(horn.board, horn.driver, horn.flyback_diode, horn.pull_down)
        named = horn.supply if stage is not None else BOARD_SUPPLY
        supply, volts = self._fed(horn.board, named, BOARD_SUPPLY)
        current_ma = horn.current_ma
        if current_ma is None and horn.coil_ohm is not None and volts is not None:
            current_ma = volts / horn.coil_ohm * 1000.0
        return SounderCircuit(
            pin_v=self.volts(horn.board),
            driver=stage,
            supply=supply,
            supply_v=volts,
            sounder=horn.sounder,
            current_ma=SOUNDER_MA[horn.sounder] if current_ma is None else current_ma,
        )

    def _gauge(self, gauge: NeedleEntry) -> Circuit:
        supply, volts = self._fed(gauge.board, gauge.supply, "")
        pin_v = self.volts(gauge.board)
        return ServoCircuit(pin_v=pin_v, supply=supply, supply_v=volts, stall_ma=gauge.stall_ma)

    def _coil(self, coil: SolenoidEntry) -> Circuit:
        stage = self._stage(coil.board, coil.driver, coil.flyback_diode, coil.pull_down)
        named = coil.supply if stage is not None else BOARD_SUPPLY
        supply, volts = self._fed(coil.board, named, "")
        return CoilCircuit(
            pin_v=self.volts(coil.board),
            driver=stage,
            supply=supply,
            supply_v=volts,
            current_ma=coil.current_ma,
            active_low=coil.active_low,
        )
