"""Serial ports by URL: opening, reading, writing, and what their failures mean."""

from panelbridge.link.ports.byte_port import IN_PROCESS_SCHEME, BytePort, is_in_process, open_port
from panelbridge.link.ports.opener import Opener, Opening, PortOpener

__all__ = ["IN_PROCESS_SCHEME", "BytePort", "Opener", "Opening"]
__all__ += ["PortOpener", "is_in_process", "open_port"]
