"""The loader: what it gives, and that nothing but ConfigError ever comes out of it."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from panelbridge.config import commands, words
from panelbridge.config.aircraft_file import AircraftFile
from panelbridge.config.feed_file import DemoFlightFeed, FixedFeedFile
from panelbridge.config.load import (
    LoadedPanel,
    check_file,
    kind_of,
    load_aircraft,
    load_feed,
    load_panel,
)
from panelbridge.config.loading import KINDS
from panelbridge.config.panel_parts.switch_entries import OneContactHandle, TwoContactHandle
from panelbridge.config.shipped import shipped_config, shipped_folder
from panelbridge.errors import ConfigError, UsageError
from panelbridge.signals import GearPosition
from tests.examples import examples, few_of

GOOD = Path(__file__).parent / "bad" / "good"
PANEL = (GOOD / "panel.yaml").read_text("utf-8")
Load = Callable[[Path], object]
SHIPPED = [p for p in sorted(shipped_folder().glob("*/*.yaml")) if kind_of(p) in KINDS]


def test_a_panel_comes_with_its_aircraft_and_feed() -> None:
    path = shipped_config("panels/demo_panel.yaml")
    loaded = load_panel(path)
    assert loaded.panel.name == "Demonstration panel"
    assert isinstance(loaded.aircraft, AircraftFile)
    assert isinstance(loaded.feed, DemoFlightFeed)
    assert loaded.panel_path == path
    assert loaded.aircraft_path == shipped_config("aircraft/twin_jet.yaml")
    assert loaded.feed_path == shipped_config("feeds/demo_flight.yaml")
    with pytest.raises(AttributeError):
        loaded.feed = None  # type: ignore[misc]


def test_a_panel_needs_no_feed() -> None:
    loaded = load_panel(str(GOOD / "panel.yaml"))
    assert loaded.feed is None
    assert loaded.feed_path is None


def test_handle_travel_is_that_of_the_handle_with_two_contacts(tmp_path: Path) -> None:
    text = PANEL.replace("down_pin: D23", "down_pin: D23, travel_s: 2.5")
    loaded = load_panel(written(tmp_path, text))
    assert isinstance(loaded.panel.switches.gear_handle, TwoContactHandle)
    assert loaded.panel.numbers.handle_travel_s == 2.5


def test_handle_travel_without_a_handle_of_two_contacts(tmp_path: Path) -> None:
    entry = "{ form: two_contact, board: main, up_pin: D22, down_pin: D23 }"
    other = "{ form: one_contact, board: main, pin: D22, closed_means: up }"
    loaded = load_panel(written(tmp_path, PANEL.replace(entry, other)))
    assert isinstance(loaded.panel.switches.gear_handle, OneContactHandle)
    assert loaded.panel.numbers.handle_travel_s == 1.0


def written(folder: Path, text: str) -> Path:
    """A panel file in ``folder``, beside the aircraft file that it names."""
    (folder / "aircraft.yaml").write_bytes((GOOD / "aircraft.yaml").read_bytes())
    path = folder / "panel.yaml"
    path.write_text(text, "utf-8")
    return path


def test_fixed_values_become_the_aircrafts_state() -> None:
    aircraft = load_aircraft(shipped_config("aircraft/twin_jet.yaml"))
    feed = load_feed(shipped_config("feeds/parked.yaml"), aircraft)
    assert isinstance(feed, FixedFeedFile)
    state = feed.values.state(aircraft)
    assert state.strut_compressed == (True, True, True)
    assert state.throttle_fraction == (0.0, 0.0)
    assert state.gear_handle is GearPosition.DOWN
    assert state.airspeed_kias == 0.0
    assert feed.stale_after_s == 2.0


def test_a_value_that_is_left_out_is_unknown(tmp_path: Path) -> None:
    path = tmp_path / "f.yaml"
    path.write_text("kind: feed\nformat: 2\nname: x\nsource: fixed\nvalues: {}\n")
    feed = load_feed(path)
    assert isinstance(feed, FixedFeedFile)
    state = feed.values.state(load_aircraft(GOOD / "aircraft.yaml"))
    assert state.gear_handle is None
    assert state.airspeed_kias is None


@pytest.mark.parametrize(
    ("load", "name", "what"),
    [
        (load_panel, "feed.yaml", "this is a file of kind feed, and one of kind panel is needed"),
        (load_aircraft, "panel.yaml", "this is a file of kind panel, and one of kind aircraft is"),
        (load_feed, "aircraft.yaml", "this is a file of kind aircraft, and one of kind feed is"),
    ],
)
def test_a_file_of_another_kind(load: Load, name: str, what: str) -> None:
    with pytest.raises(ConfigError) as caught:
        load(GOOD / name)
    (problem,) = caught.value.problems
    assert what in problem.what
    assert (problem.line, problem.column) == (1, 7)


@pytest.mark.parametrize("load", [load_panel, load_aircraft, load_feed, check_file])
@pytest.mark.parametrize("text", ["", "a", "5", "[]", "{}", "kind: [panel]", "kind: {}"])
def test_files_that_are_hardly_anything(load: Load, text: str, tmp_path: Path) -> None:
    path = tmp_path / "f.yaml"
    path.write_text(text)
    with pytest.raises(ConfigError):
        load(path)


@pytest.mark.parametrize("load", [load_panel, load_aircraft, load_feed, check_file])
def test_a_missing_file(load: Load, tmp_path: Path) -> None:
    with pytest.raises(ConfigError) as caught:
        load(tmp_path / "f.yaml")
    assert caught.value.where == str(tmp_path / "f.yaml")


def test_a_feed_alone_is_held_against_an_aircraft() -> None:
    aircraft = load_aircraft(GOOD / "aircraft.yaml")
    assert load_feed(GOOD / "feed.yaml", aircraft).name == "Test feed"
    assert load_feed(GOOD / "feed_two_legs.yaml").name == "Test feed"
    with pytest.raises(ConfigError) as caught:
        load_feed(GOOD / "feed_two_legs.yaml", aircraft)
    assert [m.line for m in caught.value.problems] == [7, 8]


def test_windows_paths_work_everywhere(tmp_path: Path) -> None:
    folder = tmp_path / "panels"
    folder.mkdir()
    path = written(folder, PANEL.replace("aircraft.yaml", "..\\aircraft\\twin.yaml"))
    (tmp_path / "aircraft").mkdir()
    (folder / "aircraft.yaml").rename(tmp_path / "aircraft" / "twin.yaml")
    assert load_panel(path).aircraft_path == tmp_path / "aircraft" / "twin.yaml"


def test_mistakes_of_all_files_come_in_one_go(tmp_path: Path) -> None:
    text = PANEL.replace("name: Test panel", "nane: x") + "feed: feed.yaml\n"
    path = written(tmp_path, text.replace("pin: D3", "pin: D2"))
    (tmp_path / "feed.yaml").write_text("kind: feed\nformat: 2\nname: 5\nsource: demo_flight\n")
    aircraft = tmp_path / "aircraft.yaml"
    aircraft.write_text(aircraft.read_text().replace("engines: 2", "engines: two"))
    with pytest.raises(ConfigError) as caught:
        load_panel(path)
    assert [(Path(m.file).name, m.line) for m in caught.value.problems] == [
        ("aircraft.yaml", 4),
        ("feed.yaml", 3),
        ("panel.yaml", 3),
        ("panel.yaml", 13),
    ]


def test_two_lamps_of_different_boards_may_share_the_name_of_a_pin(tmp_path: Path) -> None:
    text = PANEL.replace(
        "  main: { board: mega2560 }", "  main: { board: mega2560 }\n  second: { board: uno }"
    ).replace("left_green: { board: main, pin: D3", "left_green: { board: second, pin: D2")
    assert len(load_panel(written(tmp_path, text)).panel.boards) == 2


# Anything at all.


def error_of(load: Load, path: Path) -> ConfigError | None:
    try:
        load(path)
    except ConfigError as error:
        return error
    return None


PIECES = st.sampled_from(
    [*PANEL.splitlines(), "kind: feed", "source: fixed", "  - x", "a: &a", "*a", "? x", "{", "]"]
)
TEXTS = st.lists(PIECES, max_size=20).map("\n".join) | st.text(max_size=80)


@settings(max_examples=examples(150), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=TEXTS.map(lambda text: text.encode("utf-8", "replace")) | st.binary(max_size=80))
def test_law_any_bytes_give_a_file_or_a_config_error(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "panel.yaml"
    path.write_bytes(data)
    for load in (load_panel, load_aircraft, load_feed, check_file):
        error = error_of(load, path)
        assert error is None or (error.problems and str(error))


@settings(max_examples=examples(150), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_law_a_good_file_with_one_line_changed(tmp_path: Path, data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from(SHIPPED)).read_text("utf-8").splitlines()
    place = data.draw(st.integers(0, len(lines) - 1))
    column = data.draw(st.integers(0, len(lines[place])))
    junk = data.draw(st.text(":#-[]{}&*!|>'\" \tab0.1é", max_size=4))
    lines[place] = lines[place][:column] + junk + lines[place][column + 1 :]
    path = tmp_path / "f.yaml"
    path.write_text("\n".join(lines), "utf-8")
    error = error_of(check_file, path)
    assert error is None or all(problem.what for problem in error.problems)


# The commands.


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_every_shipped_file_is_good(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.check([path]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    assert printed.out.startswith(f"{path}: good {path.parent.name.removesuffix('s')} file '")
    assert printed.out.count("\n") == 1


def test_what_check_says_of_a_good_panel() -> None:
    loaded = check_file(shipped_config("panels/demo_panel.yaml")).file
    assert isinstance(loaded, LoadedPanel)
    assert commands.summary(loaded) == (
        "good panel file 'Demonstration panel': 1 board, 23 switches, 39 lamps, a horn and 5 "
        "gauges; "
        f"aircraft '{loaded.aircraft.name}', feed 'Demonstration flight'"
    )


def test_names_that_the_console_can_not_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    console = io.TextIOWrapper(io.BytesIO(), encoding="cp1252", newline="")
    monkeypatch.setattr("sys.stdout", console)
    assert commands.check([written(tmp_path, PANEL.replace("Test panel", "Gürtel ☃"))]) == 0
    console.flush()
    buffer = console.buffer
    assert isinstance(buffer, io.BytesIO)
    assert "good panel file 'Gürtel ?'".encode("cp1252") in buffer.getvalue()


def test_schema_prints_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert commands.schema("panel") == 0
    assert capsys.readouterr().out == (
        shipped_folder() / "schemas" / "panel.schema.json"
    ).read_text("utf-8")


def test_schema_of_an_unknown_kind() -> None:
    with pytest.raises(UsageError) as caught:
        commands.schema("pannel")
    assert caught.value.hint == "Did you mean 'panel'? Kinds: panel, aircraft and feed"


@pytest.mark.parametrize(
    "text",
    few_of(
        [
            PANEL + "\n".join(f"key_{n}: 1" for n in range(15_000)),
            PANEL.replace(
                "lamps:\n", "lamps:\n" + "".join(f"  lamp_{n}: D2\n" for n in range(4000))
            ),
            "kind: feed\nformat: 2\nname: x\nsource: fixed\nvalues:\n"
            + "".join(f"  value_{n}: 1\n" for n in range(15_000)),
        ]
    ),
    ids=["keys", "lamps", "values"],
)
def test_a_hint_is_looked_for_only_so_often(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []
    monkeypatch.setattr(words, "get_close_matches", lambda name, *_, **__: looked.append(name))
    with pytest.raises(ConfigError) as caught:
        check_file(written(tmp_path, text))
    assert len(caught.value.problems) >= 4000
    assert 200 <= len(looked) <= 2000


# Starts, and what a panel file may leave out.

STARTS = """starts:
  parked: { throttles: 0, throttle_2: 0.1, engines: stopped, simulator_handle: down, flap_deg: 0 }
  taxi: { like: parked, throttles: 0.3, engine_2: running, flap_deg: unknown }
  away: { like: taxi, simulator_handle: up }
