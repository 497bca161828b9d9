"""Electrical keys of a panel file: what every LED, driver and supply may say of itself."""
