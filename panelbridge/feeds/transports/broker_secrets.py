"""Password and certificates for a broker; none of them is ever part of a text."""

from __future__ import annotations

import os
import ssl
from pathlib import Path

from panelbridge.config.links.transports import MqttLink, TlsKeys
from panelbridge.errors import FeedError

MAX_PASSWORD = 1000
"""A first line that is longer is no password, characters."""


def read_password(keys: MqttLink, folder: Path, where: str) -> str | None:
    """The password from the environment or a file; None without one.

    Args:
        keys: the file's description.
        folder: from where relative paths count.
        where: the broker, for errors.

    Raises:
        FeedError: the variable is not set, or the file cannot be read.
    """
    if keys.password_env is not None:
        password = os.environ.get(keys.password_env, "")
        if not password:
            what = f"the environment variable {keys.password_env} with the password is not set"
            raise FeedError(what, where, "set it before this program is started")
        return password
    if keys.password_file is None:
        return None
    path = folder / keys.password_file
    try:
        with path.open(encoding="utf-8") as file:
            password = file.readline(MAX_PASSWORD + 1).rstrip("\r\n")
    except (OSError, ValueError) as error:
        what = f"the file with the password cannot be read: {_reason(error)}"
        raise FeedError(what, where, f"it was looked for at {path.as_posix()}") from None
    if not password or len(password) > MAX_PASSWORD:
        what = "the first line of the file with the password is empty or too long"
        raise FeedError(what, where, f"the file is {path.as_posix()}")
    return password


def tls_context(keys: TlsKeys, folder: Path, where: str) -> ssl.SSLContext:
    """Encryption that checks the broker's certificate and name.

    Raises:
        FeedError: a certificate or key cannot be used.
    """
    ca_file = str(folder / keys.ca_file) if keys.ca_file else None
    try:
        context = ssl.create_default_context(cafile=ca_file)
    except (OSError, ValueError) as error:
        what = f"the certificate 'ca_file' cannot be used: {_reason(error)}"
        raise FeedError(what, where, f"the file is {ca_file}") from None
    if keys.cert_file is not None:
        cert_file = folder / keys.cert_file
        key_file = folder / keys.key_file if keys.key_file else None
        try:
            # Without a password here the library would ask for one at the terminal.
            context.load_cert_chain(cert_file, key_file, password="")
        except (OSError, ValueError) as error:
            what = f"'cert_file' and 'key_file' cannot be used: {_reason(error)}"
            hint = "the key must be without a password and belong to the certificate"
            raise FeedError(what, where, hint) from None
    return context


def _reason(error: Exception) -> str:
    if isinstance(error, UnicodeDecodeError):
        return "it is not UTF-8 text"
    if isinstance(error, ssl.SSLError):
        return "it is no certificate or key in PEM form"
    if isinstance(error, OSError) and error.errno:
        return os.strerror(error.errno)
    return "it cannot be opened"
