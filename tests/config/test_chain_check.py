"""What cannot be told by a file of ``bad/``: how much a board takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelbridge.config.boards import BOARDS
from panelbridge.config.chain_check import MOST_CHIPS
from panelbridge.config.cross_check import check_wiring
from panelbridge.config.panel_parts.board_entry import BoardEntry, ChainEntry
from panelbridge.config.yaml_source import read_yaml
from panelbridge.link.wire import BITS_OF_CHIP, MAX_CHAIN_CHIPS, MAX_CHAINS, MAX_ITEMS


def said(folder: Path, lamps: int, chips: int = 8, kind: str = "uno") -> list[tuple[str, str]]:
    """All problems of a panel with a handle and so many lamps on a chain."""
    text = f"""
boards:
  main:
    board: {kind}
    chains:
      lights: {{ form: outputs, chips: {chips}, data_pin: D4, clock_pin: D5, latch_pin: D6 }}
switches:
  gear_handle: {{ form: two_contact, board: main, up_pin: D2, down_pin: D3 }}
lamps:
""" + "".join(f"  lamp_{n}: {{ board: main, pin: lights.{n} }}\n" for n in range(lamps))
    path = folder / "panel.yaml"
    path.write_text(text, "utf-8")
    return [(problem.what, problem.hint) for problem in check_wiring(read_yaml(path))]


def test_a_board_takes_so_many_things_and_no_more(tmp_path: Path) -> None:
    # two contacts and the chain itself count too
    assert said(tmp_path, 29) == []
    assert said(tmp_path, 30) == [
        (
            "33 things are wired to board 'main', and a board of kind uno takes 32",
            "Move some of its switches or lamps to another board",
        )
    ]
    assert said(tmp_path, 64, kind="mega2560") == []


@pytest.mark.parametrize(("chips", "lamps"), [(1, 8), (2, 16), (3, 24)])
def test_the_last_bit_of_a_chain(tmp_path: Path, chips: int, lamps: int) -> None:
    assert said(tmp_path, lamps, chips) == []
    one = "1 chip" if chips == 1 else f"{chips} chips"
    assert said(tmp_path, lamps + 1, chips)[0][0] == f"chain 'lights' has {one} and no bit {lamps}"


def test_limits_are_those_of_the_protocol() -> None:
    assert MOST_CHIPS == MAX_CHAIN_CHIPS
    assert BITS_OF_CHIP == 8
    chips = next(m.le for m in ChainEntry.model_fields["chips"].metadata if hasattr(m, "le"))
    assert chips == MAX_CHAIN_CHIPS
    most = BoardEntry.model_fields["chains"].metadata[0].max_length
    assert most == MAX_CHAINS
    assert max(board.items for board in BOARDS.values()) == MAX_ITEMS


def test_what_hangs_at_another_board_does_not_count(tmp_path: Path) -> None:
    lamps = "".join(f"  lamp_{n}: {{ board: other, pin: D{22 + n} }}\n" for n in range(31))
    path = tmp_path / "panel.yaml"
    path.write_text(
        "boards:\n  main: { board: uno }\n  other: { board: mega2560 }\n"
        "switches:\n  gear_handle: { form: two_contact, board: main, up_pin: D2, down_pin: D3 }\n"
        f"lamps:\n{lamps}",
        "utf-8",
    )
    assert check_wiring(read_yaml(path)) == []
