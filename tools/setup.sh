#!/usr/bin/env bash
# Bring a virtual environment to the state of a lock, and the project's built wheel into it.
#
# Usage: tools/setup.sh runtime|test|bench|lock FOLDER
#
# The folder remembers which lock and which wheel it holds (written last, so that a broken-off run is seen), and is
# built anew when the lock changed, the Python changed or the checkout moved. The test lock holds all of the run-time
# lock at the same releases, so one folder serves both.
set -euo pipefail
cd "$(dirname "$0")/.."
lock=$1
venv=$2
python=${PYTHON:-python3}

if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2> /dev/null; then
    echo "bikewright needs Python 3.11 or newer; found $("$python" --version 2>&1 || echo none) as '$python'." >&2
    echo "Name another with: make PYTHON=/path/to/python3.11 ..." >&2
    exit 2
fi

state_of() { echo "$1 $(sha256sum < "requirements/$1.txt" | cut -c1-64) $("$python" --version) $PWD/$venv"; }
wanted=$(state_of "$lock")
found=$(cat "$venv/lock-state" 2> /dev/null || true)
"$venv/bin/python" -c '' 2> /dev/null || found=

pip_install() { "$venv/bin/python" -m pip -qq --disable-pip-version-check --no-input install "$@"; }

if [[ $found != "$wanted" && ! ( $lock == runtime && $found == "$(state_of test)" ) ]]; then
    if [[ $lock == test && $found == "$(state_of runtime)" ]]; then
        echo "adding the test packages to $venv"
    else
        echo "setting up $venv from requirements/$lock.txt"
        rm -rf "$venv"
        "$python" -m venv "$venv" || { echo "On Debian: apt-get install python3-venv" >&2; exit 2; }
    fi
    rm -f "$venv/lock-state"
    pip_install --require-hashes -r "requirements/$lock.txt"
    echo "$wanted" > "$venv/lock-state"
fi
[[ $lock != lock ]] || exit 0

# The wheel is the same to the byte while the sources are, so it is installed again only when they changed: a new
# install gives the files a new time, and compiled kernels would be thrown away for it.
mkdir -p .cache
built=$(mktemp -d .cache/wheel.XXXXXX)
trap 'rm -rf "$built"' EXIT
"$venv/bin/python" -m pip -qq --disable-pip-version-check --no-input wheel \
    --no-deps --no-build-isolation --no-index --wheel-dir "$built" .
wheel=$(echo "$built"/*.whl)
digest=$(sha256sum < "$wheel" | cut -c1-64)
if [[ $(cat "$venv/wheel-state" 2> /dev/null || true) != "$digest" ]]; then
    echo "installing $(basename "$wheel") into $venv"
    rm -f "$venv/wheel-state"
    pip_install --no-deps --no-index --force-reinstall "$wheel"
    echo "$digest" > "$venv/wheel-state"
fi
