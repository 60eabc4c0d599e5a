#!/usr/bin/env bash
# Install the Debian packages named in a file, where they are missing and we may.
#
# Without root it says what is missing and goes on: the tests that need the package then fail and name it.
set -euo pipefail
list=$1

missing=()
while read -r package; do
    [[ -z $package || $package == \#* ]] && continue
    status=$(dpkg-query --show --showformat='${db:Status-Status}' "$package" 2>/dev/null || true)
    [[ $status == installed ]] || missing+=("$package")
done < "$list"
(( ${#missing[@]} )) || exit 0

if (( EUID != 0 )) || ! command -v apt-get > /dev/null; then
    echo "missing system packages: ${missing[*]} (as root: apt-get install ${missing[*]})" >&2
    exit 0
fi
echo "installing system packages: ${missing[*]}"
log=$(mktemp)
trap 'rm -f "$log"' EXIT
export DEBIAN_FRONTEND=noninteractive
if ! { apt-get update && apt-get install --yes --no-install-recommends "${missing[@]}"; } > "$log" 2>&1 < /dev/null; then
    tail -n 30 "$log" >&2
    exit 1
fi
