"""A trace cut into tracks."""

from __future__ import annotations

from itertools import pairwise

from msgspec.structs import replace

from panelbridge.bench.reports.tracks import Span, end_of, instants, spans
from panelbridge.bench.verdict.trace import Trace
from panelbridge.logic.lamps.facts import LAMP_TEST
from tests.bench.made import Maker, approach


def test_of_several_samples_of_one_instant_the_last_counts() -> None:
    maker = Maker()
    maker.switch(lamp_test=False).switch(lamp_test=True).wait(1.0).switch(lamp_test=False)
    kept = instants(maker.trace)
    assert [(s.time_s, s[LAMP_TEST]) for s in kept] == [(0.0, True), (1.0, False)]


def test_equal_neighbours_are_one_span_and_the_last_lasts_to_the_end() -> None:
    maker = Maker()
    maker.wait(1.0).switch(lamp_test=True).wait(0.5).switch(steering_button=True).wait(0.5)
    maker.switch(lamp_test=False).wait(2.0)
    found = spans(instants(maker.trace), end_of(maker.trace), lambda s: s[LAMP_TEST])
    assert found == (Span(0.0, 1.0, False), Span(1.0, 2.0, True), Span(2.0, 4.0, False))


def test_spans_follow_one_another_without_a_gap() -> None:
    trace = approach().trace
    found = spans(instants(trace), trace.end_s, lambda s: s.shown.outputs.horn)
    assert [span.value.value for span in found] == [
        "silent", "intermittent", "silent", "continuous", "silent", "intermittent", "silent",
    ]  # fmt: skip
    assert all(a.end_s == b.start_s for a, b in pairwise(found))
    assert (found[0].start_s, found[-1].end_s) == (0.0, trace.end_s)


def test_a_trace_ends_no_sooner_than_its_last_sample() -> None:
    trace = approach().trace
    assert end_of(Trace(trace.samples, end_s=0.0)) == trace.samples[-1].time_s
    assert end_of(Trace(end_s=3.0)) == 3.0
    assert spans([], 3.0, lambda s: s.time_s) == ()
    assert end_of(replace(trace, end_s=99.0)) == 99.0
