"""The README's picture of a wiring sheet is what the program draws.

Made again with ``panelbridge wiring configs/panels/first_lamp.yaml --format svg --output
tests/pictures``.
"""

from __future__ import annotations

from pathlib import Path

from panelbridge.wiring.sheet.board_sheet import sheet_files
from tests.wiring.sheet.panels import SHIPPED, shipped

PICTURES = Path(__file__).parents[2] / "pictures"


def test_the_picture_is_what_the_program_draws() -> None:
    panel = next(path for path in SHIPPED if path.stem == "first_lamp")
    drawn = {f"first_lamp_{name}.svg": svg for name, svg in sheet_files(shipped(panel))}
    assert list(drawn) == ["first_lamp_main.svg"]
    for name, svg in drawn.items():
        assert (PICTURES / name).read_text("utf-8") == svg
