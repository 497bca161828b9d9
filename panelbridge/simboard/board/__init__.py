"""The simulated board: ``sim_board.SimBoard`` and the program that runs on it.

``sim_board`` has power, pins and time; ``program`` the dialogue with the host; ``setup_book`` the
check of the set-up; ``live_session`` COMMAND and REPORT; ``inputs``, ``outputs``, ``chains`` the
pins; ``wiring`` what is connected to them.
"""
