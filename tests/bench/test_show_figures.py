"""What the benchmark of the hour says of its rounds: made-up times, so that no clock decides."""

from __future__ import annotations

from tests.benchmarks.logic_hour import STEPS, report


def test_the_median_and_the_spread_of_all_rounds_are_told() -> None:
    hour_s = STEPS * 0.02
    rounds = [(hour_s / speed, hour_s / speed * ratio) for speed, ratio in
              [(4000, 0.8), (9000, 0.9), (2000, 0.7)]]  # fmt: skip
    assert report(rounds, STEPS, 0.75, 3600) == [
        "a step, us            5.00 (2.22 to 10.00)",
        "hand-written / ours   0.80 (0.70 to 0.90)  wanted >= 0.75: met",
        "times real time       4000 (2000 to 9000)  wanted >= 3600: met",
    ]


def test_one_lucky_round_does_not_meet_what_is_wanted() -> None:
    hour_s = STEPS * 0.02
    rounds = [(hour_s / speed, hour_s / speed * ratio) for speed, ratio in
              [(3000, 0.7), (9000, 0.9), (2000, 0.6)]]  # fmt: skip
    assert [line.partition("wanted")[2] for line in report(rounds, STEPS, 0.75, 3600)[1:]] == [
        " >= 0.75: NOT MET",
        " >= 3600: NOT MET",
    ]
