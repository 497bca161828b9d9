"""F-11, O-8, O-11: what a USB port gives, and what a wire loses.

F-11 and O-8: USB 2.0, 7.2.1, *from memory, not read*. O-11: resistance of copper wire by gauge
(hyperphysics.phy-astr.gsu.edu/hbase/tables/wirega.html; 28 AWG: wp.1728.org); 0.3 V is *common
practice, no source*.
"""

from __future__ import annotations

import pytest

from panelbridge.wiring.electrics.budget import BOARD_OWN_MA, HUB_PORT_MA, USB_PORT_MA
from panelbridge.wiring.electrics.findings.sums import OHM_PER_KM, lost_v, pair_ohm
from tests.wiring.electrics.panels import board, lamps, line, problems


def fed(ma: float, more: str = "") -> str:
    """A board with lamps that take ``ma`` from its 5V pin and next to nothing from its pins."""
    return board("uno", more) + lamps(
        {"D3": ma / 2, "D5": ma / 2}, ", driver: mosfet, supply: board"
    )


def usb(text: str) -> list[str]:
    return [p.what for p in problems(text) if "port of" in p.what and not p.is_warning]


def test_f_11_fifty_and_460_are_too_much() -> None:
    assert BOARD_OWN_MA == 50
    assert USB_PORT_MA == 500
    assert line(fed(460), "the USB port").current.worst_ma == pytest.approx(
        50 + 460 + 2 * 5000 / 10_220  # and into the gates of two MOSFETs
    )
    assert len(usb(fed(460))) == 1
    assert usb(fed(440)) == []
    assert usb(fed(460, ", powered_by: own_supply")) == []


def test_o_8_a_hub_without_a_supply() -> None:
    assert HUB_PORT_MA == 100
    assert len(usb(fed(460, ", powered_by: bus_powered_hub"))) == 1
    assert len(usb(fed(60, ", powered_by: bus_powered_hub"))) == 1
    assert usb(fed(40, ", powered_by: bus_powered_hub")) == []


def test_o_8_several_boards_are_added_up_at_a_hub() -> None:
    boards = "".join(
        f"  b{number}: {{ board: uno, powered_by: bus_powered_hub }}\n" for number in range(5)
    )
    entries = "".join(
        f"  l{number}_red: {{ board: b{number}, pin: D3, light: bulb, current_ma: 35 }}\n"
        for number in range(5)
    )
    found = [p for p in problems(f"boards:\n{boards}lamps:\n{entries}") if "the hub" in p.what]
    assert [p.what.partition(":")[0] for p in found] == ["all boards at the hub"]
    four = "".join(boards.splitlines(keepends=True)[:4])
    lamps_of_four = "".join(entries.splitlines(keepends=True)[:4])
    assert not [
        p for p in problems(f"boards:\n{four}lamps:\n{lamps_of_four}") if "the hub" in p.what
    ]


def test_o_11_ohm_per_kilometre() -> None:
    assert (OHM_PER_KM[22], OHM_PER_KM[24], OHM_PER_KM[28]) == (52.7, 84.2, 212.9)


def test_o_11_a_pair_of_3_m() -> None:
    assert pair_ohm(3.0, 24) == pytest.approx(0.505, abs=0.0005)
    assert lost_v(3.0, 24, 460) == pytest.approx(0.23, abs=0.005)
    assert lost_v(3.0, 24, 1000) == pytest.approx(0.51, abs=0.006)
    assert lost_v(3.0, 28, 460) == pytest.approx(0.59, abs=0.005)


@pytest.mark.parametrize(
    ("gauge", "ma", "good"), [(24, 460, True), (24, 1000, False), (28, 460, False)]
)
def test_o_11_more_than_0_3_v_on_a_shared_return_is_a_warning(
    gauge: int, ma: int, good: bool
) -> None:
    keys = f", powered_by: own_supply, ground_wire_m: 3, ground_wire_awg: {gauge}"
    found = [p for p in problems(fed(ma, keys)) if " V on " in p.what]
    assert [p.is_warning for p in found] == ([] if good else [True])
