# Runs the very main.py of a Pico-class board against the hardware of this folder.

import hardware
import main

hardware.run_for_ever(main.run)
