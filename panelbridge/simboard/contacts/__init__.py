"""Switches from the hand to the debounced contact: hands, contacts, bounce, debouncing, levers.

Pure: time and the random source are passed in. The simulated board and the bench both use it.
"""
