"""Nose-wheel steering."""
