# Runs the real main.py of a Pico-class board with the hardware.py of this folder.

import hardware
import main

hardware.run_for_ever(main.run)
