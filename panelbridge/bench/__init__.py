"""Scenarios: read from files, run in virtual time or on boards, judged, reported.

Imports go one way: ``language`` (file -> plan) <- ``verdict`` (trace, monitors, laws, judge) <-
``world`` (virtual time) <- ``boards`` (real time), and ``verdict`` <- ``reports`` (text, JUnit,
SVG, VCD) <- ``command`` (the command line) and ``pytest_plugin``.
"""
