"""Who may speak to the browsers' server: right host, right origin, right token.

Any web page can make a browser send requests to this computer, and a name that its owner points at
this computer makes them look as if they came from here. So the host must be an address or the name
that the server was given, the origin of a connection must be this server, and every request
carries the token: as a cookie, after the address with the token was opened once.
"""

from __future__ import annotations

import hmac
import ipaddress
from collections.abc import Mapping
from enum import StrEnum
from urllib.parse import urlsplit

from msgspec import Struct


class RequestVerdict(StrEnum):
    """What becomes of a request."""

    SERVE = "serve"
    GREET = "greet"
    """It brings the token in its address: give it the cookie, and send it on."""
    REFUSE_HOST = "this server is not known under that name"
    REFUSE_ORIGIN = "this request comes from a page of another server"
    REFUSE_TOKEN = "open the address that 'panelbridge web' printed: it has the token"


class RequestGuard(Struct, frozen=True):
    """Judges requests.

    Attributes:
        token: that the browser must bring.
        name: under which the server is known, beside its addresses and ``localhost``.
        cookie: name of the cookie.
    """

    token: str
    name: str
    cookie: str

    def judge(
        self,
        headers: Mapping[str, str],
        query: Mapping[str, str],
        cookies: Mapping[str, str],
        *,
        is_connection: bool,
    ) -> RequestVerdict:
        """What becomes of a request.

        Args:
            headers: its headers, whatever their case.
            query: of its address.
            cookies: that it brings.
            is_connection: it opens a connection, which a page cannot do without an origin.
        """
        host = headers.get("Host", "")
        if not self._is_host(host):
            return RequestVerdict.REFUSE_HOST
        origin = headers.get("Origin")
        if origin is None:
            if is_connection:
                return RequestVerdict.REFUSE_ORIGIN
        elif origin != f"http://{host}":
            return RequestVerdict.REFUSE_ORIGIN
        if self._is_token(cookies.get(self.cookie, "")):
            return RequestVerdict.SERVE
        if not is_connection and self._is_token(query.get("token", "")):
            return RequestVerdict.GREET
        return RequestVerdict.REFUSE_TOKEN

    def _is_host(self, host: str) -> bool:
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        if name in ("localhost", self.name.lower()):
            return True
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return True

    def _is_token(self, given: str) -> bool:
        return hmac.compare_digest(given.encode("utf-8", "replace"), self.token.encode())
