"""Proving a finished panel, part by part: what moves, what lights, and what the file must say.

``flow`` is pure state: it takes what boards report and what the user answers, and shows one frozen
view. ``board_links`` keeps the boards live, ``bring_up_run`` joins the two with the panel file.
"""

__all__ = ["bring_up_run", "flow"]
