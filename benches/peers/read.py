"""Reads large.xlsx as one would otherwise: `read.py openpyxl|calamine FILE`; prints JSON with seconds and answer."""

import json
import sys
import time

import pandas as pd

ENGINE, FILE = sys.argv[1:3]
ROUNDS = 1 if ENGINE == "openpyxl" else 3
times = []
for _ in range(ROUNDS):
    began = time.perf_counter()
    frame = pd.read_excel(FILE, engine=ENGINE)
    times.append(time.perf_counter() - began)
answer = {"rows": len(frame), "kw": float(frame["Motor power [kW]"].sum())}
print(json.dumps({"seconds": sorted(times)[len(times) // 2], "answer": answer}))
