"""Scenes that make every happening of a system, a module each: ``happenings()`` gives them all."""
