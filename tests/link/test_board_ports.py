"""The ports of a panel's boards, from ``--port`` options and the panel file."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from panelbridge.config.load import load_panel
from panelbridge.config.panel_file import PanelFile
from panelbridge.config.shipped import shipped_config
from panelbridge.errors import UsageError
from panelbridge.link.ports import board_urls
from tests.link.conftest import make_panel

GEAR_SIMULATED = "simboard://gear_panel"


def shipped_panel(name: str) -> PanelFile:
    return load_panel(shipped_config(f"panels/{name}.yaml")).panel


@pytest.mark.parametrize(
    ("ports", "url"),
    [
        (["COM5"], "COM5"),
        (["gear_panel=COM6"], "COM6"),
        (["socket://host:1?a=b"], "socket://host:1?a=b"),
        (["simboard://anything"], GEAR_SIMULATED),  # a simulated board is on its own name
        (["gear_panel=SIMBOARD://x"], GEAR_SIMULATED),
    ],
)
def test_one_board_needs_no_name(ports: list[str], url: str) -> None:
    assert board_urls(shipped_panel("demo_panel"), ports) == {"gear_panel": url}


@pytest.mark.parametrize(
    ("panel", "ports", "what"),
    [
        ("two_boards", [GEAR_SIMULATED], "does not say which board it is for"),
        ("two_boards", ["lamps=COM5"], "does not say which board it is for"),
        ("two_boards", ["gear_panel="], "does not say which board it is for"),
        ("two_boards", ["gear_panel=A", "gear_panel=B"], "two ports for the board 'gear_panel'"),
        ("two_boards", [], "no port for the boards gear_panel and "),
        ("demo_panel", [], "no port for the board gear_panel"),
        ("demo_panel", ["COM5", "COM6"], "two ports for the board 'gear_panel'"),
        ("demo_panel", ["gear_panel=COM5", "COM6"], "two ports for the board 'gear_panel'"),
        ("demo_panel", ["COM5", "COM5"], "two ports for the board 'gear_panel'"),
    ],
)
def test_ports_that_do_not_fit_the_boards(panel: str, ports: list[str], what: str) -> None:
    with pytest.raises(UsageError) as caught:
        board_urls(shipped_panel(panel), ports)
    assert what in caught.value.what
    assert caught.value.where == "--port"
    assert caught.value.hint


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("COM5", "com5"),
        ("/dev/ttyACM0", "/dev/ttyACM0"),
        ("/dev/ttyACM0", "/dev/./ttyACM0"),
        ("socket://host:1", "socket://host:1"),
    ],
)
def test_two_boards_on_one_port(first: str, second: str) -> None:
    with pytest.raises(UsageError, match="two boards on one port: 'gear_panel' and 'pedestal'"):
        board_urls(shipped_panel("two_boards"), [f"gear_panel={first}", f"pedestal={second}"])


@pytest.mark.skipif(sys.platform == "win32", reason="ports have no files")
def test_a_link_to_a_port_is_that_port(tmp_path: Path) -> None:
    link = tmp_path / "by-id"
    link.symlink_to("/dev/ttyACM0")
    with pytest.raises(UsageError, match="two boards on one port"):
        board_urls(shipped_panel("two_boards"), [f"gear_panel={link}", "pedestal=/dev/ttyACM0"])


def test_an_option_overrides_the_panel_file() -> None:
    boards = {
        "gear": {"board": "uno", "port": "COM3"},
        "pedestal": {"board": "leonardo", "port": "simboard://x"},
    }
    panel = make_panel(boards=boards)
    assert board_urls(panel, []) == {"gear": "COM3", "pedestal": "simboard://pedestal"}
    assert board_urls(panel, ["pedestal=COM4"]) == {"gear": "COM3", "pedestal": "COM4"}
