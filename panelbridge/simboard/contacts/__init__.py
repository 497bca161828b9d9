"""Switches as a hand moves them: contacts that open, close and bounce, and levers.

Pure: time and the random source are passed in. The simulated board and the bench both use it.
"""
