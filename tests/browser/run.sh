#!/bin/sh
# Writes the job book of every example and opens them all in a browser (book_test.mjs). STUDBAY names the binary.
#
# Where Chromium, Node or the packages of package-lock.json are missing and cannot be fetched it says so and passes; with
# BROWSER=must it fails. CHROMIUM names another browser.
set -eu
cd "$(dirname "$0")/../.."
here=tests/browser

missing() {
    echo "browser: not run: $1"
    [ "${BROWSER:-}" != must ]
    exit
}

CHROMIUM=${CHROMIUM:-$(command -v chromium || command -v chromium-browser || true)}
export CHROMIUM
[ -n "$CHROMIUM" ] || missing "there is no chromium"
command -v node >/dev/null || missing "there is no node"
# the packages, once for each state of the list; node_modules is never committed
if ! cmp -s $here/package-lock.json $here/node_modules/.studbay-lock; then
    command -v npm >/dev/null || missing "there is no npm"
    (cd $here && npm ci --no-audit --no-fund --silent) || missing "npm cannot fetch the packages"
    cp $here/package-lock.json $here/node_modules/.studbay-lock
fi

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
for plan in examples/*/*.bay; do
    grep -q '^plan ' "$plan" || continue # what others include
    "$STUDBAY" book "$plan" -o "$folder/$(basename "$plan" .bay).html" 2>/dev/null || [ $? -eq 1 ]
done
set -- "$folder"/*.html
[ $# -gt 1 ] || { echo "browser: no book was written"; exit 1; }
node $here/book_test.mjs "$@"
