"""Draws the files that both sides read: `draw.py DIR`.

large.xlsx: 100,000 rows of 20 columns, half of them text. names/fleet.csv and names/models.csv: 20,000 positions whose
models are written as people write them (case, spaces, dashes), and one in ten with a letter lost or two exchanged, against
a catalogue of 3,000; the model meant is known.
"""

import csv
import os
import random
import sys

import openpyxl

HEADINGS = [
    "Tag", "Area", "Driven machine", "Maker", "Model", "Serial", "Gear train", "Axes", "Mounting", "Remarks", "Ratio",
    "Motor power [kW]", "Motor speed", "Absorbed power [kW]", "Hours per day", "Output shaft [mm]", "Shaft height [mm]",
    "Mass [kg]", "Starts per hour", "Ambient [°C]",
]
WORDS = ["Alder", "Birch", "Cedar", "Damson", "Elder", "Fig", "Gorse", "Hazel", "Ivy", "Juniper"]


def large(path):
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Fleet")
    sheet.append(HEADINGS)
    for k in range(100_000):
        sheet.append([
            f"T-{k:06}", f"Area {k % 37}", "Pump, centrifugal", f"Maker {k % 7}", f"Model {k % 900}", f"S{k:07}",
            "helical", "parallel", "foot", f"remark {k % 5000} of the crew", 8 + k % 40, 1 + k % 90, 1460, 1 + k % 80,
            24, 60, 160, 200, 4, 35,
        ])
    book.save(path)


def spoilt(name, draw):
    """How a person writes it, and whether letters were lost."""
    written = draw.choice([name, name.upper(), name.lower(), name.replace(" ", "-"), name.replace(" ", "")])
    if draw.random() > 0.1:
        return written, False
    at = draw.randrange(1, 4)
    if draw.random() < 0.5:
        return written[:at] + written[at + 1:], True
    return written[:at] + written[at + 1] + written[at] + written[at + 2:], True


def names(folder):
    draw = random.Random(5)
    os.makedirs(folder, exist_ok=True)
    models = [f"{WORDS[k % 10]} {100 + k}" for k in range(3_000)]
    with open(os.path.join(folder, "models.csv"), "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(["Maker", "Model", "Ratio", "n1 [rpm]", "Rated torque [Nm]", "Gear type"])
        for k, model in enumerate(models):
            out.writerow(["Ember", model, 20, 1450, 500 + k, "helical"])
    with open(os.path.join(folder, "fleet.csv"), "w", newline="", encoding="utf-8") as file, \
            open(os.path.join(folder, "meant.csv"), "w", newline="", encoding="utf-8") as known:
        out, meant = csv.writer(file), csv.writer(known)
        out.writerow(["Tag", "Driven machine", "Motor power [kW]", "Motor speed", "Make", "Type", "Ratio"])
        meant.writerow(["tag", "model", "letters_lost"])
        for k in range(20_000):
            model = models[draw.randrange(len(models))]
            written, lost = spoilt(model, draw)
            out.writerow([f"P-{k:05}", "Pump, centrifugal", 11, 1460, "Ember", written, 20])
            meant.writerow([f"P-{k:05}", model, int(lost)])


if __name__ == "__main__":
    os.makedirs(sys.argv[1], exist_ok=True)
    large(os.path.join(sys.argv[1], "large.xlsx"))
    names(os.path.join(sys.argv[1], "names"))
