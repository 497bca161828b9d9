"""How a viewer and a publisher show each other that they know the run's token.

The token itself never travels: each proves it by a keyed hash over two random numbers, one of its
own and one of the other's, so that neither a listener nor a program that took the port learns it.
What follows is not encrypted.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
from typing import Any

from panelbridge.errors import MessageError

PROTOCOL = 2
LONGEST_LINE = 1_000_000
"""Bytes of a line from a publisher."""
LONGEST_GREETING = 1_000
"""Bytes of a line from a viewer, before and after the greeting."""
LEAST_TOKEN = 16
"""Characters of a token that a user has chosen."""
_HTTP = (b"GET ", b"POST ", b"HEAD ", b"PUT ", b"OPTIONS ", b"DELETE ", b"PATCH ", b"CONNECT ")
HTTP_ANSWER = (
    b"HTTP/1.1 403 Forbidden\r\nContent-Type: text/plain; charset=utf-8\r\n"
    b"Connection: close\r\n\r\n"
    b"This is a panelbridge run. Start 'panelbridge web' to see it in a browser.\n"
)


def new_token() -> str:
    """A random token of 128 bits, for a person to copy."""
    return secrets.token_hex(16)


def viewer_proof(token: str, publisher_nonce: str, viewer_nonce: str) -> str:
    """What a viewer that knows the token answers."""
    return _proof("viewer", token, publisher_nonce, viewer_nonce)


def publisher_proof(token: str, publisher_nonce: str, viewer_nonce: str) -> str:
    """What a publisher that knows the token answers."""
    return _proof("publisher", token, publisher_nonce, viewer_nonce)


def is_proof(given: object, wanted: str) -> bool:
    """Compare in constant time."""
    return isinstance(given, str) and hmac.compare_digest(given.encode(), wanted.encode())


def is_http(line: bytes) -> bool:
    """A browser, or a page in one, speaks to a port that is not for it."""
    return line.upper().startswith(_HTTP)


def message(**content: object) -> bytes:
    """A line of a greeting."""
    return json.dumps(content).encode() + b"\n"


def read_message(line: bytes) -> dict[str, Any]:
    """A line of a greeting. Raises: MessageError, when it is none."""
    try:
        found = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise MessageError("this is no panelbridge run") from error
    if not isinstance(found, dict):
        raise MessageError("this is no panelbridge run")
    return found


def _proof(who: str, token: str, publisher_nonce: str, viewer_nonce: str) -> str:
    text = json.dumps([who, publisher_nonce, viewer_nonce]).encode()
    return hmac.new(token.encode(), text, hashlib.sha256).hexdigest()
