"""The report: what it says, and that it overwrites nothing and needs nothing else."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from panelbridge.errors import UsageError
from panelbridge.wiring.bring_up.parts import PartRecord
from panelbridge.wiring.bring_up.prompts import PartState
from panelbridge.wiring.bring_up.report import default_paths, report_text, write_report
from tests.wiring.bring_up.robot import bring_up, copy_of, turn_until


class _Page(HTMLParser):
    """The text of a page, and its tags."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.links += [value or "" for name, value in attrs if name in ("src", "href")]

    def handle_data(self, data: str) -> None:
        self.text += data


def _report(folder: Path) -> tuple[str, Path]:
    path = copy_of("first_lamp.yaml", folder)
    text = path.read_text("utf-8").replace("name: First lamps", "name: Lamps <b>& more")
    path.write_text(text, encoding="utf-8")
    with bring_up(path, faults=["dead=left_green", "normally_closed=horn_silence"]) as (run, clock):
        turn_until(run, clock, "lamp", "right_green")
        run.key("s")
        turn_until(run, clock, "finished")
        made = report_text(run.loaded, run.flow.records, {"main": "COM5"}, simulated=True)
    return made, path


def test_everything_is_in_it(tmp_path: Path) -> None:
    text, path = _report(tmp_path)
    page = _Page(text)
    assert "Bring-up of Lamps <b>& more" in page.text
    assert "The boards were simulated: this proves nothing of a real panel." in page.text
    assert "COM5" in page.text
    left_open, corrected, parts = (
        page.text.partition(start)[2].partition(end)[0]
        for start, end in (
            ("Left open", "Corrected in"),
            ("Corrected in", "All parts"),
            ("All parts", "Marks:"),
        )
    )
    assert "D10 of main lights no lamp" in left_open
    assert "left out" in left_open
    assert "switches.horn_silence.normally_closed: true" in corrected
    assert "gear handle" in parts
    assert re.search(r"bounces for \d\.\d ms at most", parts)
    assert parts.count("✓ proven") == 4
    assert path.name in page.text


def test_it_needs_no_script_and_no_net(tmp_path: Path) -> None:
    text, _ = _report(tmp_path)
    page = _Page(text)
    assert not page.links
    assert not {"script", "img", "link", "iframe"} & set(page.tags)
    assert "http" not in text
    assert "@page { size: A4" in text
    # Black and white: every colour in it is a grey.
    colours = re.findall(r"#([0-9a-f]{3}|[0-9a-f]{6})\b(?!;\d)", text.partition("</style>")[0])
    assert all(
        len(set(colour)) == 1 or len(set(re.findall("..", colour))) == 1 for colour in colours
    )


def test_a_report_overwrites_nothing(tmp_path: Path) -> None:
    panel = tmp_path / "my.yaml"
    names = [
        write_report(f"report {number}", default_paths(panel, "2026-11-30")).name
        for number in range(3)
    ]
    assert names == [f"my.bring-up-2026-11-30{end}.html" for end in ("", "-2", "-3")]
    assert (tmp_path / names[0]).read_text("utf-8") == "report 0"
    with pytest.raises(UsageError, match="overwrites nothing"):
        write_report("other", [tmp_path / names[0]])
    with pytest.raises(UsageError, match="cannot be written"):
        write_report("other", [tmp_path / "no folder" / "r.html"])


def test_what_was_never_examined_is_left_open(tmp_path: Path) -> None:
    path = copy_of("first_lamp.yaml", tmp_path)
    with bring_up(path) as (run, _):
        page = _Page(report_text(run.loaded, {}, {}, simulated=False, date="2026-01-02"))
    assert "2026-01-02" in page.text
    assert page.text.count("not examined") > 14
    assert "simulated" not in page.text
    with bring_up(path) as (run, _):
        text = report_text(run.loaded, {}, {}, simulated=False, notes=["Ports <were> exchanged."])
    assert "<p>Ports &lt;were&gt; exchanged.</p>" in text
    assert PartRecord().state is PartState.OPEN
