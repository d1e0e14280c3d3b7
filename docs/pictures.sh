#!/usr/bin/env bash
# Makes the pictures that README shows, from the real output. Needs LibreOffice and poppler.
set -euo pipefail
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
soffice --headless "-env:UserInstallation=file://$work/profile" --convert-to pdf --outdir "$work" reports/sample-2026-10.xlsx >/dev/null
pdftoppm -r 80 -png -f 1 -l 1 -singlefile "$work/sample-2026-10.pdf" docs/this-month
pdftoppm -r 70 -png -f 2 -l 2 -singlefile "$work/sample-2026-10.pdf" docs/do-next
