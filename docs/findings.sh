#!/usr/bin/env bash
# Writes docs/findings.md from the program's own table: `docs/findings.sh path/to/sparemesh`.
set -euo pipefail
program=$1
cd "$(dirname "$0")"
{
    echo "# What a finding means, and how to mend it"
    echo
    echo "Made by \`docs/findings.sh\` from the program's own table; \`sparemesh tables findings CODE\` prints one of them."
    "$program" tables findings --json | grep -oE '"[A-Z]{2}-[0-9]{3}"' | tr -d '"' | while read -r code; do
        "$program" tables findings "$code" --json | python3 -c '
import json, sys
f = json.load(sys.stdin)
print("\n## {code} ({severity})\n\n{meaning}\n\n*Cure:* {cure}".format(**f))'
    done
} > findings.md
