"""Keys of transports and formats: what is refused, and which of them go together."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from panelbridge.config.links.formats import BinaryForm
from panelbridge.config.links.link_check import (
    LinkAdvice,
    reach_warnings,
    receiving_misfits,
    sending_misfits,
)
from tests.feeds.formats.making import format_keys, transport_keys

FORMS: dict[str, dict[str, Any]] = {
    "delimited": {"columns": ["a"]},
    "names": {},
    "json": {},
    "binary": {"order": "big", "fields": [{"name": "a", "type": "int8"}]},
    "records": {"order": "big", "id": "int8", "values": 1, "type": "int8"},
    "topics": {},
}
WAYS: dict[str, dict[str, Any]] = {
    "udp": {"listen_port": 5000},
    "tcp": {"port": 5000},
    "tcp_server": {"listen_port": 5000},
    "serial": {"port": "COM5"},
    "mqtt": {"topics": ["sim/#"]},
}


@pytest.mark.parametrize(
    ("over", "keys", "text"),
    [
        ("udp", {}, "UDP needs 'listen_port' (to receive), 'port' (to send), or both"),
        ("udp", {"listen_port": 1, "listen_address": "localhost"}, "an address in numbers"),
        ("udp", {"listen_port": 1, "only_from": "192.168.1.7:5"}, "without a port"),
        ("tcp", {"port": 1, "host": "10.0.0.7:5000"}, "write the port as 'port: ...'"),
        ("tcp", {"port": 1, "host": "socket://10.0.0.7"}, "without socket://"),
        ("tcp", {"port": 1, "host": "user@sim"}, "a name or an address, such as"),
        ("serial", {"port": "socket://10.0.0.7:5"}, "network addresses have 'over: tcp'"),
        ("mqtt", {"topics": ["sim/#/x"]}, "'#' must stand alone at the end"),
        ("mqtt", {"topics": ["sim#"]}, "'#' must stand alone at the end"),
        ("mqtt", {"topics": ["sim/a+/x"]}, "'+' must stand alone between slashes"),
        ("mqtt", {"status_topic": "panel/+"}, "neither '+' nor '#'"),
        ("mqtt", {"password_env": "X"}, "a password needs the 'user'"),
        ("mqtt", {"user": "u", "password_env": "X", "password_file": "y"}, "not both"),
        ("mqtt", {"tls": {"key_file": "y"}}, "needs the 'cert_file'"),
    ],
)
def test_a_transport_that_cannot_be(over: str, keys: dict[str, Any], text: str) -> None:
    with pytest.raises(ValidationError) as caught:
        transport_keys(over, **keys)
    (error,) = caught.value.errors()
    assert text in error["msg"]


def test_the_password_itself_has_no_key() -> None:
    with pytest.raises(ValidationError) as caught:
        transport_keys("mqtt", user="u", password="secret")
    assert caught.value.errors()[0]["type"] == "extra_forbidden"


@pytest.mark.parametrize("topic", ["sim/#", "#", "+", "sim/+/x", "a b/c", "/x", "$SYS/#"])
def test_topics_that_can_be(topic: str) -> None:
    assert transport_keys("mqtt", topics=[topic])


@pytest.mark.parametrize(
    ("form", "keys", "text"),
    [
        ("delimited", {}, "'columns', or how the message begins that announces them"),
        ("delimited", {"columns": ["a"], "announced_by": "a"}, "as 'columns', or how"),
        ("delimited", {"columns": ["a", "b", "a"]}, "the column 'a' stands in 'columns' twice"),
        ("delimited", {"columns": ["a"], "separator": "\n"}, "cannot be a line end"),
        ("names", {"equals": ";", "between": ";"}, "'equals' and 'between' must differ"),
        ("binary", {"fields": [{"name": "a", "type": "int8", "bit": 8}]}, "has no bit 8"),
        ("binary", {"fields": [{"name": "a", "type": "float32", "bit": 1}]}, "has no bit 1"),
        ("binary", {"fields": [{"name": "a", "type": "int8"}] * 2}, "stands in 'fields' twice"),
        (
            "binary",
            {"fields": [{"name": "a", "type": "int64"}], "length_bytes": 7},
            "the fields end at byte 8, behind 'length_bytes'",
        ),
        (
            "binary",
            {"fields": [{"name": "a", "type": "int64", "at_byte": 65_500}]},
            "the fields end at byte 65508; that is more than a message can have",
        ),
        (
            "binary",
            {"starts_with": "A", "starts_with_bytes": [65], **FORMS["binary"]},
            "give one of 'starts_with' and 'starts_with_bytes'",
        ),
    ],
)
def test_a_format_that_cannot_be(form: str, keys: dict[str, Any], text: str) -> None:
    order = {"order": "little"} if form == "binary" else {}
    with pytest.raises(ValidationError) as caught:
        format_keys(form, **{**order, **keys})
    (error,) = caught.value.errors()
    assert text in error["msg"]


def test_a_layout_counts_its_header_mark_gaps_and_checksum() -> None:
    fields = [
        {"name": "a", "type": "float64"},
        {"name": "b", "type": "uint16", "count": 3},
        {"name": "c", "type": "int8", "at_byte": 40},
        {"name": "d", "type": "int32"},
    ]
    keys = {"order": "big", "starts_with_bytes": [170, 85], "fields": fields}
    layout = format_keys("binary", **keys)
    assert isinstance(layout, BinaryForm)
    assert layout.mark == b"\xaa\x55"
    assert layout.offsets() == [2, 10, 40, 41]
    assert layout.size_bytes == 45
    longer = format_keys("binary", **keys, header_bytes=8, checksum="crc16_ccitt")
    assert isinstance(longer, BinaryForm)
    assert longer.offsets() == [8, 16, 40, 41]
    assert longer.size_bytes == 47


def misfits(over: str, form: str, **keys: Any) -> list[LinkAdvice]:
    ways, forms = WAYS[over] | keys.pop("way", {}), FORMS[form] | keys
    return list(receiving_misfits(transport_keys(over, **ways), format_keys(form, **forms)))


WITHOUT_TOPICS = [form for form in FORMS if form != "topics"]


@pytest.mark.parametrize("over", WAYS)
def test_topics_are_of_mqtt(over: str) -> None:
    found = misfits(over, "topics")
    if over == "mqtt":
        assert not found
    else:
        (advice,) = found
        assert (advice.part, advice.key) == ("message", "form")
        what = f"'form: topics' needs 'over: mqtt': there are no topics over {over}"
        assert advice.what == what


@pytest.mark.parametrize("form", WITHOUT_TOPICS)
@pytest.mark.parametrize("over", ["udp", "mqtt"])
def test_whole_messages_go_with_every_format(over: str, form: str) -> None:
    assert misfits(over, form) == []


@pytest.mark.parametrize("form", ["delimited", "names", "json"])
def test_an_end_of_messages_means_something_in_streams_only(form: str) -> None:
    for over in WAYS:
        found = misfits(over, form, ends_with=";")
        assert [advice.key for advice in found] == ["ends_with"] * (over in ("udp", "mqtt"))


@pytest.mark.parametrize("over", ["tcp", "tcp_server", "serial"])
def test_blocks_in_a_stream_have_a_length_and_a_mark_where_bytes_get_lost(over: str) -> None:
    mark = {"starts_with": "PN"}
    lossy = [f"on a {over} line bytes get lost, so the start of a message must be seen"]
    assert [one.what for one in misfits(over, "binary")] == lossy * (over == "serial")
    assert misfits(over, "binary", **mark) == []
    (advice,) = misfits(over, "records", **mark)
    assert "their length must be fixed" in advice.what
    assert misfits(over, "records", **mark, records=3) == []


def test_a_way_out_is_no_way_in_and_the_other_way_round() -> None:
    (advice,) = receiving_misfits(transport_keys("udp", port=5000), format_keys("json"))
    assert advice.what == "nothing can be received without 'listen_port'"
    (advice,) = misfits("mqtt", "json", way={"topics": []})
    assert advice.what == "nothing can be received without 'topics'"
    (advice,) = sending_misfits(transport_keys("udp", listen_port=5000))
    assert advice.what == "nothing can be sent without 'port'"
    for over in ("tcp", "tcp_server", "serial", "mqtt"):
        assert list(sending_misfits(transport_keys(over, **WAYS[over]))) == []


@pytest.mark.parametrize(
    ("over", "keys", "text"),
    [
        ("udp", {}, None),
        ("udp", {"listen_address": "127.0.0.2"}, None),
        ("udp", {"listen_address": "::1"}, None),
        (
            "udp",
            {"listen_address": "0.0.0.0"},
            "any computer that reaches port 5000 on every address of this computer may send"
            " aircraft data",
        ),
        (
            "udp",
            {"listen_address": "192.168.1.5", "only_from": "192.168.1.7"},
            "192.168.1.7 may send aircraft data to port 5000 on 192.168.1.5; a sender's address"
            " can be forged",
        ),
        (
            "tcp_server",
            {"listen_address": "::"},
            "any computer that reaches port 5000 on every address of this computer may connect",
        ),
        ("tcp_server", {"listen_address": "0.0.0.0", "only_from": "192.168.1.7"}, None),
        ("tcp", {"host": "10.0.0.7"}, None),
        ("serial", {}, None),
        ("mqtt", {}, None),
        ("mqtt", {"host": "LOCALHOST"}, None),
        (
            "mqtt",
            {"host": "broker.lan"},
            "the way to the broker on broker.lan is not encrypted: the network can read and change"
            " what goes there",
        ),
        (
            "mqtt",
            {"host": "broker.lan", "user": "u"},
            "the way to the broker on broker.lan is not encrypted: the network can read and change"
            " what goes there, and read the password",
        ),
        ("mqtt", {"host": "broker.lan", "tls": {}}, None),
    ],
)
def test_who_may_reach_it_is_said(over: str, keys: dict[str, Any], text: str | None) -> None:
    found = list(reach_warnings(transport_keys(over, **WAYS[over], **keys)))
    assert [advice.what for advice in found] == [text] * (text is not None)
    assert all(advice.is_warning and advice.hint for advice in found)
