"""The screen as stored pictures: a change of the look has to be looked at and accepted.

``pytest tests/dashboard/test_pictures.py --snapshot-update`` accepts the new ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from textual.app import App

from panelbridge.signals import HandleContacts
from tests.dashboard import scenes
from tests.dashboard.fakes import FakeControls, FakeSource, app_for

SIZES = {"80x24": (80, 24), "120x40": (120, 40), "60x20": (60, 20)}
Compare = Callable[..., bool]


def app_of(name: str, *, real: bool = False) -> App[None]:
    snapshot = scenes.SCENES[name]
    controls = FakeControls()
    if snapshot.switches.gear_handle is HandleContacts.UP:
        controls.places["gear_handle"] = "up"
    return app_for(FakeSource(snapshot), None if real else controls)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", scenes.SCENES)
def test_moment(snap_compare: Compare, name: str, size: str) -> None:
    assert snap_compare(app_of(name), terminal_size=SIZES[size])


def test_real_board(snap_compare: Compare) -> None:
    assert snap_compare(app_of("start", real=True))


def test_few_lamps(snap_compare: Compare) -> None:
    """Lamps that are not fitted, while the board that has the others is away."""
    snapshot = replace(scenes.HORN, boards=scenes.LOST.boards)
    app = app_for(FakeSource(snapshot), FakeControls(), looks=scenes.FEW_LAMPS)
    assert snap_compare(app, terminal_size=(120, 40))


def test_help(snap_compare: Compare) -> None:
    assert snap_compare(app_of("start"), press=["question_mark"], terminal_size=(120, 50))


def test_large_log(snap_compare: Compare) -> None:
    assert snap_compare(app_of("horn"), press=["l"])


def test_without_colour(snap_compare: Compare, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert snap_compare(app_of("transit"))


def test_smallest(snap_compare: Compare) -> None:
    assert snap_compare(app_of("horn"), terminal_size=(20, 5))
