#!/usr/bin/env bash
# Draws the pictures of the README anew, out of the demonstration. Needs libreoffice-calc and poppler-utils.
set -euo pipefail
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
python3 -c "import sys; from costing.cli import main; sys.argv = ['creamery', 'demo', '$work/demo']; main()" >/dev/null
soffice --headless --convert-to pdf --outdir "$work" "$work/demo/workbook.xlsx" >/dev/null 2>&1
pdftoppm -png -r 110 -f 1 -l 1 -x 20 -y 50 -W 1170 -H 560 -singlefile "$work/workbook.pdf" .pictures/flavours
pdftotext "$work/workbook.pdf" "$work/workbook.txt"
page=$(awk 'BEGIN{RS="\f"} /Slow-steeped/ && /What it costs/ {if (!n) n = NR} END {print n}' "$work/workbook.txt")
pdftoppm -png -r 110 -f "$page" -l "$page" -x 20 -y 50 -W 1170 -H 800 -singlefile "$work/workbook.pdf" .pictures/cost
pdftoppm -png -r 150 -singlefile "$work/demo/panels/coffee.pdf" .pictures/panel-wide
run() { python3 -c "import sys; from costing.cli import main; sys.argv = ['creamery', *sys.argv[1:]]; main()" "$@" >/dev/null 2>&1; }
run label "$work/demo" coffee --form dual --height "4.5 in" --out "$work/upright"
pdftoppm -png -r 150 -singlefile "$work/upright/coffee.pdf" .pictures/panel
run label "$work/demo" pistachio --out "$work/label"
pdftoppm -png -r 100 -f 1 -l 1 -singlefile "$work/label/pistachio-label.pdf" .pictures/label
run batch-sheet "$work/demo" prune --for "24 pints" --out "$work/sheet.pdf"
pdftoppm -png -r 90 -f 1 -l 1 -singlefile "$work/sheet.pdf" .pictures/batch-sheet
run flow "$work/demo" quince --out "$work/flow"
cp "$work/flow/quince-flow.png" .pictures/flow.png
