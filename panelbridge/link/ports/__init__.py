"""Serial ports by URL: opening, reading, writing, and what their failures mean."""

from panelbridge.link.ports.board_ports import board_urls
from panelbridge.link.ports.byte_port import IN_PROCESS_SCHEME, BytePort, is_in_process, open_port
from panelbridge.link.ports.opener import Opener, Opening, PortOpener
from panelbridge.link.ports.port_watch import PortWatch

__all__ = ["IN_PROCESS_SCHEME", "BytePort", "Opener", "Opening", "PortOpener", "PortWatch"]
__all__ += ["board_urls", "is_in_process", "open_port"]
