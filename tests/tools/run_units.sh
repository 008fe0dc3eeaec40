#!/bin/sh
# Runs unit test programs, several at a time, and sums up; fails if one of them fails. What each of them prints is kept
# together, in the order in which they were named.
#
#   run_units.sh PROGRAM...
#
# RUN_WITH holds a command to run each under (valgrind); TEST_JOBS how many run at once (one for each processor);
# TEST_SECONDS how many seconds of processor time one may take. The binary under test is named by STUDBAY.
#
# Processor time, because the clock tells more of what else the machine does than of the program. The limit is one for
# each process: the program's children have it too, each for itself. So the clock is watched as well, ten times as long:
# for a program that sleeps for ever, or starts children without end.
set -u
export STUDBAY
unset COLUMNS # what is read is as wide as nobody said
seconds=${TEST_SECONDS:-300}
clock=$((seconds * 10))

# run_units.sh --one FOLDER PROGRAM: what it prints, and then how it ended, go to files in the folder
if [ "${1:-}" = --one ]; then
    into=$2/$3
    mkdir -p "$(dirname "$into")"
    {
        (ulimit -S -t "$seconds" && exec timeout -k 10 "$clock" ${RUN_WITH:-} "$3")
        echo $? >"$into.status"
    } >"$into.log" 2>&1
    echo ended
    exit 0
fi

programs=0
tests=0
failed=

tell() { # tell PROGRAM: what it printed, and what is wrong with it
    name=$(basename "$1")
    printf '\n--- %s\n' "$name"
    cat "$folder/$1.log"
    status=$(cat "$folder/$1.status")
    # a program may run several groups, each with its own closing line
    ran=$(sed -n 's/^\[==========\] \([0-9][0-9]*\) test(s) run\.$/\1/p' "$folder/$1.log" | awk '{ n += $1 } END { print n + 0 }')
    if [ "$status" -eq 124 ]; then
        echo "$name: had not ended after $clock s by the clock"
    elif [ "$status" -gt 128 ] && [ "$(kill -l "$status")" = XCPU ]; then
        echo "$name: took more than $seconds s of processor time"
    elif [ "$status" -ne 0 ]; then
        echo "$name: exit status $status"
    elif [ "$ran" -eq 0 ]; then
        echo "$name: ran no test"
        status=1
    fi
    [ "$status" -eq 0 ] || failed="$failed $name"
    programs=$((programs + 1))
    tests=$((tests + ran))
}

folder=$(mktemp -d) || exit 1
trap 'rm -rf "$folder"' EXIT

# each time that one has ended, those are told that have none before them that still runs
printf '%s\0' "$@" | xargs -0 -n 1 -P "${TEST_JOBS:-$(nproc)}" sh "$0" --one "$folder" | {
    while read -r _; do
        while [ $# -gt 0 ] && [ -e "$folder/$1.status" ]; do
            tell "$1"
            shift
        done
    done
    printf '\nunit tests: %d programs, %d tests' "$programs" "$tests"
    if [ -n "$failed" ]; then
        printf '; FAILED:%s\n' "$failed"
        exit 1
    fi
    printf ', all passed\n'
}
