"""Bench tests in virtual time: scenarios, faults, expectations, timelines, reports."""
