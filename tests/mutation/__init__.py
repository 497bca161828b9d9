"""Mutation testing of ``panelbridge/logic``: how, and what came of it, is in README.md."""
