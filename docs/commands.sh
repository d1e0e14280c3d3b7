#!/usr/bin/env bash
# Fills in what the commands on docs/commands/*.md print: `docs/commands.sh path/to/sparemesh`, from the project's folder.
set -euo pipefail
PROGRAM=$(realpath "$1") NO_COLOR=1 python3 - docs/commands/*.md <<'PY'
import os, re, subprocess, sys

def filled(block):
    command = re.match(r"\$ sparemesh (.*?)(?: \| head -(\d+))?$", block.split("\n")[0])
    done = subprocess.run([os.environ["PROGRAM"], *command[1].split()], capture_output=True, text=True)
    lines = done.stdout.rstrip("\n").split("\n")
    return "\n".join([block.split("\n")[0], *lines[: int(command[2] or len(lines))]])

for path in sys.argv[1:]:
    text = open(path, encoding="utf-8").read()
    text = re.sub(r"(?<=```console\n)(.*?)(?=\n```)", lambda m: filled(m[1]), text, flags=re.S)
    open(path, "w", encoding="utf-8").write(text)
PY
