#!/bin/sh
# Writes a folder's files as a C array for embedded.h, to standard output.
#
#   embed.sh ARRAY COUNT FOLDER ENDING      embed.sh embedded_stdlib embedded_stdlib_count stdlib .bay
#
# The same files give the same bytes on every machine: sorted by path in byte order, no dates, no absolute paths.
# A missing or empty folder gives an empty array.
set -eu
LC_ALL=C
export LC_ALL

array=$1 count=$2 folder=$3 ending=$4

list=
if [ -d "$folder" ]; then
    list=$(cd "$folder" && find . -type f -name "*$ending" | sed 's|^\./||' | sort)
fi

printf '/* Made from %s by embed.sh; do not edit. */\n#include "resolve/embedded.h"\n' "$folder"

n=0
table=
while IFS= read -r path; do
    [ -n "$path" ] || continue
    printf '\n/* %s */\nstatic const unsigned char file_%d[] = {\n' "$path" "$n"
    od -An -v -tx1 "$folder/$path" | sed 's/ *\([0-9a-f][0-9a-f]\)/0x\1,/g'
    printf '0x00};\n'
    name=$(printf '%s' "$path" | sed 's/[\\"]/\\&/g')
    table="$table    {\"$name\", file_$n, sizeof file_$n - 1},
"
    n=$((n + 1))
done <<LIST
$list
LIST

printf '\nconst struct embedded_file %s[] = {\n%s    {0, 0, 0},\n};\n' "$array" "$table"
printf 'const unsigned %s = %d;\n' "$count" "$n"
