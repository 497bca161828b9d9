"""Addresses in a feed file: what may stand there, and who may reach them."""

from __future__ import annotations

import ipaddress
from typing import Annotated

from pydantic import AfterValidator, Field

LOOPBACK = "127.0.0.1"


def is_loopback(host: str) -> bool:
    """Whether only programs of this computer reach ``host``."""
    if host.casefold() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _checked_host(host: str) -> str:
    scheme, found, _ = host.partition("://")
    if found:
        raise ValueError(f"the host must be a name or an address alone, without {scheme}://")
    if any(c.isspace() or not c.isprintable() or c in "/\\@[]" for c in host):
        raise ValueError("the host must be a name or an address, such as 192.168.1.20")
    if host.count(":") == 1:
        raise ValueError(
            "the host must be a name or an address alone: write the port as 'port: ...'"
        )
    return host


def _checked_address(address: str) -> str:
    try:
        ipaddress.ip_address(address)
    except ValueError:
        hint = "such as 127.0.0.1 or 192.168.1.20, without a port"
        raise ValueError(f"this must be an address in numbers, {hint}") from None
    return address


Host = Annotated[str, Field(min_length=1, max_length=253), AfterValidator(_checked_host)]
"""A computer by name or address."""
Address = Annotated[str, Field(min_length=2, max_length=45), AfterValidator(_checked_address)]
"""An IPv4 or IPv6 address in numbers."""
Port = Annotated[int, Field(ge=1, le=65_535)]
"""A UDP or TCP port."""
