"""A feed of one's own from another package: found, checked like ours, flown."""

from __future__ import annotations

import sys
import tomllib
from importlib import invalidate_caches
from pathlib import Path
from shutil import copytree

import pytest
from msgspec.structs import replace

from panelbridge.cli.app import run_app
from panelbridge.config.load import load_feed, load_panel
from panelbridge.config.own_feeds import GROUP
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.make_feed import feed_of
from panelbridge.errors import ConfigError
from panelbridge.feeds import FeedReading
from panelbridge.signals import AircraftState

PACKAGE = Path(__file__).parent / "own_feed_package"
TEXT = (PACKAGE / "swing.yaml").read_text("utf-8")


def install(place: Path, name: str, entries: dict[str, str]) -> None:
    """What an installer leaves behind of a package: its metadata."""
    metadata = place / f"{name.replace('-', '_')}-1.0.dist-info"
    metadata.mkdir(parents=True)
    (metadata / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
    lines = [f"{word} = {target}" for word, target in entries.items()]
    (metadata / "entry_points.txt").write_text("\n".join([f"[{GROUP}]", *lines, ""]))
    invalidate_caches()


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder in which packages are found, with the example installed in it."""
    place = tmp_path / "site"
    project = tomllib.loads((PACKAGE / "pyproject.toml").read_text("utf-8"))["project"]
    copytree(PACKAGE / "swing_feed", place / "swing_feed")
    install(place, project["name"], project["entry-points"][GROUP])
    monkeypatch.syspath_prepend(str(place))
    monkeypatch.delitem(sys.modules, "swing_feed", raising=False)
    return place


def written(folder: Path, text: str) -> Path:
    path = folder / "feed.yaml"
    path.write_text(text, "utf-8")
    return path


def errors_of(path: Path) -> str:
    with pytest.raises(ConfigError) as caught:
        load_feed(path)
    return str(caught.value)


@pytest.mark.usefixtures("place")
def test_its_file_is_good(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_app(["check", str(PACKAGE / "swing.yaml")]) == 0
    assert "good feed file 'Swing': a feed of your own\n" in capsys.readouterr().out


@pytest.mark.usefixtures("place")
def test_all_errors_of_its_file_are_found_with_their_places(tmp_path: Path) -> None:
    text = TEXT.replace("240", "900").replace("period_s", "preiod_s").replace("Swing", "''")
    path = written(tmp_path, text)
    assert errors_of(path).splitlines() == [
        f"{path}:3:7: 'name' is empty",
        "    It takes 1 to 60 characters. The feed's name, for screens",
        f"{path}:5:15: 'highest_kias' is 900, and must be more than 0 and up to 400 kt",
        "    The airspeed swings between 0 and this",
        f"{path}:6:1: this file has no key 'preiod_s'",
        "    Did you mean 'period_s'?",
    ]


@pytest.mark.usefixtures("place")
def test_a_panel_runs_with_it(capsys: pytest.CaptureFixture[str]) -> None:
    """The handle is down at first, and the simulator's too; the data comes from its feed."""
    arguments = ["run", str(shipped_config("panels/demo_panel.yaml")), "--simulate", "--headless"]
    feed = str(PACKAGE / "swing.yaml")
    assert run_app([*arguments, "--feed", feed, "--seconds", "1"]) == 0
    assert "aircraft data comes from: Swing" in capsys.readouterr().out


@pytest.mark.usefixtures("place")
def test_its_data_is_unknown_when_stale(monkeypatch: pytest.MonkeyPatch) -> None:
    loaded = load_panel(shipped_config("panels/demo_panel.yaml"))
    feed = feed_of(replace(loaded, feed=load_feed(PACKAGE / "swing.yaml", loaded.aircraft)))
    assert feed.read(45.0).aircraft.airspeed_kias == pytest.approx(240.0)
    swing = sys.modules["swing_feed"].SwingFeed
    late = FeedReading(AircraftState(altitude_ft=1.0), fresh=True, time_s=40.0)
    monkeypatch.setattr(swing, "read", lambda self, now_s: late)
    assert feed.read(45.0).aircraft == AircraftState()


@pytest.mark.usefixtures("place")
def test_a_misspelt_source_is_compared_with_what_is_installed(tmp_path: Path) -> None:
    path = written(tmp_path, TEXT.replace("source: swing", "source: swign"))
    text = errors_of(path)
    assert text.startswith(
        f"{path}:4:9: 'source' cannot be 'swign'\n    Did you mean 'swing'? It can be demo_flight, "
    )
    assert text.endswith(" or swing")


def test_without_the_package_the_source_is_unknown() -> None:
    assert "swing.yaml:4:9: " in errors_of(PACKAGE / "swing.yaml")


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("import no_such_module", "ModuleNotFoundError: No module named 'no_such_module'"),
        ("1 / 0", "ZeroDivisionError: division by zero"),
        ("SwingFeedFile = 3", "swing_feed:SwingFeedFile is no OwnFeedFile"),
        ("class SwingFeedFile: pass", "swing_feed:SwingFeedFile is no OwnFeedFile"),
    ],
)
def test_a_package_that_is_broken_is_an_error_at_its_name(
    code: str, said: str, place: Path
) -> None:
    (place / "swing_feed/__init__.py").write_text(code + "\n", "utf-8")
    text = errors_of(PACKAGE / "swing.yaml")
    assert text.startswith(
        f"{PACKAGE / 'swing.yaml'}:4:9: the feed 'swing' of the package 'swing-feed' cannot be "
    )
    assert text.endswith(said)


@pytest.mark.usefixtures("place")
def test_a_broken_package_disturbs_no_other(place: Path) -> None:
    install(place, "broken", {"broken": "no_such_module:File"})
    assert load_feed(PACKAGE / "swing.yaml").name == "Swing"
    assert load_feed(shipped_config("feeds/parked.yaml")).name == "Parked"


def test_a_word_of_ours_stays_ours(place: Path) -> None:
    install(place, "thief", {"fixed": "no_such_module:File"})
    assert load_feed(shipped_config("feeds/parked.yaml")).name == "Parked"


def test_a_word_that_two_packages_offer_is_an_error(place: Path) -> None:
    install(place, "other", {"swing": "no_such_module:File"})
    text = errors_of(PACKAGE / "swing.yaml")
    assert "'other'" in text
    assert "'swing-feed'" in text
    assert text.endswith("is offered more than once: uninstall all but one")
