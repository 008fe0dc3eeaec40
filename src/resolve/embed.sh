#!/bin/sh
# Writes a folder's files as a C array for embedded.h, to standard output.
#
#   embed.sh ARRAY COUNT FOLDER ENDING      embed.sh embedded_stdlib embedded_stdlib_count stdlib .bay
#
# The same files give the same bytes on every machine: sorted by path in byte order, no dates, no absolute paths.
# A missing or empty folder gives an empty array.
#
# Each byte becomes an octal escape in a string, so that any byte will do; the NUL that C puts behind a string is the
# one that embedded.h promises. There is one process a file, od, and strings are what a compiler reads fastest.
set -eu
LC_ALL=C
export LC_ALL

array=$1 count=$2 folder=$3 ending=$4

list=
if [ -d "$folder" ]; then
    list=$(cd "$folder" && find . -type f -name "*$ending" | sed 's|^\./||' | sort)
fi

each_file() { # each_file COMMAND: calls it with the number and the path of each file
    n=0
    while IFS= read -r path; do
        [ -n "$path" ] || continue
        "$1" "$n" "$path"
        n=$((n + 1))
    done
}

write_bytes() { # lines of od begin with a blank, no other line does
    printf '\nstatic const unsigned char file_%d[] = ""\n' "$1"
    od -An -v -to1 "$folder/$2"
    printf ';\n'
}

write_entry() {
    printf '    {"%s", file_%d, sizeof file_%d - 1},\n' "$2" "$1" "$1"
}

printf '/* Made from %s by embed.sh; do not edit. */\n#include "resolve/embedded.h"\n' "$folder"
printf '%s\n' "$list" | each_file write_bytes | awk '/^ /{ sub(/ +$/, ""); gsub(/ +/, "\\"); $0 = "\"" $0 "\"" } { print }'
printf '\nconst struct embedded_file %s[] = {\n' "$array"
printf '%s\n' "$list" | sed 's/[\\"]/\\&/g' | each_file write_entry
printf '    {0, 0, 0},\n};\nconst unsigned %s = sizeof %s / sizeof *%s - 1;\n' "$count" "$array" "$array"
