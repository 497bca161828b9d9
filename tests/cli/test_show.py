"""Which runs are a show, and what the screen's orders do in them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from panelbridge.cli.show import RunShow
from panelbridge.clock import PacedClock, VirtualClock
from panelbridge.config.load import LoadedPanel, load_panel
from panelbridge.config.shipped import shipped_config
from panelbridge.engine.assemble import Assembly, assemble_live
from panelbridge.engine.stage import Stage
from panelbridge.link.ports import IN_PROCESS_SCHEME

PANEL = "panels/demo_panel.yaml"


def loaded_with(feed: str) -> LoadedPanel:
    return load_panel(shipped_config(PANEL), Path(shipped_config(f"feeds/{feed}")))


@contextmanager
def assembled(loaded: LoadedPanel, *, as_show: bool = True, port: str = "") -> Iterator[Assembly]:
    urls = {name: port or IN_PROCESS_SCHEME + name for name in loaded.panel.boards}
    clock = PacedClock(1.0, VirtualClock())
    assembly = assemble_live(loaded, urls, as_show=as_show, clock=clock)
    try:
        yield assembly
    finally:
        assembly.engine.close()
        assembly.close()


def test_a_run_with_simulated_boards_and_built_in_data_has_all_of_it() -> None:
    with assembled(loaded_with("demo_flight.yaml")) as assembly:
        show = RunShow(assembly, loaded_with("demo_flight.yaml"))
        stage = Stage(assembly, show.prepare)
        assert not show.fixed_time
        assert "approach" in show.phases
        assert len(show.breakables) > 100
        show.break_or_mend("left leg hung")
        show.pause_or_go()
        assembly.engine.turn()
        shown = assembly.engine.snapshot().show
        assert shown.is_paused
        assert shown.broken == ("left leg hung",)
        assert shown.phase == 0
        show.mend_all()
        show.faster()
        assembly.engine.turn()
        assert assembly.engine.snapshot().show.broken == ()
        assert assembly.engine.snapshot().show.rate == 2.0
        show.slower()
        show.slower()
        assembly.engine.turn()
        assert assembly.engine.snapshot().show.rate == 0.5
        stage.stop()


def test_a_feed_of_fixed_values_can_be_paused_and_has_no_phases() -> None:
    with assembled(loaded_with("parked.yaml")) as assembly:
        show = RunShow(assembly, loaded_with("parked.yaml"))
        assert not show.fixed_time
        assert show.phases == ()
        show.jump(0)
        show.pause_or_go()
        assembly.engine.turn()
        assert assembly.engine.snapshot().show.is_paused


def test_data_of_a_simulator_cannot_be_held_and_can_be_broken() -> None:
    loaded = loaded_with("link_text.yaml")
    with assembled(loaded) as assembly:
        show = RunShow(assembly, loaded)
        show.prepare(assembly)
        assert "does not stop" in show.fixed_time
        assert show.phases == ()
        for order in (show.pause_or_go, show.faster, show.slower):
            order()
        show.step(1.0)
        show.jump(0)
        show.break_or_mend("feed lost")
        assembly.engine.turn()
        shown = assembly.engine.snapshot().show
        assert not shown.is_paused
        assert shown.rate == 1.0
        assert shown.broken == ("feed lost",)


@pytest.mark.parametrize(("as_show", "port"), [(False, ""), (True, "COM77")])
def test_a_run_that_nobody_watches_or_with_a_real_board_is_none(as_show: bool, port: str) -> None:
    loaded = loaded_with("demo_flight.yaml")
    with assembled(loaded, as_show=as_show, port=port) as assembly:
        assert assembly.show is None
        assert assembly.again is None
