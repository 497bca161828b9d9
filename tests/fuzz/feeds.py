"""``python -m tests.fuzz.feeds --count N [--seed N]``: spoilt messages for every decoder.

Prints a line for each; a message that breaks a promise is printed with its seed, and ends the
program with exit code 1.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from random import Random

from panelbridge.clock import LiveClock
from tests.fuzz.spoil import spoilt
from tests.fuzz.targets import DECODERS, STREAMS, Decoder, Stream

_FRESH_AFTER = 10_000
"""So many messages are read by one decoder before there is a new one: it may have memory."""


class Broken(Exception):  # noqa: N818
    """A promise was broken."""


def fuzz_decoder(target: Decoder, count: int, seed: int) -> Counter[str]:
    """Let a decoder read ``count`` spoilt messages. Raises: Broken."""
    random = Random(f"{seed} {target.name}")
    ends: Counter[str] = Counter()
    for number in range(count):
        if number % _FRESH_AFTER == 0:
            made = target.make()
        data = spoilt(random, target.messages)
        try:
            ends[target.judge(made, data)] += 1
        except Exception as error:
            raise Broken(f"{target.name}: {data!r}: {error!r}") from error
    return ends


def fuzz_stream(target: Stream, count: int, seed: int) -> Counter[str]:
    """Let a framing cut up ``count`` spoilt streams. Raises: Broken."""
    random = Random(f"{seed} {target.name}")
    ends: Counter[str] = Counter()
    for _ in range(count):
        data = spoilt(random, [target.stream])
        cuts = [random.randrange(1 << 16) for _ in range(random.randrange(5))]
        try:
            ends[target.judge(data, cuts)] += 1
        except Exception as error:
            raise Broken(f"{target.name}: {data!r} cut at {cuts}: {error!r}") from error
    return ends


def main(arguments: list[str] | None = None) -> int:
    """Fuzz; exit code 0 when every promise was kept."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz.feeds", description=__doc__)
    parser.add_argument("--count", type=int, default=100_000, help="inputs in all")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    clock = LiveClock()
    each = -(-options.count // (len(DECODERS) + len(STREAMS)))
    total, broken = 0, 0
    print(f"{'':24}{'inputs':>10}{'read':>10}{'refused':>10}{'passed over':>13}", flush=True)
    for target in (*DECODERS, *STREAMS):
        try:
            if isinstance(target, Decoder):
                ends = fuzz_decoder(target, each, options.seed)
            else:
                ends = fuzz_stream(target, each, options.seed)
        except Broken as error:
            print(f"BROKEN: seed {options.seed}: {error}", flush=True)
            broken += 1
            continue
        total += each
        counts = f"{ends['read']:>10}{ends['refused']:>10}{ends['passed over']:>13}"
        print(f"{target.name:24}{each:>10}{counts}", flush=True)
    print(f"{total} inputs, {broken} broken, seed {options.seed}, {clock.now():.0f} s")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
