# Writes a plan of one extreme shape with about N things of the sort that it is named for; plan.awk and row.awk write houses.
#   awk -v SHAPE=chain -v N=2000 -f tests/bench/shapes.awk
#   awk -v SHAPE=list -f tests/bench/shapes.awk                     names the shapes
BEGIN {
    if (SHAPE == "list") {
        print "room chain star legs lights switches long-room hops line units unknown faults comments nesting waivers overlap devices coils windows windows-passed ducts place old-place legs-of-a-box circuits-of-a-box sub-panels"
        exit
    }
    print "plan \"Shape\" {\n  language 1\n  edition nec-2023\n}"
    if (SHAPE == "room") room()
    else if (SHAPE == "chain") chain("run %s -> %s")
    else if (SHAPE == "star") star()
    else if (SHAPE == "legs") legs()
    else if (SHAPE == "lights") lights()
    else if (SHAPE == "switches") switches()
    else if (SHAPE == "long-room") long_room()
    else if (SHAPE == "hops") hops()
    else if (SHAPE == "line") line()
    else if (SHAPE == "units") units()
    else if (SHAPE == "unknown") unknown()
    else if (SHAPE == "faults") repeat("room r%d { size 1' x 2'; box R south at 4'6 { recptacle 5 } }\n")
    else if (SHAPE == "comments") repeat("# a comment, %d of many, before a statement\ncoil 12/2 63' on-hand as c%d  # and behind it\n")
    else if (SHAPE == "nesting") nesting()
    else if (SHAPE == "waivers") waivers()
    else if (SHAPE == "overlap") repeat("room r%d { kind storage; corner 0', 0'; size 10' by 10'; wall south concrete; box R north at 1' { receptacle } }\n")
    else if (SHAPE == "devices") devices()
    else if (SHAPE == "coils") coils()
    else if (SHAPE == "windows") windows()
    else if (SHAPE == "windows-passed") windows_passed()
    else if (SHAPE == "ducts") ducts()
    else if (SHAPE == "place") place("")
    else if (SHAPE == "old-place") place("existing; ")
    else if (SHAPE == "legs-of-a-box") legs_of_a_box()
    else if (SHAPE == "circuits-of-a-box") circuits_of_a_box()
    else if (SHAPE == "sub-panels") sub_panels()
    else { print "shapes.awk: no shape '" SHAPE "'" >"/dev/stderr"; exit 1 }
}

function repeat(form,   i) {
    for (i = 1; i <= N; i++)
        printf form, i, i, i
}

# A room so long that its south wall holds n boxes two feet apart, with a panel in it; what is in its block is left open.
function hall(n) {
    printf "panel P { in h west at 2' up 5'; main 200 A; spaces 42 }\nroom h \"Hall\" {\n  kind storage\n  size %d' by 10'\n", 2 * n + 8
}

function row(n, device,   i) {
    for (i = 1; i <= n; i++)
        printf "  box B%d south at %d' { %s }\n", i, 2 * i, device
}

# A panel for every four circuits of n, each so many feet from the last on the north wall of a hall of so many boxes.
function panels(n, feet, boxes,   i) {
    for (i = 0; i < n / 4; i++)
        printf "panel P%d \"Panel %d\" { in h north at %d' up 5'; main 100 A; spaces 12 }\n", i, i, 2 * boxes + 8 - feet * i - 4
}

# Boxes in one room, ten to a circuit.
function room(   i, c) {
    hall(N); row(N, "receptacle 20 W"); print "}"
    panels(N / 10, 80, N)
    for (i = 0; i < N; i++) {
        c = int(i / 10)
        if (i % 10)
            printf " -> B%d", i + 1
        else
            printf "%scircuit P%d.%d \"Hall, part %d\" { breaker 20 A; run P%d -> h.B%d", i ? " }\n" : "", c / 4, c % 4 + 1, c + 1, c / 4, i + 1
    }
    print " }"
}

# One circuit, a run from each box to the next.
function chain(   i) {
    hall(N); row(N, "receptacle 1 W")
    print "}\ncircuit P.1 \"Chain\" {\n  breaker 20 A\n  cable 12/2\n  run P -> h.B1"
    for (i = 2; i <= N; i++)
        printf "  run h.B%d -> B%d\n", i - 1, i
    print "}"
}

# One circuit, all boxes fed from the first.
function star(   i) {
    hall(N); row(N, "receptacle 1 W")
    print "}\ncircuit P.1 \"Star\" {\n  breaker 20 A\n  cable 12/2\n  run P -> h.B1"
    for (i = 2; i <= N; i++)
        printf "  run h.B1 -> B%d\n", i
    print "}"
}

