"""An edit changes the lines concerned and nothing else; what is written is good, or nothing is."""

from __future__ import annotations

import os
import re
import stat
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_positions import KeyPath
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import ConfigError, UsageError
from panelbridge.wiring.file_edit import PanelEdit
from tests.examples import examples

CONFIGS = shipped_folder()
FILES = sorted(
    path for kind in ("panels", "aircraft", "feeds") for path in (CONFIGS / kind).glob("*")
)
few = settings(max_examples=examples(30))
"""A file is read several times for each example."""
PANELS = sorted((CONFIGS / "panels").glob("*.yaml"))

PANEL = """\
# comment at the top
kind: panel
format: 2
name: 'Übungstafel'
aircraft: first_steps.yaml

boards:
  main:
    board: uno

switches:
  gear_handle: # a plain toggle
    form: one_contact
    pin: D2
    closed_means: down
  horn_silence: D4 # push button

lamps:
  nose_green: D9
  left_green: { pin: D10, legend: "LEFT" } # the left one
  right_green:
    pin: D11   # the right one

horn: D8

# What is left out.
not_fitted:
  - lamp_test # later
  - nose_red
  - left_red
  - right_red
"""


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    """A panel file with its aircraft file."""
    aircraft = (CONFIGS / "aircraft/first_steps.yaml").read_bytes()
    (tmp_path / "first_steps.yaml").write_bytes(aircraft)
    path = tmp_path / "panel.yaml"
    path.write_bytes(PANEL.encode())
    return path


def changed(old: str, new: str) -> tuple[list[str], list[str]]:
    """Lines that are no more there, and new ones."""
    a, b = old.splitlines(keepends=True), new.splitlines(keepends=True)
    gone, come = [], []
    for tag, a0, a1, b0, b1 in SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if tag != "equal":
            gone += a[a0:a1]
            come += b[b0:b1]
    return gone, come


def after(panel: Path, *edits: tuple[Any, ...]) -> tuple[list[str], list[str]]:
    """The lines that some edits change."""
    edit = PanelEdit(panel)
    for name, *arguments in edits:
        getattr(edit, name)(*arguments)
    return changed(PANEL, edit.text)


LEFT = ("lamps", "left_green")


@pytest.mark.parametrize(
    ("edit", "gone", "come"),
    [
        pytest.param(
            ("set", ("lamps", "nose_green"), "D12"),
            ["  nose_green: D9\n"], ["  nose_green: D12\n"], id="short form",
        ),
        pytest.param(
            ("set", ("lamps", "nose_green", "pin"), "D12"),
            ["  nose_green: D9\n"], ["  nose_green: D12\n"], id="short form as if long",
        ),
        pytest.param(
            ("set", ("switches", "horn_silence", "normally_closed"), True),
            ["  horn_silence: D4 # push button\n"],
            ["  horn_silence: { pin: D4, normally_closed: true } # push button\n"],
            id="short form becomes a group",
        ),
        pytest.param(
            ("set", ("horn", "frequency_hz"), 650),
            ["horn: D8\n"], ["horn:\n", "  pin: D8\n", "  frequency_hz: 650\n"], id="horn",
        ),
        pytest.param(
            ("set", (*LEFT, "legend"), "L"),
            ['  left_green: { pin: D10, legend: "LEFT" } # the left one\n'],
            ['  left_green: { pin: D10, legend: "L" } # the left one\n'], id="quotes stay",
        ),
        pytest.param(
            ("set", (*LEFT, "dimmed"), False),
            ['  left_green: { pin: D10, legend: "LEFT" } # the left one\n'],
            ['  left_green: { pin: D10, legend: "LEFT", dimmed: false } # the left one\n'],
            id="key in braces",
        ),
        pytest.param(
            ("set", ("lamps", "right_green", "legend"), "RIGHT: #1"),
            [], ['    legend: "RIGHT: #1"\n'], id="key in a block",
        ),
        pytest.param(
            ("set", ("lamps", "nose_red"), {"pin": "D3", "legend": "NOSE"}),
            [], ["  nose_red: { pin: D3, legend: NOSE }\n"], id="new lamp",
        ),
        pytest.param(
            ("set", ("feed",), "feed.yaml"), [], ["feed: feed.yaml\n"], id="key at the root",
        ),
        pytest.param(
            ("set", ("solenoids", "handle_lock"), "D12"),
            [], ["solenoids:\n", "  handle_lock: D12\n", "\n"], id="new group",
        ),
        pytest.param(
            ("set", ("not_fitted", 4), "horn_silence"),
            [], ["  - horn_silence\n"], id="last item of a list",
        ),
        pytest.param(
            ("set", ("lamps", "nose_green"), None),
            ["  nose_green: D9\n"], ["  nose_green:\n"], id="no value",
        ),
        pytest.param(
            ("delete", (*LEFT, "pin")),
            ['  left_green: { pin: D10, legend: "LEFT" } # the left one\n'],
            ['  left_green: { legend: "LEFT" } # the left one\n'], id="first in braces",
        ),
        pytest.param(
            ("delete", (*LEFT, "legend")),
            ['  left_green: { pin: D10, legend: "LEFT" } # the left one\n'],
            ["  left_green: { pin: D10 } # the left one\n"], id="last in braces",
        ),
        pytest.param(("delete", ("lamps", "nose_green")), ["  nose_green: D9\n"], [], id="lamp"),
        pytest.param(
            ("delete", ("lamps", "right_green", "pin")),
            ["  right_green:\n", "    pin: D11   # the right one\n"], [], id="empty group",
        ),
        pytest.param(("delete", ("horn",)), ["horn: D8\n", "\n"], [], id="part of the file"),
        pytest.param(("delete", ("not_fitted", 0)), ["  - lamp_test # later\n"], [], id="item"),
        pytest.param(
            ("swap", ("lamps", "nose_green"), ("switches", "gear_handle", "pin")),
            ["    pin: D2\n", "  nose_green: D9\n"], ["    pin: D9\n", "  nose_green: D2\n"],
            id="swap",
        ),
        pytest.param(
            ("swap", ("lamps", "nose_green", "pin"), (*LEFT, "pin")),
            ["  nose_green: D9\n", '  left_green: { pin: D10, legend: "LEFT" } # the left one\n'],
            ["  nose_green: D10\n", '  left_green: { pin: D9, legend: "LEFT" } # the left one\n'],
            id="swap of a short form and a group",
        ),
    ],
)  # fmt: skip
def test_an_edit_changes_these_lines(
    panel: Path, edit: tuple[Any, ...], gone: list[str], come: list[str]
) -> None:
    assert after(panel, edit) == (gone, come)