"""


def test_a_start_takes_the_values_of_the_one_that_it_is_like(tmp_path: Path) -> None:
    path = tmp_path / "aircraft.yaml"
    path.write_text((GOOD / "aircraft.yaml").read_text("utf-8").partition("starts:")[0] + STARTS)
    aircraft = load_aircraft(path)
    assert aircraft.start_values("parked") == {
        "throttle_1": 0,
        "throttle_2": 0.1,
        "engine_1": "stopped",
        "engine_2": "stopped",
        "simulator_handle": "down",
        "flap_deg": 0,
    }
    # A name for several values counts for each of them, whatever stood there before.
    taxi = {"throttle_1": 0.3, "throttle_2": 0.3, "engine_2": "running", "flap_deg": None}
    assert aircraft.start_values("taxi") == aircraft.start_values("parked") | taxi
    assert aircraft.start_values("away") == aircraft.start_values("taxi") | {
        "simulator_handle": "up"
    }


LONG = """
  horn_silence: { form: contact, board: main, pin: D24 }
  dimmer: { form: lever, board: main, pin: A0 }
lamps:
  nose_green: { board: main, pin: D2, colour: green }
  left_green: { board: main, pin: D3, colour: green }
  right_green: { board: main, pin: D4, colour: green, legend: RIGHT }
horn: { board: main, pin: D10 }
"""
SHORT = """
  horn_silence: D24
  dimmer: A0
lamps:
  nose_green: D2
  left_green: { pin: D3 }
  right_green: { pin: D4, legend: RIGHT }
horn: D10
"""


def test_the_short_form_means_the_long_one(tmp_path: Path) -> None:
    head = PANEL.partition("  horn_silence")[0]
    tail = f"not_fitted{PANEL.partition('not_fitted')[2]}"
    long, short = (load_panel(written(tmp_path, head + text + tail)) for text in (LONG, SHORT))
    assert long.panel == short.panel
    assert long.panel.lamps["nose_green"].colour == "green"
    assert long.panel.switches.dimmer == short.panel.switches.dimmer != None  # noqa: E711
