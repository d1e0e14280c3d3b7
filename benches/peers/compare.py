"""Runs this program and its peers in turn on the same files and prints a table of ratios: `compare.py DIR`.

Called by `run`. Stops with an error where answers differ.
"""

import json
import os
import platform
import subprocess
import sys
from importlib.metadata import version

HERE = os.path.dirname(os.path.abspath(__file__))
WORK = sys.argv[1]
LINE = "{:<46} {:>11} {:<22} {:>9} {:>12}  {}"


def bench(name, *args):
    command = ["cargo", "bench", "--quiet", "--bench", name, "--", *args]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def peer(script, *args):
    command = [sys.executable, os.path.join(HERE, script), *args]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def row(what, own, who, theirs, answers):
    print(LINE.format(what, f"{own:.3f} s", who, f"{theirs:.2f} s", f"{theirs / own:.1f}", answers), flush=True)


def reading():
    file = os.path.join(WORK, "large.xlsx")
    own = json.loads(bench("own_side", "read", file))
    for engine in ["openpyxl", "calamine"]:
        theirs = json.loads(peer("read.py", engine, file))
        same = own["answer"]["rows"] == theirs["answer"]["rows"]
        same = same and abs(own["answer"]["kw"] - theirs["answer"]["kw"]) < 1e-6
        if not same:
            sys.exit(f"answers differ: {own['answer']} and {theirs['answer']}")
        row("read 100,000 x 20 cells (we: typed records)", own["seconds"], f"pandas + {engine}", theirs["seconds"], "the same rows and sum")


def naming():
    files = [os.path.join(WORK, "names", name) for name in ["fleet.csv", "models.csv"]]
    own, theirs = json.loads(bench("own_side", "names", *files)), json.loads(peer("names.py", *files))
    with open(os.path.join(WORK, "names", "meant.csv"), encoding="utf-8") as file:
        meant = {tag: (model, lost == "1") for tag, model, lost in (line.strip().split(",") for line in list(file)[1:])}
    said = []
    for side in [own, theirs]:
        found = {tag: model for tag, model in side["answer"]}
        whole = [tag for tag, (model, lost) in meant.items() if not lost and found.get(tag) != model]
        if whole:
            sys.exit(f"{len(whole)} names written whole are not found, the first {whole[0]}: {found.get(whole[0])}")
        spoilt = [tag for tag, (_, lost) in meant.items() if lost]
        right = sum(found.get(tag) == meant[tag][0] for tag in spoilt)
        wrong = sum(found.get(tag) not in (None, meant[tag][0]) for tag in spoilt)
        said.append(f"{right} right, {wrong} wrong")
    row("20,000 model names in a catalogue of 3,000", own["seconds"], "pandas + rapidfuzz", theirs["seconds"],
        f"whole names the same; of {len(spoilt)} spoilt: we {said[0]}; they {said[1]}")


def fitting():
    sizes = ["1000", "10000"]
    bench("fit_scale", *sizes, "--write", WORK)
    for line in peer("fit.py", *[os.path.join(WORK, size) for size in sizes]).splitlines()[1:]:
        count, own, theirs, _, answers = line.split(maxsplit=4)
        row(f"fit, all pairs of {count} x {count}", float(own), "DuckDB + pandas, 6 gates", float(theirs), answers)


def spares():
    folder = os.path.join(WORK, "spares")
    for line in bench("spares_scale", "--seed", "1", "--write", folder).splitlines():
        print("  " + line)
    for line in peer("spares.py", folder).splitlines():
        print("  " + line)


libraries = ["pandas", "openpyxl", "python-calamine", "duckdb", "rapidfuzz", "scipy"]
print(f"Python {platform.python_version()}; " + ", ".join(f"{name} {version(name)}" for name in libraries))
subprocess.run([sys.executable, os.path.join(HERE, "draw.py"), WORK], check=True)
print(LINE.format("what", "sparemesh", "peer", "peer", "peer / ours", "answers"))
reading()
naming()
fitting()
print("the choice of spares, and 100,000 pools of marginal analysis:")
spares()