def test_a_chain_is_written_line_by_line(panel: Path) -> None:
    chain = {"form": "outputs", "chips": 1, "data_pin": "D5", "clock_pin": "D6", "latch_pin": "D7"}
    _, come = after(panel, ("set", ("boards", "main", "chains", "lights"), chain))
    assert "".join(come) == (
        "    chains:\n      lights:\n        form: outputs\n        chips: 1\n"
        "        data_pin: D5\n        clock_pin: D6\n        latch_pin: D7\n"
    )


def test_a_group_in_place_of_a_group_keeps_its_comments(panel: Path) -> None:
    handle = {"form": "two_contact", "up_pin": "D2", "down_pin": "D3"}
    gone, come = after(panel, ("set", ("switches", "gear_handle"), handle))
    assert gone == ["    form: one_contact\n", "    pin: D2\n", "    closed_means: down\n"]
    assert come == ["    form: two_contact\n", "    up_pin: D2\n", "    down_pin: D3\n"]


def test_a_value_that_is_there_already_changes_nothing(panel: Path) -> None:
    edit = PanelEdit(panel)
    edit.set(("lamps", "left_green"), {"pin": "D10", "legend": "LEFT"})
    edit.set(("lamps", "nose_green", "pin"), "D9")
    assert (edit.is_changed, edit.diff(), edit.write()) == (False, "", None)
    assert [path.name for path in sorted(panel.parent.iterdir())] == [
        "first_steps.yaml",
        "panel.yaml",
    ]


# Laws over the shipped files.


@cache
def ways(path: Path) -> tuple[KeyPath, ...]:
    """Every way in a file but to the keys that say what it is."""
    fixed = {(), ("kind",), ("format",)}
    return tuple(way for way in read_yaml(path).positions if way not in fixed)


@st.composite
def places(draw: st.DrawFn, single: bool = False) -> tuple[Path, KeyPath]:
    """A shipped file, and a way in it; to a single value if that is asked."""
    path = draw(st.sampled_from(FILES))
    source = read_yaml(path)
    found = [
        way for way in ways(path) if not single or not isinstance(source.get(way), dict | list)
    ]
    return path, draw(st.sampled_from(found))


VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-999, 99_999),
    st.floats(-1e6, 1e6),
    st.sampled_from(
        ["D4", "knobs.3", "null", "true", "1.5", "", " x", "a: b", "#1", "ü 'x' \"y\""]
    ),
    st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), max_size=12),
)


@few
@given(places(single=True), VALUES)
def test_another_value_and_the_old_one_again_give_the_same_bytes(
    place: tuple[Path, KeyPath], value: Any
) -> None:
    path, way = place
    edit = PanelEdit(path)
    old, text, source = edit.get(way), edit.text, edit.source
    edit.set(way, value)
    assert edit.get(way) == value
    gone, come = changed(text, edit.text)
    assert len(gone) == len(come) <= 1
    edit.set(way, old)
    position = source.position(way)
    in_quotes = not position.plain and not isinstance(value, str)
    is_written_null = old is None and position.written != ""
    if not in_quotes and not is_written_null and edit.text != text:
        assert changed(text, edit.text)[0][0].count(position.written)  # 1.0 for 1.00, "a" for a
        assert edit.source.value == source.value
    elif not in_quotes and not is_written_null:
        assert edit.diff() == ""


@few
@given(places(), VALUES)
def test_a_new_key_deleted_again_gives_the_same_bytes(
    place: tuple[Path, KeyPath], value: Any
) -> None:
    path, way = place
    edit = PanelEdit(path)
    text, around = edit.text, edit.source.get(way)
    if not isinstance(around, dict | list):
        way, around = way[:-1], edit.source.get(way[:-1])
    assert isinstance(around, dict | list)
    new = (*way, "new_key") if isinstance(around, dict) else (*way, len(around))
    edit.set(new, value)
    gone, come = changed(text, edit.text)
    assert len(come) == 1
    assert len(gone) <= 1
    edit.delete(new)
    assert edit.text == text


@few
@given(places())
def test_what_is_deleted_takes_only_its_own_lines(place: tuple[Path, KeyPath]) -> None:
    path, way = place
    edit = PanelEdit(path)
    text, source = edit.text, edit.source
    edit.delete(way)
    gone, come = changed(text, edit.text)
    assert len(come) <= 1
    for line in gone:  # a comment line of its own goes only from the inside of what is deleted
        if line.lstrip().startswith("#"):
            assert isinstance(source.get(way), dict | list)
    assert edit.source.get(way) != source.get(way) or isinstance(way[-1], int)


@few
@given(places(single=True), st.data())
def test_a_swap_twice_gives_the_same_values(
    place: tuple[Path, KeyPath], data: st.DataObject
) -> None:
    path, one = place
    edit = PanelEdit(path)
    source = edit.source
    singles = [way for way in ways(path) if not isinstance(source.get(way), dict | list)]
    other = data.draw(st.sampled_from(singles))
    edit.swap(one, other)
    assert (edit.get(one), edit.get(other)) == (source.get(other), source.get(one))
    assert len(changed(edit.text, PanelEdit(path).text)[0]) <= 2
    edit.swap(one, other)
    assert edit.source.value == source.value


LINE_ENDS = st.sampled_from(["\n", "\r\n"])


@few
@given(st.sampled_from(PANELS), LINE_ENDS, st.booleans(), st.booleans())
def test_line_ends_and_the_byte_order_mark_stay(
    shipped: Path, line_end: str, mark: bool, last_end: bool
) -> None:
    """On the text alone; the file itself is written in the test below."""
    text = shipped.read_text("utf-8").rstrip("\n").replace("\n", line_end) + line_end * last_end
    path = shipped.with_name("given.yaml")
    edit = _edit_of(path, ("\ufeff" * mark + text).encode())
    edit.set(("lamps", "new_green"), {"pin": "D3", "legend": "NEW"})
    edit.set(("horn", "on_ms"), 300)
    edit.set(("solenoids", "new"), {"a": "1", "b": {"c": 1}})
    edit.set(("not_fitted", 0), "nose_green")
    assert set(re.findall("\r\n|\r|\n", edit.text)) == {line_end}
    assert edit.text.endswith(line_end) == last_end
    for way in ("solenoids", "new"), ("lamps", "new_green"):
        edit.delete(way)
    assert edit.text.endswith(line_end) == last_end


