"""Hydraulics: supplies, accumulator, reservoir; who has pressure."""
