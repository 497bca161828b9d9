"""The wiring sheet: what a builder prints and wires from.

``wiring_command`` is the command; ``board_pages`` draws a board, ``html_page`` bundles everything,
``wires_of`` and ``parts_list`` are the tables.
"""
