"""Line feeds and carriage returns in texts that go to a simulator, or come from it."""

from __future__ import annotations

from pathlib import Path

from panelbridge.config.yaml_source import read_yaml
from tests.feeds.link.fakes import feed_file


def test_they_are_meant(tmp_path: Path) -> None:
    file = feed_file(
        tmp_path,
        "receive: { over: tcp, port: 45139 }\n"
        'message: { form: names, between: "\\t", ends_with: "\\r" }\n'
        'ask: { text: "a\\nb\\r\\n", every_s: 1 }\n'
        "values: { airspeed_kias: { at: v } }\n"
        'targets: { sim: { commands: { gear: { text: "\\x02{gear}\\r\\n" } } } }\n',
    )
    assert file.ask is not None
    assert file.ask.text == "a\nb\r\n"
    assert file.message is not None
    assert file.message.model_dump()["ends_with"] == "\r"
    assert file.message.model_dump()["between"] == "\t"
    assert file.targets["sim"].commands["gear"].text == "\x02{gear}\r\n"


def test_elsewhere_a_terminal_would_obey_them(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_text('name: "a\\r\\n\\e[2Jb"\nswitches: { a: "b\\rc" }\n', "utf-8")
    assert read_yaml(path).value == {"name": "a???[2Jb", "switches": {"a": "b?c"}}