# One circuit without a cable clause: N / 2 switches in a chain, each with a light of its own.
function legs(   i, n) {
    n = int(N / 2); hall(n)
    for (i = 1; i <= n; i++)
        printf "  box S%d south at %d' up 48\" { switch leg l%d }\n  box L%d overhead at %d', 5' { luminaire leg l%d 1 W }\n", i, 2 * i, i, i, 2 * i, i
    print "}\ncircuit P.1 \"Legs\" {\n  breaker 15 A\n  run P -> h.S1 -> L1"
    for (i = 2; i <= n; i++)
        printf "  run h.S%d -> S%d\n  run h.S%d -> L%d\n", i - 1, i, i, i
    print "}"
}

# One circuit without a cable clause: one switch, and N lights behind each other.
function lights(   i) {
    hall(N); print "  box S1 south at 1' up 48\" { switch leg l }"
    for (i = 1; i <= N; i++)
        printf "  box L%d overhead at %d', 5' { luminaire leg l 1 W }\n", i, 2 * i
    print "}\ncircuit P.1 \"Lights\" {\n  breaker 15 A\n  run P -> h.S1 -> L1"
    for (i = 2; i <= N; i++)
        printf "  run h.L%d -> L%d\n", i - 1, i
    print "}"
}

# One leg with N switches and one light.
function switches(   i) {
    hall(N)
    for (i = 1; i <= N; i++)
        printf "  box S%d south at %d' up 48\" { switch leg l }\n", i, 2 * i
    print "  box L1 overhead at 4', 5' { luminaire leg l 10 W }\n}\ncircuit P.1 \"One leg\" {\n  breaker 15 A\n  run P -> h.S1"
    for (i = 2; i <= N; i++)
        printf "  run h.S%d -> S%d\n", i - 1, i
    printf "  run h.S%d -> L1\n}\n", N
}

# N / 2 circuits of a switch and a light along a room: as many lengths of cut.
# A first finding is there at any size: bundles are told in the long room alone, and the first finding has a price of its own.
function long_room(   i, n) {
    n = int(N / 2)
    hall(2 * n)
    for (i = 1; i <= n; i++)
        printf "  box S%d south at %d' up 48\" { switch leg l%d }\n  box L%d overhead at %d', 5' { luminaire leg l%d 1 W }\n", i, 4 * i, i, i, 4 * i + i * 7 % 4, i
    print "}"
    panels(n, 16, 2 * n)
    for (i = 0; i < n; i++)
        printf "circuit P%d.%d \"%s\" { breaker 15 A; cable 12/2; run P%d -> h.S%d -> L%d }\n", i / 4, i % 4 + 1, i ? "Leg " i : "Misc", i / 4, i + 1, i + 1
}

# One circuit, its hops in chains as long as a statement may be.
function hops(   i) {
    hall(N); row(N, "receptacle 1 W")
    printf "}\ncircuit P.1 \"Hops\" {\n  breaker 20 A\n  run P -> h.B1"
    for (i = 2; i <= N; i++)
        if (i % 400)
            printf " -> B%d", i
        else
            printf "\n  run h.B%d -> B%d", i - 1, i
    print "\n}"
}

# All on one line.
function line(   i) {
    printf "panel P { in h west at 2' up 5'; main 200 A; spaces 42 } room h { kind storage; size %d' by 10'; ", 2 * N + 8
    for (i = 1; i <= N; i++)
        printf "box B%d south at %d' { receptacle }; ", i, 2 * i
    print "}"
}

# Units of a pattern, seven boxes each, side by side.
function units(   i) {
    print "pattern flat \"Flat\" {\n  corner 0', 0'\n  room main \"Main room\" {\n    kind storage\n    size 18' by 14'"
    print "    wall north 2x6 at 16\"\n    wall west concrete furred 2x4 at 16\" gap 1\""
    for (i = 1; i <= 4; i++)
        printf "    box R%d south at %d' { receptacle }\n", i, 3 * i
    print "    box S1 west at 4' { switch leg lamp }\n    box S2 west at 9' { switch leg lamp }\n    box L1 overhead at 9', 7' { luminaire leg lamp 20 W }\n  }"
    print "  panel P \"Panel\" { in main east at 5' up 5'; main 100 A; spaces 20 }"
    print "  circuit P.1 \"Receptacles\" { breaker 20 A; run P -> main.R1 -> R2 -> R3 -> R4 }"
    print "  circuit P.2 \"Light\" { breaker 15 A; run P -> main.S1 -> S2; run main.S1 -> L1 }\n}"
    for (i = 0; i < N; i++)
        printf "unit u%d : flat \"Flat %d\" { corner %d', %d' }\n", i, i, i % 20 * 20, int(i / 20) * 20
}

