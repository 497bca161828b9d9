"""A new panel works at once, whatever aircraft and board are chosen, and overwrites nothing."""

from __future__ import annotations

import itertools
import json
import os
import re
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from panelbridge.bench.language.load_scenario import load_scenarios
from panelbridge.cli.app import run_app
from panelbridge.config.boards import OTHER, BoardKind
from panelbridge.config.load import load_panel
from panelbridge.config.shipped import shipped_folder
from panelbridge.config.yaml_source import read_yaml
from panelbridge.errors import UsageError
from panelbridge.logic.inventory import gauges_of, lamps_of, solenoids_of, switches_of
from panelbridge.wiring.file_edit import PanelEdit
from panelbridge.wiring.new_panel import make_panel, new_files
from panelbridge.wiring.new_panel.aircraft_kinds import AIRCRAFT, BOARDS_TO_CHOOSE
from panelbridge.wiring.new_panel.new_files import put_files
from panelbridge.wiring.new_panel.panel_parts import EXTRAS, core_names, extras_of

FILES = ["aircraft.yaml", "feed.yaml", "panel.yaml", "scenario.yaml", "schemas"]


def test_every_shipped_aircraft_and_every_kind_of_board_can_be_chosen() -> None:
    aircraft = {path.stem for path in (shipped_folder() / "aircraft").glob("*.yaml")}
    assert {*AIRCRAFT} == aircraft
    assert {*BOARDS_TO_CHOOSE} == {*BoardKind.__args__} - {OTHER}  # type: ignore[attr-defined]


@pytest.mark.parametrize("board", BOARDS_TO_CHOOSE)
@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_every_combination_is_good(aircraft: str, board: BoardKind, tmp_path: Path) -> None:
    put_files(tmp_path, make_panel(aircraft, board).files)
    assert sorted(one.name for one in tmp_path.iterdir()) == FILES
    path = tmp_path / "panel.yaml"
    assert PanelEdit(path).check() == ()
    loaded = load_panel(path)
    fitted = [*loaded.panel.wired_switches, *loaded.panel.lamps, *loaded.panel.not_fitted]
    named = [
        name
        for found in (switches_of, lamps_of, gauges_of, solenoids_of)
        for name in found(loaded.aircraft)
    ]
    assert sorted(fitted) == sorted({*named})
    assert {*core_names(loaded.aircraft)} - {"horn"} <= {*fitted} - {*loaded.panel.not_fitted}
    assert loaded.panel.horn is not None
    assert load_scenarios(tmp_path / "scenario.yaml")


