#!/bin/sh
# The folders for editors, made of the files here and of what the binary says of its language: sh src/editors/make.sh STUDBAY OUT
#
# In the files @STATEMENTS@ stands for the words that begin a statement, @OPTIONS@ for those that stand behind them on its line,
# @UNITS@ for the units and @VERSION@ for the version of studbay: each list parted by what follows the name, as in @STATEMENTS:|@.
set -eu
studbay=$1
mkdir -p "$2"
out=$(cd "$2" && pwd)
here=$(dirname "$0")
fields=$(cat "$here/../cmd/fields.awk")

lists=$(mktemp)
trap 'rm -f "$lists"' EXIT

# A line for each word: its list and itself.
"$studbay" list forms --format csv | tr -d '\r' | awk "$fields"'
function add(list, word) { if (word ~ /^[a-z][a-z0-9-]*$/ && !seen[list word]++) print list, word }

NR > 1 {
    fields($0)
    if (field[5] ~ /block/) add("STATEMENTS", field[1])
    if (field[5] ~ /line/) add("OPTIONS", field[1])
    pattern = field[3]
    gsub(/<[a-z]+>/, " ", pattern)
    n = split(pattern, word, /[^a-z0-9-]+/)
    for (i = 1; i <= n; i++) add("OPTIONS", word[i])
}
' | LC_ALL=C sort >"$lists"
"$studbay" list units --format csv | tr -d '\r' | sed -n '2,$ s/^\([^,]*\),.*/UNITS \1/p' | grep -v '[/%]' >>"$lists"
printf 'VERSION %s\n' "$("$studbay" --version | sed 's/^[^0-9]*//')" >>"$lists"

# Each @LIST:SIGN@ of the files becomes its words with the sign between them.
cd "$here"
find . -type f ! -name make.sh | LC_ALL=C sort | while IFS= read -r file; do
    mkdir -p "$out/$(dirname "$file")"
    awk -v lists="$lists" '
    BEGIN {
        while ((getline line < lists) > 0) {
            split(line, part, " ")
            words[part[1]] = words[part[1]] (part[1] in words ? " " : "") part[2]
        }
    }
    {
        while (match($0, /@[A-Z]+(:[^@]+)?@/)) {
            name = substr($0, RSTART + 1, RLENGTH - 2)
            sign = " "
            if (index(name, ":")) { sign = substr(name, index(name, ":") + 1); sub(/:.*/, "", name) }
            if (!(name in words)) { print FILENAME ": there is no list " name >"/dev/stderr"; exit 1 }
            n = split(words[name], word, " ")
            filled = ""
            for (i = 1; i <= n; i++) filled = filled (i > 1 ? sign : "") word[i]
            $0 = substr($0, 1, RSTART - 1) filled substr($0, RSTART + RLENGTH)
        }
        print
    }' "$file" >"$out/$file.new"
    mv "$out/$file.new" "$out/$file"
done
