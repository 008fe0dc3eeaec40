#!/bin/sh
# Says whether two binaries write the same bytes: standard output, standard error and exit status of every command, for every plan of the tree and for generated ones.
#
#   tests/tools/same_outputs.sh OLD NEW [PATTERN]       PATTERN: plans whose path it matches alone (a basic regular expression)
#
# Prints what differs, then how much was compared; fails where anything differs. What takes OLD longer than SECONDS_EACH (20) is left out and named. JOBS (2) at a time.
set -u
: "${SECONDS_EACH:=20}" "${JOBS:=2}"
export SECONDS_EACH SOURCE_DATE_EPOCH=1700000000

# one NAME COMMAND...: runs it in this folder and keeps what came of it
one() {
    name=$1
    shift
    timeout "$seconds" "$@" >"results/$name.out" 2>"results/$name.err"
    echo $? >"results/$name.status"
}

# The words that the help of a command lists behind "Formats:", and the names that it lists without an argument.
formats_of() { "$1" "$2" --help | sed -n 's/^Formats: \([a-z, ]*\).*/\1/p' | tr -d ,; }
names_of() { "$1" "$2" | awk '$1 != "all" { print $1 }'; }

# All commands for one plan, in this folder; `other` is the plan it is compared with. Each report in each format for some plans;
# for the others, which are many or large, in the two formats of `report all`.
all_commands() {
    studbay=$1 plan=$2 other=$3 seconds=$4
    rm -rf results
    mkdir results
    for format in $(formats_of "$studbay" check); do
        one "check-$format" "$studbay" check --format "$format" "$plan"
    done
    one fmt "$studbay" fmt "$plan"
    for format in $(formats_of "$studbay" prove); do
        one "prove-$format" "$studbay" prove --format "$format" "$plan"
    done
    one netlist "$studbay" prove --netlist "$plan"
    one all "$studbay" report all -o results/all "$plan"
    case $plan in
    examples/* | docs/* | generated/*-20.bay | generated/houses-200.bay)
        for report in $(names_of "$studbay" report); do
            for format in $(formats_of "$studbay" report); do
                one "report-$report-$format" "$studbay" report "$report" --format "$format" "$plan"
            done
        done
        ;;
    esac
    for drawing in $(names_of "$studbay" draw); do
        one "draw-$drawing" "$studbay" draw "$drawing" "$plan"
    done
    for format in $(formats_of "$studbay" compare); do
        one "compare-$format" "$studbay" compare --format "$format" "$other" "$plan"
    done
}

# One plan by both binaries. The work of this script is split by xargs, which calls it so: --plan OLD NEW FOLDER PLAN OTHER
if [ "${1:-}" = --plan ]; then
    old=$2 new=$3 folder=$4/$$ plan=$5 other=$6
    mkdir "$folder"
    for side in old new; do
        mkdir "$folder/$side"
        for part in "$4"/plans/*; do
            ln -s "$part" "$folder/$side"
        done
    done
    (cd "$folder/old" && all_commands "$old" "$plan" "$other" "$SECONDS_EACH")
    # more time, so that a busy machine makes no difference
    (cd "$folder/new" && all_commands "$new" "$plan" "$other" "$((SECONDS_EACH * 5))")
    cd "$folder" || exit 2
    grep -lx 124 old/results/*.status | while read -r status; do
        name=${status#old/results/}
        name=${name%.status}
        echo "left out: $name of $plan, which takes longer than $SECONDS_EACH s"
        rm -rf old/results/"$name".* new/results/"$name".*
        [ "$name" != all ] || rm -rf old/results/all new/results/all
    done
    diff -rq old/results new/results | sed "s|^|differs, $plan: |"
    echo "compared $(find old/results -type f ! -name '*.status' | wc -l)"
    rm -rf "$folder"
    exit 0
fi

[ $# -eq 2 ] || [ $# -eq 3 ] || {
    sed -n '2,6s/^# \{0,1\}//p' "$0"
    exit 2
}
old=$(realpath "$1") new=$(realpath "$2") script=$(realpath "$0")
cd "$(dirname "$script")/../.." || exit 2
memory=/dev/shm
[ -w $memory ] || memory=
folder=$(mktemp -d ${memory:+-p $memory}) || exit 2
trap 'rm -rf "$folder"' EXIT
trap 'exit 2' INT TERM

mkdir -p "$folder/plans/tests" "$folder/plans/generated"
cp -r examples docs "$folder/plans"
cp -r tests/rules tests/editions tests/fuzz tests/data "$folder/plans/tests"
cd "$folder/plans" || exit 2
bench=$(dirname "$script")/../bench
for boxes in 200 2000; do
    awk -v BOXES=$boxes -f "$bench/plan.awk" >generated/houses-$boxes.bay
    awk -v ROOMS=$((boxes / 3)) -f "$bench/row.awk" >generated/row-$boxes.bay
done
awk -v SHAPE=list -f "$bench/shapes.awk" | tr ' ' '\n' | while read -r shape; do
    for n in 20 200; do
        # the cut list of many coils is a search of seconds for each command
        [ "$shape-$n" != coils-200 ] || n=100
        awk -v SHAPE="$shape" -v N=$n -f "$bench/shapes.awk" >"generated/$shape-$n.bay"
    done
done

# each plan with the one before it, the slow ones first
{
    ls -S generated/*.bay
    find examples docs tests -name '*.bay' | LC_ALL=C sort
} | grep -e "${3:-.}" | awk 'NR == 1 { first = $0 } { print $0, before ? before : first; before = $0 }' |
    xargs -P "$JOBS" -n 2 sh "$script" --plan "$old" "$new" "$folder" |
    awk '/^compared / { n += $2; next } { print } /^differs/ { bad++ }
         END { printf "%d outputs compared, %d differ\n", n, bad; exit bad || !n }'
