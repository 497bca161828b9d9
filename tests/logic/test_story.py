"""What users read of a whole flight, word for word."""

from __future__ import annotations

from tests.logic.flight_story import FOLDER, story_lines


def test_the_flight_of_the_jet_reads_as_it_did() -> None:
    assert list(story_lines()) == (FOLDER / "jet.txt").read_text("utf-8").splitlines()
