"""What users read of a whole flight, word for word."""

from __future__ import annotations

from tests.logic.flight_story import FOLDER, told


def test_the_flight_of_the_jet_is_told_as_it_was() -> None:
    assert list(told()) == (FOLDER / "jet.txt").read_text("utf-8").splitlines()
