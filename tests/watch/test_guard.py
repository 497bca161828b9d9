"""Who may speak to the browsers' server."""

from __future__ import annotations

import pytest

from panelbridge.watch.browser.guard import RequestGuard, RequestVerdict

TOKEN = "the token of this server"
GUARD = RequestGuard(TOKEN, "Desk.example", "the_cookie")
COOKIES = {"the_cookie": TOKEN}


def judged(
    host: str | None = "127.0.0.1:8000",
    origin: str | None = None,
    cookies: dict[str, str] = COOKIES,
    query: dict[str, str] | None = None,
    *,
    is_connection: bool = False,
) -> RequestVerdict:
    headers = {name: one for name, one in (("Host", host), ("Origin", origin)) if one is not None}
    return GUARD.judge(headers, query or {}, cookies, is_connection=is_connection)


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1:8000",
        "localhost:8000",
        "192.168.1.20:8000",
        "[::1]:8000",
        "desk.example",
        "DESK.EXAMPLE:1",
    ],
)
def test_the_server_is_known_by_its_addresses_and_its_name(host: str) -> None:
    assert judged(host) is RequestVerdict.SERVE
    assert judged(host, f"http://{host}", is_connection=True) is RequestVerdict.SERVE


@pytest.mark.parametrize(
    "host", [None, "", "evil.example", "127.0.0.1.evil.example:8000", "localhost.evil", "[", "a@b"]
)
def test_another_host_is_refused_whatever_it_brings(host: str | None) -> None:
    """A name that points at this computer makes a page of another server look like ours."""
    assert judged(host, f"http://{host}") is RequestVerdict.REFUSE_HOST
    assert judged(host, query={"token": TOKEN}, cookies={}) is RequestVerdict.REFUSE_HOST


@pytest.mark.parametrize(
    "origin",
    [
        *("http://evil.example", "null", "", "http://127.0.0.1:8001", "https://127.0.0.1:8000"),
        *("http://localhost:8000", "http://127.0.0.1", "http://127.0.0.1:8000.evil"),
    ],
)
def test_a_page_of_another_origin_is_refused(origin: str) -> None:
    assert judged(origin=origin) is RequestVerdict.REFUSE_ORIGIN
    assert judged(origin=origin, is_connection=True) is RequestVerdict.REFUSE_ORIGIN


def test_a_connection_must_have_an_origin() -> None:
    assert judged(is_connection=True) is RequestVerdict.REFUSE_ORIGIN


@pytest.mark.parametrize("token", ["", "wrong", TOKEN + "x", TOKEN[:-1], "ü\ud800"])
def test_a_wrong_token_is_refused(token: str) -> None:
    assert judged(cookies={}) is RequestVerdict.REFUSE_TOKEN
    assert judged(cookies={"the_cookie": token}) is RequestVerdict.REFUSE_TOKEN
    assert judged(cookies={"other_cookie": TOKEN}) is RequestVerdict.REFUSE_TOKEN
    assert judged(cookies={}, query={"token": token}) is RequestVerdict.REFUSE_TOKEN


def test_the_token_in_the_address_is_for_the_page_and_not_for_a_connection() -> None:
    query = {"token": TOKEN}
    assert judged(cookies={}, query=query) is RequestVerdict.GREET
    host = "127.0.0.1:8000"
    refused = judged(host, f"http://{host}", {}, query, is_connection=True)
    assert refused is RequestVerdict.REFUSE_TOKEN
