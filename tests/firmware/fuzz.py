"""Runs the fuzzer of the firmware's core for a given time, with a new seed each round.

``python -m tests.firmware.fuzz --seconds 3600 --seed 1``. A failure names its seed and round.
"""

from __future__ import annotations

import argparse
import subprocess
import sys

from panelbridge.clock import LiveClock
from tests.firmware.build import TARGETS, native_fuzzer

ROUNDS = 1000


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    clock = LiveClock()
    end_s = clock.now() + options.seconds
    seed = options.seed
    while clock.now() < end_s:
        for board in TARGETS:
            done = subprocess.run([native_fuzzer(board), str(seed), str(ROUNDS)], check=False)
            if done.returncode:
                print(f"{board}: seed {seed} failed")
                return 1
        seed += 1
    print(f"seeds {options.seed} to {seed - 1}, {ROUNDS} rounds each on {len(TARGETS)} boards")
    return 0


if __name__ == "__main__":
    sys.exit(main())
