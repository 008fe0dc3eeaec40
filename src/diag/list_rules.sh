#!/bin/sh
# Writes the list of all rules, of their blind spots and of their checks as C, to standard output: what stands in the
# sources as RULE(id, "name", ...), BLIND_SPOT(id, ...) and CHECK(id, ...) at the beginning of a line.
#
#   list_rules.sh src
#
# The order is that of the folders below, then of files, then of places in a file. It is the order in which rules are
# shown to people, and of findings that have one place. A folder that is not named comes last.
set -eu
LC_ALL=C
export LC_ALL

order='diag syntax . resolve model log rules/geometry rules/conductors wiring rules/wiring rules/boxes rules/framing
rules/panels rules/receptacles rules/lighting rules/zones rules/cuts rules/protection rules/circuits rules/alarms rules/buildings rules/existing'

cd "$1"
find . -name '*.c' | sed 's|^\./||' | sort | xargs grep -nE '^(RULE|BLIND_SPOT|CHECK)\(' /dev/null | awk -v order="$order" '
BEGIN { folders = split(order, folder) }

function fail(words) { print at ": " words >"/dev/stderr"; failed = 1 }

{
    split($0, part, ":"); at = "src/" part[1] ":" part[2]
    dir = part[1]; if (!sub(/\/[^\/]*$/, "", dir)) dir = "."
    id = $0; sub(/^[^(]*\(/, "", id); sub(/,.*/, "", id)
    place = folders + 1
    for (i = 1; i <= folders; i++) if (folder[i] == dir) place = i
    if ($0 ~ /:CHECK\(/) { check[place] = check[place] " " id; next }
    if ($0 ~ /:BLIND_SPOT\(/) { blind[place] = blind[place] " " id; next }
    name = id; gsub(/_/, "-", name)
    if (!index($0, "\"" name "\"")) fail("the rule " id " is named \"" name "\", on the same line")
    if (known[id]++) fail("there is a rule " id " already")
    rule[place] = rule[place] " " id
    short = dir; sub(/^.*\//, "", short); family[id] = short == "." ? "studbay" : short
}

function join(of,   all, i) { for (i = 1; i <= folders + 1; i++) all = all of[i]; return all }

# by their names as strcmp has them, of which "-" is one letter more
function sort_names(n,   i, k, name) {
    for (i = 1; i <= n; i++) {
        name = r[i]; gsub(/_/, "-", name)
        for (k = i; k > 1 && sorted_name[k - 1] > name; k--) {
            sorted_name[k] = sorted_name[k - 1]; by_name[k] = by_name[k - 1]
        }
        sorted_name[k] = name; by_name[k] = r[i]
    }
}

END {
    if (failed) exit 1
    print "/* Made from the sources by list_rules.sh; do not edit. */\n#include \"rules/check.h\"\n"
    rules = split(join(rule), r, " "); checks = split(join(check), c, " ")
    blinds = split(join(blind), b, " ")
    for (i = 1; i <= rules; i++) print "extern const struct rule rule_" r[i] ";"
    for (i = 1; i <= checks; i++) print "extern const struct check check_of_" c[i] ";"
    print "\nconst struct rule *const rule_list[] = {"
    for (i = 1; i <= rules; i++) print "    &rule_" r[i] ","
    print "};\n\nconst char *const rule_families[] = {"
    for (i = 1; i <= rules; i++) print "    \"" family[r[i]] "\","
    print "};\nconst uint32_t rule_count = " rules ";\n\nconst struct rule *const rules_by_name[] = {"
    sort_names(rules)
    for (i = 1; i <= rules; i++) print "    &rule_" by_name[i] ","
    print "};\n\nconst char *const rule_names[] = {"
    for (i = 1; i <= rules; i++) { gsub(/_/, "-", r[i]); print "    \"" r[i] "\"," }
    print "};\n\nconst struct check *const check_list[] = {"
    for (i = 1; i <= checks; i++) print "    &check_of_" c[i] ","
    print "};\nconst uint32_t check_count = " checks ";\n"
    for (i = 1; i <= blinds; i++) print "extern const struct blind_spot blind_" b[i] ";"
    print "\nconst struct blind_spot *const blind_spot_list[] = {"
    for (i = 1; i <= blinds; i++) print "    &blind_" b[i] ","
    print "};\nconst uint32_t blind_spot_count = " blinds ";\n"
    for (i = 1; i <= blinds; i++) print "extern const uint32_t place_of_blind_" b[i] ";\nconst uint32_t place_of_blind_" b[i] " = " i - 1 ";"
    for (i = 1; i <= rules; i++) { gsub(/-/, "_", r[i]); print "extern const uint32_t place_of_" r[i] ";\nconst uint32_t place_of_" r[i] " = " i - 1 ";" }
}'
