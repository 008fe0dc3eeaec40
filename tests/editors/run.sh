#!/bin/sh
# Holds the colours of the editors against what the compiler makes of each word of the examples and the library. STUDBAY names
# the binary, TOKENS the program of tokens.c.
#
# An editor that is not there is left out, and that is said; with EDITORS=must it fails.
set -eu
cd "$(dirname "$0")/../.."
here=tests/editors
status=0

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

missing() {
    echo "editors: not run: $1"
    [ "${EDITORS:-}" != must ] || status=1
}

has_packages() { # those of package-lock.json, fetched once for each state of the list; node_modules is never committed
    cmp -s $here/package-lock.json $here/node_modules/.studbay-lock && return
    command -v npm >/dev/null || return
    (cd $here && npm ci --no-audit --no-fund --silent) && cp $here/package-lock.json $here/node_modules/.studbay-lock
}

sh src/editors/make.sh "$STUDBAY" "$folder/editors"
"$TOKENS" examples/*/*.bay stdlib/*.bay stdlib/*/*.bay >"$folder/tokens"

if ! command -v node >/dev/null || ! has_packages; then
    missing "the TextMate grammar: Node, npm or its packages are missing"
else
    node $here/textmate.mjs "$folder/editors/vscode/syntaxes/studbay.tmLanguage.json" "$folder/tokens" || status=1
fi

if ! command -v nvim >/dev/null; then
    missing "the Vim syntax: there is no nvim"
else
    FAULTS=$folder/faults XDG_STATE_HOME=$folder XDG_DATA_HOME=$folder nvim -es -u NONE -i NONE -n \
        --cmd "let g:tokens = '$folder/tokens'" --cmd "set runtimepath^=$folder/editors/vim" -S $here/vim.vim || status=1
    cat "$folder/faults"
fi

if ! command -v emacs >/dev/null; then
    missing "the Emacs mode: there is no emacs"
else
    HOME=$folder emacs -Q --batch -l "$folder/editors/emacs/studbay-mode.el" -l $here/emacs.el "$folder/tokens" 2>&1 || status=1
fi

exit $status