def _edit_of(path: Path, data: bytes) -> PanelEdit:
    """An edit of bytes that stand nowhere."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / path.name
        place.write_bytes(data)
        return PanelEdit(place)


# Writing.


def test_it_is_written_with_a_copy_and_every_other_byte_stays(panel: Path) -> None:
    text = ("\ufeff" + PANEL.replace("\n", "\r\n")).encode()
    panel.write_bytes(text)
    os.chmod(panel, 0o640)
    edit = PanelEdit(panel)
    edit.set(("lamps", "nose_green"), "D3")
    copy = edit.write()
    assert copy == panel.with_name("panel.yaml.old-1")
    assert copy.read_bytes() == text
    assert panel.read_bytes() == text.replace(b"nose_green: D9", b"nose_green: D3")
    if os.name == "posix":  # Windows has no such permissions
        assert stat.S_IMODE(panel.stat().st_mode) == 0o640
    assert not edit.is_changed
    edit.set(("lamps", "nose_green"), "D9")
    assert edit.write() == panel.with_name("panel.yaml.old-2")
    assert copy.read_bytes() == panel.read_bytes() == text


@pytest.mark.skipif(os.name != "posix", reason="links are not for everybody on Windows")
def test_through_a_link_the_file_itself_is_written(panel: Path) -> None:
    link = panel.with_name("link.yaml")
    link.symlink_to(panel)
    edit = PanelEdit(link)
    edit.set(("lamps", "nose_green"), "D3")
    edit.write()
    assert link.is_symlink()
    assert load_panel(panel).panel.lamps["nose_green"].pin == "D3"


def test_what_check_refuses_is_not_written(panel: Path) -> None:
    edit = PanelEdit(panel)
    edit.set(("lamps", "nose_green"), "D10")
    with pytest.raises(ConfigError, match="pin 'D10' of board 'main' is taken already"):
        edit.write()
    assert panel.read_bytes() == PANEL.encode()
    assert len([*panel.parent.iterdir()]) == 2


def test_a_file_that_was_changed_meanwhile_is_not_overwritten(panel: Path) -> None:
    edit = PanelEdit(panel)
    edit.set(("lamps", "nose_green"), "D3")
    panel.write_bytes(b"another\n")
    with pytest.raises(UsageError, match="changed by another program meanwhile"):
        edit.write()
    assert panel.read_bytes() == b"another\n"
    assert len([*panel.parent.iterdir()]) == 2
    panel.unlink()
    with pytest.raises(UsageError, match="cannot be written"):
        edit.write()


def test_the_diff_is_unified_and_free_of_line_ends(panel: Path) -> None:
    panel.write_bytes(PANEL.replace("\n", "\r\n").encode())
    edit = PanelEdit(panel)
    edit.set(("lamps", "nose_green"), "D3")
    assert edit.diff().splitlines() == [
        "--- panel.yaml",
        "+++ panel.yaml (proposed)",
        "@@ -17,5 +17,5 @@",
        " ",
        " lamps:",
        "-  nose_green: D9",
        "+  nose_green: D3",
        '   left_green: { pin: D10, legend: "LEFT" } # the left one',
        "   right_green:",
    ]


def test_what_is_shared_by_an_anchor_is_left_to_hands(panel: Path) -> None:
    text = PANEL.replace("nose_green: D9", "nose_green: &green { legend: G, pin: D9 }")
    panel.write_text(text.replace('{ pin: D10, legend: "LEFT" }', "*green"), "utf-8")
    edit = PanelEdit(panel)
    with pytest.raises(UsageError, match=r"lamps\.left_green\.pin.* cannot be edited") as caught:
        edit.set((*LEFT, "pin"), "D10")
    assert caught.value.where == f"{panel}:19:35"
    assert not edit.is_changed
    with pytest.raises(UsageError, match="cannot be edited"):
        edit.set(LEFT, "D10")
    with pytest.raises(UsageError, match="cannot be edited"):
        edit.delete(("lamps", "nose_green"))


def test_names_that_are_not_there(panel: Path) -> None:
    edit = PanelEdit(panel)
    with pytest.raises(UsageError, match=r"there is no 'lamps\.blue'"):
        edit.delete(("lamps", "blue"))
    panel.write_text("kind: [\n")
    with pytest.raises(ConfigError):
        PanelEdit(panel)
    with pytest.raises(ConfigError, match="a folder"):
        PanelEdit(panel.parent)


def test_swapped_ports_move_from_board_to_board(panel: Path) -> None:
    edit = PanelEdit(panel)
    edit.set(("boards", "other"), {"board": "uno", "port": "COM5"})
    edit.swap(("boards", "main", "port"), ("boards", "other", "port"))
    assert (edit.get(("boards", "main", "port")), edit.has(("boards", "other", "port"))) == (
        "COM5",
        False,
    )
