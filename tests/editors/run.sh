#!/bin/sh
# Holds the colours of the editors against what the compiler makes of each word of the examples and the library, and lets the
# editors' own clients of the language server do a day's work (clients/). STUDBAY names the binary, TOKENS the program of
# tokens.c.
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

fresh() { # a plan with a slip in it, to be worked on
    cp $here/clients/plan.bay "$folder/plan.bay"
    echo "$folder/plan.bay"
}

if ! command -v node >/dev/null || ! has_packages; then
    missing "the TextMate grammar and the protocol's library: Node, npm or its packages are missing"
else
    node $here/clients/protocol.mjs "$(fresh)" || status=1
    node $here/textmate.mjs "$folder/editors/vscode/syntaxes/studbay.tmLanguage.json" "$folder/tokens" || status=1
fi

if ! command -v nvim >/dev/null; then
    missing "Neovim: there is no nvim"
else
    XDG_STATE_HOME=$folder XDG_DATA_HOME=$folder nvim --headless -u NONE -i NONE -n --cmd "set runtimepath^=$folder/editors/vim" \
        -c "luafile $here/clients/nvim.lua" "$(fresh)" 2>&1 || status=1
    echo
    FAULTS=$folder/faults XDG_STATE_HOME=$folder XDG_DATA_HOME=$folder nvim -es -u NONE -i NONE -n \
        --cmd "let g:tokens = '$folder/tokens'" --cmd "set runtimepath^=$folder/editors/vim" -S $here/vim.vim || status=1
    cat "$folder/faults"
fi

if ! command -v emacs >/dev/null; then
    missing "Emacs: there is no emacs"
else
    eglot=$(find /usr/share/emacs/site-lisp/elpa -maxdepth 1 -name 'eglot-*' 2>/dev/null | head -n 1)
    if [ -z "$eglot" ]; then
        missing "Emacs' client: there is no eglot"
    else
        HOME=$folder emacs -Q --batch --eval '(let ((default-directory "/usr/share/emacs/site-lisp/elpa/")) (normal-top-level-add-subdirs-to-load-path))' \
            -l "$folder/editors/emacs/studbay-mode.el" -l $here/clients/eglot.el "$(fresh)" 2>&1 | grep '^emacs: ' >"$folder/said" || status=1
        cat "$folder/said"
        grep -q '^emacs: opened, .* closed$' "$folder/said" || status=1
    fi
    HOME=$folder emacs -Q --batch -l "$folder/editors/emacs/studbay-mode.el" -l $here/emacs.el "$folder/tokens" 2>&1 || status=1
fi

exit $status
