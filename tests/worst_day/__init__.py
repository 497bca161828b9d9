"""The worst day: attacks on boards and runs from outside (``python -m tests.worst_day``)."""
