"""What is wired, electrically: circuits, resistors, currents and data sheet limits.

``wired_panel(panel)`` makes a ``WiredPanel`` of a panel file: every board, pin and chain bit with
its part, circuit, resistor and current.
"""

from panelbridge.wiring.electrics.wired import WiredBoard, WiredChain, WiredPanel, WiredPart
from panelbridge.wiring.electrics.wired_panel import wired_panel

__all__ = ["WiredBoard", "WiredChain", "WiredPanel", "WiredPart", "wired_panel"]
