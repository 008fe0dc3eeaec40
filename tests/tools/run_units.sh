#!/bin/sh
# Runs unit test programs one after another and sums up; fails if one of them fails.
#
#   run_units.sh PROGRAM...
#
# RUN_WITH holds a command to run each under (valgrind); TEST_SECONDS how long one may take. The binary under test is
# named by STUDBAY.
set -u
export STUDBAY

log=$(mktemp) || exit 1
trap 'rm -f "$log"' EXIT

programs=0
tests=0
failed=
for program in "$@"; do
    name=$(basename "$program")
    printf '\n--- %s\n' "$name"
    timeout "${TEST_SECONDS:-300}" ${RUN_WITH:-} "$program" >"$log" 2>&1
    status=$?
    cat "$log"
    # a program may run several groups, each with its own closing line
    ran=$(sed -n 's/^\[==========\] \([0-9][0-9]*\) test(s) run\.$/\1/p' "$log" | awk '{ n += $1 } END { print n + 0 }')
    if [ $status -eq 124 ]; then
        echo "$name: took longer than ${TEST_SECONDS:-300} s"
    elif [ $status -ne 0 ]; then
        echo "$name: exit status $status"
    elif [ "$ran" -eq 0 ]; then
        echo "$name: ran no test"
        status=1
    fi
    [ $status -eq 0 ] || failed="$failed $name"
    programs=$((programs + 1))
    tests=$((tests + ran))
done

printf '\nunit tests: %d programs, %d tests' "$programs" "$tests"
if [ -n "$failed" ]; then
    printf '; FAILED:%s\n' "$failed"
    exit 1
fi
printf ', all passed\n'
