"""Compare library and oracle on many random circuits: ``python -m oracle.many 100000 0``.

Arguments: how many circuits, and in what per cent of them one source stands alone. Prints counts;
ends with 1 at the first disagreement. Not part of the tests: they run a sample of the same.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import time

from oracle.generate import random_inputs
from oracle.test_agreement import disagreement

CHUNK = 500


def compare(job: tuple[int, int]) -> tuple[int, list[str]]:
    """Compare a chunk of seeds: how many on every rule, and what disagrees."""
    start, single = job
    compared, wrong = 0, []
    for seed in range(start, start + CHUNK):
        try:
            compared += disagreement(random_inputs(seed, single=single))
        except AssertionError as error:
            wrong.append(f"seed {seed}: {error}")
    return compared, wrong


def main() -> int:
    """Run."""
    count, single = int(sys.argv[1]), int(sys.argv[2])
    start, total, wrong = time.perf_counter(), 0, []
    with multiprocessing.Pool(os.cpu_count()) as pool:
        jobs = [(first, single) for first in range(0, count, CHUNK)]
        for compared, bad in pool.imap_unordered(compare, jobs):
            total += compared
            wrong += bad
    seconds = time.perf_counter() - start
    sys.stdout.write(
        f"{count:,} circuits in {seconds:.0f} s: {total:,} compared on every rule, the others by "
        f"verdict where the rules leave room; {len(wrong)} disagree\n"
    )
    sys.stdout.writelines(f"{line}\n" for line in wrong[:20])
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
