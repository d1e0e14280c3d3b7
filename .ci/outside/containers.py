"""One fleet as xls, xlsx and csv, written by other libraries, must give the same typed values.

usage: containers.py SPAREMESH
"""

import csv
import json
import pathlib
import subprocess
import sys
import tempfile

FLEET = [
    ["Tag", "Machine", "Motor power [kW]", "Ratio", "Output shaft [mm]", "Hours/day"],
    ["CV-1", "Belt conveyor", 7.5, 24.97, 60, 16],
    ["CV-2", "Bucket elevator", 11, "1:25", "2 3/8 in", 24],
    ["P-3", "Pump, centrifugal", "15 hp", "25 to 1", "n/a", 8],
]


def write(folder):
    import openpyxl
    import xlwt

    old = xlwt.Workbook()
    sheet = old.add_sheet("Fleet")
    for row, cells in enumerate(FLEET):
        for col, cell in enumerate(cells):
            sheet.write(row, col, cell)
    old.save(str(folder / "fleet.xls"))
    new = openpyxl.Workbook()
    for cells in FLEET:
        new.active.append(cells)
    new.save(folder / "fleet.xlsx")
    with open(folder / "fleet.csv", "w", newline="") as out:
        csv.writer(out).writerows(FLEET)


def values(program, path):
    done = subprocess.run(
        [program, "check", str(path), "--json", "--records", "-q"], capture_output=True, text=True
    )
    document = json.loads(done.stdout)
    return [(v["table"], v["field"], v["cell"], v["value"], v["unit"]) for v in document["values"]]


def main(program):
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        write(folder)
        read = {ending: values(program, folder / f"fleet.{ending}") for ending in ("xls", "xlsx", "csv")}
    assert len(read["xlsx"]) == 17, read["xlsx"]
    for ending in ("xls", "csv"):
        assert read[ending] == read["xlsx"], f"{ending}: {read[ending]} is not {read['xlsx']}"
    print(f"containers: xls, xlsx and csv give the same {len(read['xlsx'])} typed values")


if __name__ == "__main__":
    main(*sys.argv[1:])
