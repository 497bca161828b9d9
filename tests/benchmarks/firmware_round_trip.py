"""From a pin to a lamp through the real ``panelbridge run``, against what the wire alone takes.

``python -m tests.benchmarks.firmware_round_trip`` runs a board's own program in real time on a
pseudo-terminal. The contact of the lamp test closes (and is reported first, so no debounce time is
in the figure); measured is, on the board's clock, when the lamp's pin follows. A figure, never
judged. The simulator looks at its port each 100 us, and knows neither USB-serial chips nor their
delays.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from panelbridge.config.boards import BoardKind
from panelbridge.config.load import load_panel
from panelbridge.link.session import SetupPlan
from tests.firmware.live import LiveBoard

ROOT = Path(__file__).parents[2]
TEST_PIN, LAMP_PIN = 5, 7
FIRST_LAMP = ROOT / "configs" / "panels" / "first_lamp.yaml"
LAMP_TEST = f"""
  lamp_test:
    form: contact
    board: main
    pin: D{TEST_PIN}
    debounce_ms: 5
    debounce_mode: report_first
"""
RED = f"""
  nose_red: {{ board: main, pin: D{LAMP_PIN}, colour: red }}
"""
BYTE_MS = 0.04
"""Ten bits at 250000 bit/s."""


def panel_file(kind: BoardKind, folder: Path) -> Path:
    """The smallest panel that comes with the program, with a lamp test and a lamp for it."""
    text = FIRST_LAMP.read_text(encoding="utf-8")
    for old, new in (
        ("board: uno", f"board: {kind}"),
        ("../aircraft", f"{ROOT}/configs/aircraft"),
        ("switches:\n", f"switches:{LAMP_TEST}"),
        ("lamps:\n", f"lamps:{RED}"),
        ("  - lamp_test\n", ""),
        ("  - nose_red\n", ""),
    ):
        assert old in text, old
        text = text.replace(old, new)
    path = folder / "panel.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def wire_ms(panel: Path) -> float:
    """What the REPORT with one edge and its COMMAND take on the wire."""
    shape = SetupPlan.of(load_panel(panel).panel, "main").shape
    frame = 2 + 1 + 1  # CRC, COBS, the zero
    report = shape.longest_report - 16 + 1 + frame
    return BYTE_MS * (report + shape.command_length + frame)


def measure(kind: BoardKind, rounds: int) -> tuple[list[float], float]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        panel = panel_file(kind, folder)
        board = LiveBoard(kind, folder / "port")
        board.set_contact(2, True)
        host = subprocess.Popen(
            [sys.executable, "-m", "panelbridge", "run", panel, "--port", board.link, "--headless"],
            stdout=subprocess.DEVNULL,
        )
        try:
            board.wait_for_pin(LAMP_PIN, "0")
            times = []
            for number in range(2 * rounds + 4):
                pressed = number % 2 == 0
                at_us = board.set_contact(TEST_PIN, pressed)
                lit_us = board.wait_for_pin(LAMP_PIN, "1" if pressed else "0")
                if lit_us and number >= 4:
                    times.append((lit_us - at_us) / 1000)
                board.rest(0.03 + 0.0007 * (number % 13))
            return times, wire_ms(panel)
        finally:
            host.terminate()
            host.wait(20)
            board.close()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=200)
    options = parser.parse_args()
    print(f"{'pin to lamp through the host':<30} {'p50 ms':>7} {'p99 ms':>7} {'wire ms':>8}")
    kinds: tuple[BoardKind, ...] = ("uno", "mega2560", "leonardo")
    for kind in kinds:
        times, wire = measure(kind, options.rounds)
        p50, p99 = statistics.median(times), statistics.quantiles(times, n=100)[98]
        shown = f"{wire:>8.2f}" if kind != "leonardo" else f"{'USB':>8}"
        print(f"{kind:<30} {p50:>7.2f} {p99:>7.2f} {shown}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
