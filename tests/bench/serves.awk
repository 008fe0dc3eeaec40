# A plan without the runs of its circuits, which say what they serve: awk -f tests/bench/serves.awk PLAN
#
# What a run says behind its last box is left out too.
/^[ ]*circuit / { circuit = 1 }
/^[ ]*}/ { circuit = 0 }
circuit && /^[ ]*run / {
    sub(/#.*/, "")
    line = "  serves"
    for (i = 2; i <= NF; i++) {
        if ($i == "->") { named = 0; continue }
        if (named) break
        named = 1
        if ($i ~ /\./ || i > 2) line = line " " $i
    }
    named = 0
    print line
    next
}
{ print }
