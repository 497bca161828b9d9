"""Lamps: from what is lit to how bright: dimmer, floors, night, flash, tests, electrical power."""
