"""Scenes that make every event of a system, a module each: ``events()`` gives them all."""
