"""What `spares_scale` does, with general-purpose libraries: `spares.py DIR` after `spares_scale -- --write DIR`.

Marginal analysis of 100,000 drawn pools with scipy and a heap; the choice of spare types with HiGHS through scipy,
by `.ci/outside/optimum.py`, which also checks that the answers agree.
"""

import heapq
import os
import subprocess
import sys
import time

import numpy as np
from scipy.stats import poisson

COUNT, STOP = 100_000, 0.25


def walk():
    random = np.random.default_rng(7)
    mean = 0.01 + 0.5 * random.random(COUNT)
    price = 500 + 20_000 * random.random(COUNT)
    weight = 876_000 * random.random(COUNT)
    # P(D > s) for the first stocks of every pool at once.
    above = np.stack([poisson.sf(s, mean) for s in range(24)], axis=1)
    gain = weight[:, None] * above / price[:, None]
    heap = [(-gain[at, 0], at, 0) for at in range(COUNT)]
    heapq.heapify(heap)
    bought = 0
    while heap and -heap[0][0] > STOP:
        _, at, stock = heapq.heappop(heap)
        bought += 1
        if stock + 1 < 24:
            heapq.heappush(heap, (-gain[at, stock + 1], at, stock + 1))
    return bought


began = time.perf_counter()
bought = walk()
print(f"{COUNT} pools of marginal analysis: {bought} purchases in {time.perf_counter() - began:.2f} s (scipy, numpy, heapq)")
here = os.path.dirname(os.path.abspath(__file__))
began = time.perf_counter()
subprocess.run([sys.executable, os.path.join(here, "../../.ci/outside/optimum.py"), sys.argv[1], "60"], check=True)
print(f"HiGHS through scipy took {time.perf_counter() - began:.1f} s")
