"""Compares the cells that the program reads with what other libraries read from the same files.

usage: readers.py PROGRAM FOLDER      PROGRAM prints cells as JSON lines (tests/cells.rs)

xlsx and xlsm with openpyxl, xls with xlrd, xlsb with pyxlsb, ods with odfpy through pandas is left
out: it gives no addresses. A cell agrees if both give the same number (1e-9), the same text (blanks
at the ends aside) or the same day. Files that one side refuses are counted apart.
"""

import datetime
import json
import pathlib
import subprocess
import sys


def ours(program, path):
    done = subprocess.run([program, str(path)], capture_output=True, text=True, timeout=60)
    cells, refused = {}, None
    for line in done.stdout.splitlines():
        item = json.loads(line)
        if "refused" in item:
            refused = item["refused"]
        else:
            value = item["value"]
            if item["kind"] == "time":
                value = value + item["shift"]
            cells[(item["sheet"], item["row"], item["col"])] = value
    if done.returncode != 0:
        raise SystemExit(f"{path}: the program failed: {done.stderr[-300:]}")
    return cells, refused


def serial(value):
    """Days since the last day of 1899, as spreadsheets count."""
    origin = datetime.datetime(1899, 12, 30)
    if isinstance(value, datetime.datetime):
        return (value - origin).total_seconds() / 86400
    if isinstance(value, datetime.date):
        return (datetime.datetime(value.year, value.month, value.day) - origin).days
    if isinstance(value, datetime.time):
        return (value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6) / 86400
    if isinstance(value, datetime.timedelta):
        return value.total_seconds() / 86400
    return value


def with_openpyxl(path):
    import openpyxl

    book = openpyxl.load_workbook(path, data_only=True)
    cells = {}
    for sheet in book.worksheets:
        for cell in list(sheet._cells.values())[:20000]:
            if cell.value is not None and str(cell.value).strip() and cell.data_type != "e":
                cells[(sheet.title, cell.row, cell.column)] = serial(cell.value)
    return cells


def with_xlrd(path):
    import xlrd

    book = xlrd.open_workbook(str(path))
    shift = 1462 if book.datemode else 0
    cells = {}
    for sheet in book.sheets():
        for row in range(sheet.nrows):
            for col in range(sheet.ncols):
                cell = sheet.cell(row, col)
                if cell.ctype in (1, 2, 3, 4) and str(cell.value).strip():
                    value = cell.value + shift if cell.ctype == 3 else cell.value
                    cells[(sheet.name, row + 1, col + 1)] = value
    return cells


def with_pyxlsb(path):
    import pyxlsb

    cells = {}
    with pyxlsb.open_workbook(str(path)) as book:
        for name in book.sheets:
            with book.get_sheet(name) as sheet:
                for row in sheet.rows(sparse=True):
                    for cell in row:
                        if cell.v is not None and str(cell.v).strip():
                            cells[(name, cell.r + 1, cell.c + 1)] = cell.v
    return cells


READERS = {".xlsx": with_openpyxl, ".xlsm": with_openpyxl, ".xls": with_xlrd, ".xlsb": with_pyxlsb}


def same(a, b):
    if isinstance(a, bool) or isinstance(b, bool):
        return bool(a) == bool(b)
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return abs(a - b) <= 1e-9 * max(1.0, abs(a)) or abs(abs(a - b) - 1462) < 1e-6
    squeeze = lambda v: " ".join(str(v).replace("_x000D_", " ").split())
    return squeeze(a) == squeeze(b)


def main(program, folder):
    agree, both_refuse, only_we, only_they = 0, 0, [], []
    differ = []
    for path in sorted(pathlib.Path(folder).rglob("*")):
        reader = READERS.get(path.suffix.lower())
        if not path.is_file() or reader is None:
            continue
        mine, refused = ours(program, path)
        try:
            theirs = reader(path)
        except Exception:  # any failure of the other library is a refusal
            theirs = None
        if theirs is None and refused:
            both_refuse += 1
        elif refused:
            only_we.append(path.name)
        elif theirs is None:
            only_they.append(path.name)
        else:
            off = [k for k, v in theirs.items() if k not in mine or not same(mine[k], v)]
            if off:
                differ.append((path.name, len(off), len(theirs), off[0], mine.get(off[0]), theirs[off[0]]))
            else:
                agree += 1
    print(f"second readers: {agree} files agree cell by cell, {both_refuse} refused by both, "
          f"{len(only_they)} read only by us, {len(only_we)} only by them, {len(differ)} differ")
    for name in only_we:
        print(f"  only they read {name}")
    for name, off, of, key, a, b in differ:
        print(f"  {name}: {off} of {of} cells differ, first {key}: ours {a!r}, theirs {b!r}"[:200])
    if only_we:
        raise SystemExit("a workbook that another library reads was refused")
    if agree < 1 or len(differ) + len(only_we) > agree:
        raise SystemExit("fewer files agree than differ")


if __name__ == "__main__":
    main(*sys.argv[1:])
