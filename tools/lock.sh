#!/usr/bin/env bash
# Pin everything that is installed, with the hash of every published file, into requirements/*.txt.
#
# The in-files are pyproject.toml (run time and extras) and requirements/*.in. Settings of this machine's
# pip (mirrors, folders of wheels, caps) are left out of it, so that the result is the same anywhere. Files already
# there keep their versions; `tools/lock.sh --upgrade` looks for newer ones.
#
# Usage: tools/lock.sh PYTHON [pip-compile options], where PYTHON has pip-tools, or none of it for a first lock.
set -euo pipefail
cd "$(dirname "$0")/.."
python=$1
shift

unset PIP_FIND_LINKS PIP_CONSTRAINT PIP_EXTRA_INDEX_URL PIP_INDEX_URL PIP_NO_INDEX
export PIP_CONFIG_FILE=/dev/null CUSTOM_COMPILE_COMMAND="make lock"

options=(--quiet --generate-hashes --allow-unsafe --strip-extras --no-header
         --no-emit-index-url --no-emit-find-links --no-emit-trusted-host --no-emit-options "$@")

compile() {  # compile NAME SOURCES...
    local name=$1
    shift
    echo "locking requirements/$name.txt"
    "$python" -m piptools compile "${options[@]}" --output-file "requirements/$name.txt" "$@"
    if ! head -n 1 "requirements/$name.txt" | grep -q '^# Made by'; then
        sed -i '1i # Made by `make lock` for CPython 3.11 on x86-64 Linux. Do not edit.' "requirements/$name.txt"
    fi
}

compile lock requirements/lock.in
compile runtime pyproject.toml requirements/build.in
# The same release everywhere: what is tested and measured is what is run.
compile test --extra test --constraint requirements/runtime.txt pyproject.toml requirements/build.in
compile bench --extra bench --constraint requirements/runtime.txt pyproject.toml requirements/build.in
