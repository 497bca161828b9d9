"""What the feed should give: each system says it in whole sentences, for values that exist."""

from __future__ import annotations

import pytest

from panelbridge.logic.aircraft import AircraftParameters
from panelbridge.logic.systems import wants_of
from panelbridge.logic.value_readers import readers_of
from tests.logic.whole_aircraft import KINDS


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_each_want_names_values_the_loss_and_what_to_do(kind: str) -> None:
    aircraft: AircraftParameters = KINDS[kind]
    known = readers_of(aircraft)
    for want in wants_of(aircraft):
        assert set(want.values) <= set(known), want
        assert len(want.loss) > 10
        assert len(want.hint) > 10


def test_the_radius_of_a_wheel_wants_the_speed_over_the_ground() -> None:
    jet = KINDS["jet"]
    antiskid = jet.antiskid.model_copy(update={"wheel_radius_m": 0.4})

    def wanted(aircraft: AircraftParameters) -> list[str]:
        return [want.loss for want in wants_of(aircraft) if want.values == ("ground_speed_kt",)]

    assert not [loss for loss in wanted(jet) if "all lock together" in loss]
    assert [
        loss
        for loss in wanted(jet.model_copy(update={"antiskid": antiskid}))
        if "all lock together" in loss
    ]
