"""Rereads the report with openpyxl and lets LibreOffice recalculate it.

The copy given to LibreOffice holds no cached value, so every value that comes back is its own.
A formula planted wrong must be noticed, or the check itself is broken.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from openpyxl import load_workbook


def formulas(path):
    """Address and text of every formula."""
    book = load_workbook(path)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    }


def values(path, addresses):
    """Cached values at the addresses."""
    book = load_workbook(path, data_only=True)
    return {address: book[address[0]][address[1]].value for address in addresses}


def without_values(path, target, planted=None):
    """Saves a copy whose formulas have no values; `planted` replaces one formula."""
    book = load_workbook(path)
    if planted:
        (sheet, cell), formula = planted
        book[sheet][cell].value = formula
    book.save(target)
    assert all(v is None for v in values(target, formulas(target)).values()), "values were left"


def recalculated(path, folder):
    """The same workbook as LibreOffice calculates it."""
    out = folder / "out"
    command = ["soffice", "--headless", f"-env:UserInstallation=file://{folder}/profile", "--convert-to", "xlsx", "--outdir", out, path]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return out / path.name


def differences(ours, theirs):
    """Addresses at which two sets of values differ."""
    out = []
    for address, want in ours.items():
        got = theirs[address]
        if not isinstance(got, (int, float)) or abs(got - float(want)) > 1e-6 * max(1.0, abs(float(want))):
            out.append(f"{address}: ours {want}, recalculated {got}")
    return out


def check(path):
    found = formulas(path)
    assert len(found) >= 10, f"{path}: only {len(found)} formulas"
    ours = values(path, found)
    missing = [address for address, value in ours.items() if value is None]
    assert not missing, f"{path}: no cached value at {missing}"
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        bare = folder / "bare.xlsx"
        without_values(path, bare)
        wrong = differences(ours, values(recalculated(bare, folder), found))
        assert not wrong, f"{path}:\n" + "\n".join(wrong)
        address = next(a for a, v in ours.items() if v)
        planted = folder / "planted.xlsx"
        without_values(path, planted, (address, found[address] + "+1"))
        noticed = differences(ours, values(recalculated(planted, folder), found))
        assert any(str(address) in line for line in noticed), "a planted wrong formula went unnoticed"
    sheets = load_workbook(path, read_only=True).sheetnames
    print(f"{path}: {len(sheets)} sheets reread, {len(found)} formulas recalculated alike, a planted one noticed")


for argument in sys.argv[1:]:
    check(argument)
