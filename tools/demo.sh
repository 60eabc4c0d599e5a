#!/usr/bin/env bash
# The main job on a demo bike: another fork, headset cup, chip and spring, and everything that follows from them, on
# screen and on paper.
#
# Usage: tools/demo.sh COMMAND      COMMAND is the installed bikewright.
#
# Each command is shown before it runs. Exit code 1 says that a rider would feel the change, which is the point of the
# demo; 2 and 3 are failures. At the end the workbench is opened on the demo bike, unless SERVE is 0.
set -euo pipefail
cd "$(dirname "$0")/.."
bikewright=$1
change=(--with fork=single-crown-170 --with headset=reach-plus-5 --with chips.shock_mount=high)
drawings=build/demo
mkdir -p "$drawings"

show() {
    local code=0
    echo
    echo "\$ bikewright $*"
    echo
    "$bikewright" "$@" || code=$?
    if [[ $code -gt 1 ]]; then
        echo "the demo stopped: exit code $code" >&2
        exit "$code"
    fi
}

coil=(--with fork=single-crown-170 --with headset=reach-plus-5 --with shock=coil-230x57)

show compare examples/quillback --build stock "${change[@]}" --drawing "$drawings/side-view.svg"
show compare examples/quillback --build stock "${coil[@]}" --sizes
show check examples/quillback --build stock "${coil[@]}"
show curve examples/quillback --build stock leverage_ratio "${change[@]}" --out "$drawings/leverage.svg"
show note examples/quillback --build stock "${coil[@]}" --sizes --out "$drawings/change-note.pdf"

echo
echo "On paper, the bike before the change dashed:"
for sheet in "$drawings"/side-view.svg "$drawings"/leverage.svg "$drawings"/change-note.pdf; do
    echo "  $sheet"
done

if [[ ${SERVE:-1} != 0 ]]; then
    echo
    echo "The workbench, until Ctrl-C:"
    exec "$bikewright" serve examples/quillback
fi