# Runs to boxes that are not there, beside as many that are.
function unknown(   i) {
    hall(N); row(N, "receptacle 1 W")
    print "}\ncircuit P.1 \"Slips\" {\n  breaker 20 A\n  run P -> h.B1"
    for (i = 2; i <= N; i++)
        printf "  run h.B%d -> Bx%d\n", i, i
    print "}"
}

function nesting(   i) {
    for (i = 0; i < N; i++) printf "x { "
    for (i = 0; i < N; i++) printf "} "
    print ""
}

function waivers(   i) {
    hall(N); row(N, "receptacle 1 W"); print "}"
    for (i = 1; i <= N; i++)
        printf "waive unfed-box in h.B%d because \"fed next year, reason %d\"\n", i, i
}

# One box with N devices.
function devices(   i) {
    hall(4); print "  box B1 south at 4' {"
    for (i = 1; i <= N; i++)
        print "    receptacle 1 W"
    print "  }\n}\ncircuit P.1 \"One box\" { breaker 20 A; run P -> h.B1 }"
}

# Cuts of N lengths to N coils.
function coils(   i) {
    room()
    for (i = 1; i <= N; i++)
        printf "coil 12/2 %d' price %d.%02d\n", 50 + i * 7 % 400, 20 + i % 90, i % 100
}

# A cable on the surface along N windows: it costs the same to leave the wall before any of them.
function windows_passed(   i) {
    hall(N)
    for (i = 1; i <= N; i++)
        printf "  window north at %d' wide 18\"\n", 2 * i
    printf "  box A north at 1' { receptacle 1 W }\n  box B north at %d' { receptacle 1 W }\n}\n", 2 * N + 3
    print "circuit P.1 \"Along\" { breaker 20 A; run P -> h.A; run h.A -> B exposed }"
}

function windows(   i) {
    hall(N)
    for (i = 1; i <= N; i++)
        printf "  window north at %d' wide 18\"\n", 2 * i
    row(4, "receptacle"); print "}"
}

# N ducts through one wall at the height of its bores or over them, a box between each two.
function ducts(   i) {
    hall(N)
    for (i = 1; i <= N; i++)
        printf "  duct from %d'-6\", -6\" to %d'-6\", 1' size 4\" by 4\" up %s\n", 2 * i + 1, 2 * i + 1, i % 3 ? "22\"" : "7'"
    row(N, "receptacle 1 W"); print "}"
    printf "circuit P.1 \"Round\" {\n  breaker 20 A\n  run P -> h.B1\n"
    for (i = 1; i < N; i++)
        printf "  run h.B%d -> B%d\n", i, i + 1
    print "}"
}

# N boxes in one place, wired in a chain.
function place(words,   i) {
    hall(4)
    for (i = 1; i <= N; i++)
        printf "  box B%d south at 4' { %sreceptacle 1 W }\n", i, words
    print "}\ncircuit P.1 \"Chain\" {\n  breaker 20 A\n  cable 12/2\n  run P -> h.B1"
    for (i = 2; i <= N; i++)
        printf "  run h.B%d -> B%d\n", i - 1, i
    print "}"
}

# N switches in one box, and their lights in another.
function legs_of_a_box(   i) {
    hall(4); print "  box S1 south at 4' up 48\" {"
    for (i = 1; i <= N; i++)
        printf "    switch leg l%d\n", i
    print "  }\n  box L1 overhead at 4', 4' {"
    for (i = 1; i <= N; i++)
        printf "    luminaire leg l%d 1 W\n", i
    print "  }\n}\ncircuit P.1 \"Legs\" { breaker 15 A; run P -> h.S1 -> L1 }"
}

# N circuits in one box, a receptacle that protects what lies behind it for each.
function circuits_of_a_box(   i) {
    hall(4); print "  box B1 south at 4' {"
    for (i = 1; i <= N; i++)
        printf "    receptacle-gfci circuit P.c%d\n", i
    print "  }\n}"
    for (i = 1; i <= N; i++)
        printf "circuit P.c%d \"Part %d\" { breaker 20 A; run P -> h.B1 }\n", i, i
}

# Panels that feed each other in a chain, each with a circuit of its own.
function sub_panels(   i) {
    printf "room h \"Hall\" {\n  kind storage\n  size %d' by 10'\n", 6 * N + 8
    for (i = 1; i <= N; i++)
        printf "  box B%d south at %d' { receptacle 20 W }\n", i, 6 * i
    print "}"
    for (i = 1; i <= N; i++) {
        printf "panel P%d \"Panel %d\" { in h north at %d' up 5'; %s; spaces 12 }\n", i, i, 6 * (N - i) + 4, i == 1 ? "main 100 A" : sprintf("bus 100 A; feeder from P%d breaker 60 A", i - 1)
        printf "circuit P%d.3 \"Part %d\" { breaker 20 A; run P%d -> h.B%d }\n", i, i, i, i
    }
}
