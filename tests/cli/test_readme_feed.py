"""What the README says of feed files is so: its examples load, and give what it shows."""

from __future__ import annotations

import re
from pathlib import Path

from panelbridge.cli.listen import listen_lines
from panelbridge.config.shipped import shipped_folder
from tests.feeds.link.fakes import rig

TEXT = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
YAML = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)
IN = (
    "receive: { over: udp, listen_port: 45139 }\n"
    "message: { form: delimited, columns: [time_s, ias, throttle, nose, gear, flap] }\n"
)


def test_the_files_of_the_table_are_there() -> None:
    named = re.findall(r"\| `(link_\w+\.yaml)` \|", TEXT)
    assert sorted(named) == sorted(p.name for p in (shipped_folder() / "feeds").glob("link_*.yaml"))


def test_the_examples_are_a_feed_file_and_listen_shows_what_is_shown(tmp_path: Path) -> None:
    values, targets = YAML
    link = rig(tmp_path, IN + values + targets)
    shown = TEXT[TEXT.index("  last message: ") :]
    shown = shown[: shown.index("```")]
    message = shown.split("\n")[0].removeprefix("  last message: ")
    for _ in range(60):
        link.way_in.put(message)
        link.feed.poll(3.0)
    lines = listen_lines(link.feed, 3.0, 20.0)
    assert "\n".join([*lines][1:]).startswith(shown.rstrip("\n"))


def test_send_says_what_is_shown(tmp_path: Path) -> None:
    (gear,) = re.findall(r"^      gear: .*$", YAML[1], re.MULTILINE)
    assert r'up: "set gear 0\n"' in gear
    assert r"gear: sent 'set gear 0\n'" in TEXT