@pytest.mark.parametrize(
    ("aircraft", "board"), zip(AIRCRAFT, itertools.cycle(BOARDS_TO_CHOOSE), strict=False)
)
def test_each_aircraft_and_each_board_comes_alive(
    aircraft: str, board: BoardKind, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "mine"
    assert run_app(["new", str(folder), "--aircraft", aircraft, "--board", board]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    path = folder / "panel.yaml"
    commands = re.findall(r"^  panelbridge ([\w-]+) (\S+)", said.out, re.MULTILINE)
    wanted = ["check", "run", "plan", "wiring", "bring-up"]
    assert [command for command, _ in commands] == wanted
    assert {file for _, file in commands} == {str(path)}
    assert run_app(["check", *map(str, sorted(folder.glob("*.yaml")))]) == 0
    assert capsys.readouterr().err == ""
    assert run_app(["run", str(path), "--simulate", "--headless", "--seconds", "3"]) == 0
    assert "board_connected" in capsys.readouterr().out
    assert run_app(["bench", str(folder / "scenario.yaml")]) == 0


def test_an_editor_finds_the_schema_of_each_file(tmp_path: Path) -> None:
    """The first line of each names one that is there and that the file fits."""
    put_files(tmp_path, make_panel("twin_jet", "mega2560").files)
    for path in sorted(tmp_path.glob("*.yaml")):
        first = path.read_text("utf-8").splitlines()[0]
        schema = tmp_path / first.removeprefix("# yaml-language-server: $schema=")
        assert schema.is_file()
        jsonschema.validate(read_yaml(path).value, json.loads(schema.read_text("utf-8")))


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_as_much_as_the_board_takes_is_the_longest_beginning_that_fits(aircraft: str) -> None:
    panel = make_panel(aircraft, "uno")
    names = [*panel.extras, *panel.missing]
    assert set(names) <= {*EXTRAS}
    if panel.missing:
        with pytest.raises(UsageError, match="a board of kind uno cannot have all of"):
            make_panel(aircraft, "uno", names[: len(panel.extras) + 1])
    assert make_panel(aircraft, "mega2560").missing == ()


def test_extras_are_those_that_are_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ["--aircraft", "piston_single", "--board", "uno", "--extras", "dimmer,lamp_test"]
    assert run_app(["new", str(tmp_path), *options]) == 0
    panel = load_panel(tmp_path / "panel.yaml").panel
    assert [*panel.wired_switches] == ["gear_handle", "lamp_test", "dimmer"]
    assert [*panel.lamps] == ["left_green", "nose_green", "right_green"]
    for extras, words in (("dimmr", "Did you mean 'dimmer'?"), ("99", "has no extra '99'")):
        assert run_app(["new", str(tmp_path / "x"), *options[:-1], extras]) == 2
        assert words in capsys.readouterr().err
    other = tmp_path / "other"
    assert run_app(["new", str(other), *options[:-1], "none"]) == 0
    assert [*load_panel(other / "panel.yaml").panel.wired_switches] == ["gear_handle"]


def test_without_a_terminal_it_names_the_options(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run_app(["new"]) == 2
    shown = capsys.readouterr().err
    assert "no terminal to ask on" in shown
    assert "--aircraft and --board" in shown
    for kind in AIRCRAFT:
        assert kind in shown
    assert run_app(["new", "--aircraft", "twin_jett", "--board", "uno"]) == 2
    assert "Did you mean 'twin_jet'?" in capsys.readouterr().err
    assert [*tmp_path.iterdir()] == []


def test_it_asks_for_what_is_not_given(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = ["2", "nano", "1, lamp_test"]
    monkeypatch.setattr("panelbridge.wiring.new_panel.command.ask", lambda _: answers.pop(0))
    monkeypatch.chdir(tmp_path)
    assert run_app(["new"]) == 0
    assert answers == []
    loaded = load_panel(Path("my_panel/panel.yaml"))
    assert loaded.aircraft.name == "Piston single"
    assert loaded.panel.boards["panel"].board == "nano"
    assert [*loaded.panel.wired_switches] == ["gear_handle", "horn_silence", "lamp_test"]
    shown = capsys.readouterr().out
    assert "3  tail_wheel" in shown
    assert "1  silence_button" in shown
    answers = ["", "", ""]
    assert run_app(["new", "other"]) == 0
    assert load_panel(Path("other/panel.yaml")).aircraft.name == "First steps"


@pytest.mark.parametrize("name", ["panel.yaml", "schemas/feed.schema.json"])
def test_nothing_is_overwritten_and_nothing_written_then(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    mine = tmp_path / name
    mine.parent.mkdir(exist_ok=True)
    mine.write_text("mine")
    before = sorted(tmp_path.rglob("*"))
    options = ["--aircraft", "first_steps", "--board", "uno"]
    assert run_app(["new", str(tmp_path), *options]) == 2
    assert f"{name} stands in this folder already" in capsys.readouterr().err
    assert sorted(tmp_path.rglob("*")) == before
    assert mine.read_text() == "mine"


def test_what_is_in_the_way_is_said_before_any_question(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "panel.yaml").write_text("mine")
    assert run_app(["new", str(tmp_path)]) == 2
    shown = capsys.readouterr()
    assert "stands in this folder already" in shown.err
    assert shown.out == ""


def test_a_folder_with_a_space_is_quoted_in_the_commands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "my panel"
    assert run_app(["new", str(folder), "--aircraft", "first_steps", "--board", "uno"]) == 0
    quoted = f'"{folder / "panel.yaml"}"'
    assert f"  panelbridge check {quoted}\n" in capsys.readouterr().out


@pytest.mark.skipif(os.name != "posix", reason="links are not for everybody on Windows")
def test_a_link_that_leads_nowhere_is_in_the_way_too(tmp_path: Path) -> None:
    (tmp_path / "panel.yaml").symlink_to(tmp_path / "nothing")
    with pytest.raises(UsageError, match=r"panel\.yaml stands in this folder already"):
        put_files(tmp_path, make_panel("first_steps", "uno").files)


@pytest.mark.parametrize("nth", range(1, 11))
def test_when_one_file_cannot_be_written_none_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, nth: int
) -> None:
    """A full disk at the nth step."""
    files = make_panel("first_steps", "uno").files
    steps = 0

    def failing(step: Callable[..., object]) -> Callable[..., object]:
        def run(*arguments: object, **keywords: object) -> object:
            nonlocal steps
            steps += 1
            if steps == nth:
                raise OSError(28, "No space left on device")
            return step(*arguments, **keywords)

        return run

    class FullDisk(type(tmp_path)):  # type: ignore[misc]
        open = failing(Path.open)
        mkdir = failing(Path.mkdir)

    with pytest.raises(UsageError, match="No space left"):
        put_files(FullDisk(tmp_path / "new"), files)
    assert [*tmp_path.iterdir()] == []


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_text("mine")
    with pytest.raises(UsageError, match="cannot be written"):
        put_files(path, make_panel("first_steps", "uno").files)
    assert path.read_text() == "mine"


def test_every_extra_belongs_to_some_aircraft() -> None:
    from panelbridge.config.load import load_aircraft

    folder = shipped_folder() / "aircraft"
    all_of = [extras_of(load_aircraft(folder / f"{name}.yaml")) for name in AIRCRAFT]
    assert {name for one in all_of for name in one} == {*EXTRAS}
    assert os.sep not in new_files.PANEL
