"""Each wiring fault is found by name, and a file that was corrected brings up clean."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from panelbridge.config.load import check_file, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.wiring.bring_up.prompts import PartState
from tests.wiring.bring_up.robot import all_of_it, copy_of, not_right

FIXED, FAULT = PartState.CORRECTED, PartState.FAULT
SHIPPED = sorted(
    path.name for path in shipped_config("panels/demo_panel.yaml").parent.glob("*.y*ml")
)

# fault, and what becomes of which part with which words; D are lines of the file afterwards
CORRECTED = [
    (
        "exchanged=lamp_test/warning_test",
        {"switch:lamp_test": "its wire is at D26", "switch:warning_test": "its wire is at D25"},
        [
            "lamp_test: { board: gear_panel, pin: D26 }",
            "warning_test: { board: gear_panel, pin: D25 }",
        ],
    ),
    (
        "contacts_exchanged=gear_handle",
        {"switch:gear_handle": "the up contact and the down contact are exchanged"},
        ["up_pin: D23", "down_pin: D22"],
    ),
    (
        "normally_closed=gear_handle",
        {"switch:gear_handle": "its contacts open when the handle arrives"},
        ["normally_closed: true"],
    ),
    (
        "normally_closed=horn_silence",
        {"switch:horn_silence": "its contact opens when it is operated"},
        ["horn_silence: { board: pedestal, pin: D2, normally_closed: true }"],
    ),
    (
        "normally_closed=antiskid",
        {"switch:antiskid": "its contact opens when it is operated"},
        ["antiskid: { board: gear_panel, pin: D30, normally_closed: true }"],
    ),
    (
        "bouncing=lamp_test",
        {"switch:lamp_test": "the debounce time does not fit: it bounces for up to 1"},
        ["lamp_test: { board: gear_panel, pin: D25, debounce_ms: "],
    ),
    (
        "exchanged=gear_handle.up/lamp_test",
        {"switch:gear_handle": "its up contact is at D25", "switch:lamp_test": "is at D22"},
        ["up_pin: D25", "lamp_test: { board: gear_panel, pin: D22 }"],
    ),
    (
        "exchanged=lamp_test/horn_silence",
        {"switch:lamp_test": "at D2 of pedestal", "switch:horn_silence": "at D25 of gear_panel"},
        ["lamp_test: { board: pedestal, pin: D2 }"],
    ),
    (
        "exchanged=parking_brake/emergency_brake",
        {"lever:parking_brake": "its wiper is at A2", "lever:emergency_brake": "is at A1"},
        [],
    ),
    ("reversed=dimmer", {"lever:dimmer": "runs the other way"}, ["counts_at_0: 12"]),
    ("noisy=parking_brake", {"lever:parking_brake": "it is noisy"}, ["noise_gate_counts: "]),
    (
        "exchanged=nose_green/left_red",
        {
            "lamp:nose_green": "D2 of gear_panel lights LEFT red",
            "lamp:left_red": "lights NOSE green",
        },
        ["nose_green: { board: gear_panel, pin: D6, legend: NOSE }"],
    ),
    (
        "exchanged=nose_green/steering_green",
        {"lamp:nose_green": "lights STEERING green", "lamp:steering_green": "lights NOSE green"},
        ["nose_green: { board: pedestal, pin: D5, legend: NOSE }"],
    ),
    (
        "inverted=speed_amber",
        {"dark:all_dark": "GEAR SPEED amber is lit while it is commanded dark"},
        ["legend: GEAR SPEED, active_low: true"],
    ),
    (
        "reversed=emergency_air",
        {"gauge:emergency_air": "the needle runs the other way"},
        ["pulse_at_0_us: 2000"],
    ),
]
AT_ONCE = [
    [
        *("exchanged=lamp_test/warning_test", "contacts_exchanged=gear_handle"),
        *("normally_closed=horn_silence", "reversed=dimmer", "exchanged=nose_green/left_red"),
        *("inverted=speed_amber", "reversed=emergency_air"),
    ],
    [
        *("normally_closed=gear_handle", "normally_closed=antiskid", "bouncing=lamp_test"),
        *("noisy=parking_brake", "exchanged=nose_green/steering_green"),
    ],
    ["exchanged=gear_handle.up/lamp_test"],
    ["exchanged=lamp_test/horn_silence", "exchanged=parking_brake/emergency_brake"],
]
"""Faults of parts that have nothing to do with each other, for a bring-up takes a while."""
LEFT_OPEN: list[tuple[str, Mapping[str, str]]] = [
    ("broken_wire=lamp_test", {"switch:lamp_test": "D25 of gear_panel reads open all the time"}),
    ("stuck=antiskid", {"switch:antiskid": "no pin moved"}),
    (
        "shorted=aux_pump/antiskid",
        {
            "switch:aux_pump": "D30 of gear_panel (antiskid) moved together with D29",
            "switch:antiskid": "D29 of gear_panel (aux pump) moved together with D30",
        },
    ),
    ("dead=left_red", {"lamp:left_red": "D6 of gear_panel lights no lamp"}),
    ("stuck=parking_brake", {"lever:parking_brake": "it does not move"}),
    ("broken_wire=dimmer", {"lever:dimmer": "it does not move"}),
]


@pytest.mark.parametrize("panel", SHIPPED)
def test_a_panel_that_is_wired_as_its_file_says_needs_no_change(panel: str, tmp_path: Path) -> None:
    path = copy_of(panel, tmp_path)
    before = path.read_bytes()
    records = all_of_it(path)
    assert len(records) > 4
    assert not not_right(records)
    assert path.read_bytes() == before


@pytest.mark.parametrize("faults", AT_ONCE)
def test_what_the_file_can_mend_is_found_written_and_then_right(
    faults: Sequence[str], tmp_path: Path
) -> None:
    rows = [row for row in CORRECTED if row[0] in faults]
    found = {key: words for _, parts, _ in rows for key, words in parts.items()}
    path = copy_of("two_boards.yaml", tmp_path)
    wired = load_panel(path)
    comments = _comments(path)
    records = all_of_it(path, wired_as=wired, faults=faults)
    for key, words in found.items():
        assert words in " ".join(records[key].findings)
        assert records[key].state is FIXED
    assert set(not_right(records).values()) == {FIXED}
    text = path.read_text("utf-8")
    assert [line for _, _, lines in rows for line in lines if line not in text] == []
    assert _comments(path) == comments
    check_file(path)
    again = all_of_it(path, wired_as=wired, faults=faults, seed=1)
    assert not not_right(again)


def test_every_fault_is_among_those_at_once() -> None:
    assert sorted(fault for faults in AT_ONCE for fault in faults) == sorted(
        fault for fault, _, _ in CORRECTED
    )


@pytest.mark.parametrize(("fault", "found"), LEFT_OPEN, ids=[row[0] for row in LEFT_OPEN])
def test_what_no_file_can_mend_is_left_open(
    fault: str, found: Mapping[str, str], tmp_path: Path
) -> None:
    path = copy_of("two_boards.yaml", tmp_path)
    before = path.read_bytes()
    records = all_of_it(path, faults=[fault])
    for key, words in found.items():
        assert words in " ".join(records[key].findings)
    assert not_right(records) == dict.fromkeys(found, FAULT)
    assert path.read_bytes() == before


@pytest.mark.thorough
def test_many_faults_at_once(tmp_path: Path) -> None:
    """Two swapped wires, an exchanged handle, a dead lamp and a noisy lever in one panel."""
    path = copy_of("demo_panel.yaml", tmp_path)
    wired = load_panel(path)
    faults = ["exchanged=lamp_test/horn_silence", "contacts_exchanged=gear_handle"]
    faults += ["dead=nose_red", "noisy=left_brake"]
    records = all_of_it(path, wired_as=wired, faults=faults)
    assert not_right(records) == {
        "switch:gear_handle": FIXED,
        "switch:lamp_test": FIXED,
        "switch:horn_silence": FIXED,
        "lever:left_brake": FIXED,
        "lamp:nose_red": FAULT,
    }
    again = all_of_it(path, wired_as=wired, faults=faults, seed=7)
    assert not_right(again) == {"lamp:nose_red": FAULT}


def _comments(path: Path) -> list[str]:
    return [line.partition("#")[2] for line in path.read_text("utf-8").splitlines() if "#" in line]
