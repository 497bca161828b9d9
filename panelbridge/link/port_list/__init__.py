"""The serial ports of this computer: listed without opening one, and asked one by one.

``panel_ports`` finds what panel files say of ports, ``listing`` what the system says of them,
``asking`` opens those that are named and reports what answers.
"""

from panelbridge.link.port_list.asking import Answer, ask_ports
from panelbridge.link.port_list.listing import FoundPort, found_ports, list_lines
from panelbridge.link.port_list.panel_ports import WiredBoard, boards_in

__all__ = ["Answer", "FoundPort", "WiredBoard"]
__all__ += ["ask_ports", "boards_in", "found_ports", "list_lines"]
