#!/bin/sh
# The pictures of the documentation: each is what the command in the block above it draws.
#
#   pictures.sh --write    draws all of them anew; those of the phone's page where Chromium is there
#   pictures.sh --check    says which of the sheets are not what their command draws, and fails
#
# From the top of the tree, STUDBAY naming the binary. A block is fenced, of the language `picture`, and holds one
# command: studbay draw ... -o FILE.svg, or studbay book ... -o FILE.html, whose picture is FILE.png: the top of the page.
set -eu

what=${1:?"usage: pictures.sh --write|--check"}
studbay=${STUDBAY:?"STUDBAY names no binary"}
pages="README.md docs/*.md"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
wrong=0

commands() { # the commands of the pages, one a line, without the name of the program
    # shellcheck disable=SC2086  # a list of patterns
    awk '/^```picture$/ { inside = 1; next } /^```$/ { inside = 0 } inside { sub(/^studbay /, ""); print }' $pages
}

same_or_written() { # same_or_written DRAWN FILE
    if [ "$what" = --write ]; then
        cp "$1" "$2"
    elif ! cmp -s "$1" "$2"; then
        echo "$2 is not what its command draws; make docs draws it anew" >&2
        wrong=1
    fi
}

sheet() { # sheet FILE ARGUMENT...: the words after the file are the command without its -o
    file=$1
    shift
    "$studbay" "$@" -o "$scratch/sheet.svg" >/dev/null 2>&1
    same_or_written "$scratch/sheet.svg" "$file"
}

# A browser's letters are not those of another: the pictures of the phone's page are drawn, never compared.
phone() { # phone FILE ARGUMENT...
    file=$1
    shift
    [ "$what" = --write ] && command -v chromium >/dev/null 2>&1 || return 0
    "$studbay" "$@" -o "$scratch/book.html" >/dev/null 2>&1
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-device-scale-factor=2 --window-size=360,1500 \
        --screenshot="$scratch/phone.png" "file://$scratch/book.html" >/dev/null 2>&1
    cp "$scratch/phone.png" "${file%.html}.png"
}

commands >"$scratch/commands"
[ -s "$scratch/commands" ] || { echo "no page has a picture" >&2; exit 1; }
while IFS= read -r line; do
    file=${line##* -o }
    # shellcheck disable=SC2086  # the words of the command
    case $file in
    *.svg) sheet "$file" ${line% -o *} ;;
    *.html) phone "$file" ${line% -o *} ;;
    *) echo "$line: neither a sheet nor a page" >&2; exit 1 ;;
    esac </dev/null
done <"$scratch/commands"
exit $wrong
