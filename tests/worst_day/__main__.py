"""``python -m tests.worst_day [ATTACK ...] [--seed N] [--times N]``: attack, print the table."""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from tests.worst_day.attack import HEADING, Ground, Tally
from tests.worst_day.attacks import ATTACKS
from tests.worst_day.processes import CLOCK


def main(arguments: list[str] | None = None) -> int:
    """Attack; exit code 0 when nothing was lost."""
    names = [attack.name for attack in ATTACKS]
    parser = argparse.ArgumentParser(prog="python -m tests.worst_day", description=__doc__)
    parser.add_argument("attacks", nargs="*", metavar="ATTACK", help=", ".join(names))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--times", type=int, help="how often each case strikes")
    parser.add_argument("--few", action="store_true", help="as often as in the tests")
    parser.add_argument("--case", default="", help="only cases with this in their name")
    options = parser.parse_args(arguments)
    if unknown := set(options.attacks) - set(names):
        parser.error(f"no attack {', '.join(sorted(unknown))}; there are: {', '.join(names)}")
    tallies = []
    print(HEADING, flush=True)
    begin_s = CLOCK.now()
    with tempfile.TemporaryDirectory(prefix="worst_day_") as room:
        for attack in ATTACKS:
            if options.attacks and attack.name not in options.attacks:
                continue
            tally = Tally(attack.fault)
            times = options.times or (attack.few if options.few else attack.many)
            for at, (name, case) in enumerate(attack.cases.items()):
                if options.case not in name:
                    continue
                ground = Ground(Path(room, attack.name, str(at)), options.seed, times)
                began_s, lost = CLOCK.now(), len(tally.lost)
                tally.strike(name, case, ground)
                word = "LOST" if len(tally.lost) > lost else "survived"
                taken = f"{CLOCK.now() - began_s:.1f} s"
                print(f"  {attack.name}: {name}: {word}, {taken}", file=sys.stderr, flush=True)
            tallies.append(tally)
            print(tally.row(), flush=True)
    print()
    for tally in tallies:
        for line in (tally.recovery(), *(f"LOST: {tally.fault}: {one}" for one in tally.lost)):
            if line:
                print(line)
    print(f"seed {options.seed}, {CLOCK.now() - begin_s:.0f} s")
    return 1 if any(tally.lost for tally in tallies) else 0


if __name__ == "__main__":
    sys.exit(main())
