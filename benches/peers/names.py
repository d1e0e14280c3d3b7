"""Finds each model in the catalogue with rapidfuzz: `names.py FLEET MODELS`; prints JSON with seconds and answer.

Case, spaces and dashes are taken off first, and what is then equal is joined; the rest is held against every name.
"""

import json
import re
import sys
import time

import pandas as pd
from rapidfuzz import fuzz, process


def bare(text):
    return re.sub(r"[^0-9a-z]", "", str(text).lower())


times = []
for _ in range(3):
    began = time.perf_counter()
    fleet, models = pd.read_csv(sys.argv[1]), pd.read_csv(sys.argv[2])
    listed = {bare(m): m for m in models["Model"]}
    keys = list(listed)
    typed = [bare(t) for t in fleet["Type"]]
    rest = sorted({t for t in typed if t not in listed})
    found = {}
    if rest:
        scores = process.cdist(rest, keys, scorer=fuzz.ratio, workers=2)
        found = {text: keys[at] for text, at in zip(rest, scores.argmax(axis=1))}
    answer = [[tag, listed[t if t in listed else found[t]]] for tag, t in zip(fleet["Tag"], typed)]
    times.append(time.perf_counter() - began)
print(json.dumps({"seconds": sorted(times)[1], "answer": answer}))
