"""``python -m panelbridge`` is the command ``panelbridge``."""

from panelbridge.cli import main

main()
