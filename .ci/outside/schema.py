"""What `--json` prints held to docs/sparemesh.schema.json by the jsonschema library: `schema.py PROGRAM`."""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import jsonschema

PROGRAM = sys.argv[1]
SCHEMA = json.loads(Path("docs/sparemesh.schema.json").read_text(encoding="utf-8"))
jsonschema.Draft202012Validator.check_schema(SCHEMA)
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def printed(*args):
    done = subprocess.run([PROGRAM, *args, "--json", "-q"], capture_output=True, check=False)
    return json.loads(done.stdout)


def errors(document):
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in VALIDATOR.iter_errors(document)]


def main():
    with tempfile.TemporaryDirectory() as folder:
        book = f"{folder}/r.xlsx"
        asked = [
            ["check", "sample-data", "--records"],
            ["rate", "sample-data"],
            ["rate", "sample-data", "--working", "CV-501"],
            ["substitute", "CV-503", "sample-data", "--top", "50"],
            ["explain", "CV-503", "shelf:S-1002", "sample-data"],
            ["plan", "sample-data"],
            ["plan", "sample-data", "--rates", "3", "--budget", "20000"],
            ["report", "sample-data/2026-09", "--month", "2026-09", "-o", book],
            ["report", "sample-data", "--month", "2026-10", "-o", book],
            ["tables"],
            ["tables", "findings", "IN-008"],
        ]
        for args in asked:
            found = errors(printed(*args))
            assert not found, f"{args}: {found[:5]}"
    # A check that finds nothing in a document that is wrong would be none.
    wrong = printed("plan", "sample-data")
    wrong["gap"] = "small"
    wrong["lines"][0]["more"] = 1
    assert len(errors(wrong)) == 2, errors(wrong)
    print(f"{len(asked)} documents are as docs/sparemesh.schema.json says")


main()
