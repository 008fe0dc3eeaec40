# Writes a plan of about BOXES boxes: rooms of twenty boxes in a grid, a panel for every ten rooms (ROOMS_A_PANEL), two circuits a room.
#   awk -v BOXES=2000 -f tests/bench/plan.awk
BEGIN {
    rooms = BOXES / 20
    share = ROOMS_A_PANEL ? ROOMS_A_PANEL : 10
    side = int(sqrt(rooms)) + 1
    print "plan \"Benchmark\" {\n  language 1\n  edition nec-2023\n}\n"
    for (r = 0; r < rooms; r++) {
        printf "room r%d \"Room %d\" {\n  kind storage\n  corner %d', %d'\n  size 18' by 14'\n", r, r, r % side * 20, int(r / side) * 20
        for (b = 1; b <= 14; b++)
            printf "  box R%-2d %s at %d' { receptacle 20 W }\n", b, b % 2 ? "north" : "south", b + 1
        printf "  box S1  west  at 4' { switch leg lights%d }\n  box S2  west  at 9' { switch leg lights%d }\n", r, r
        for (b = 1; b <= 4; b++)
            printf "  box L%d  overhead at %d', 7' { luminaire leg lights%d 20 W }\n", b, 3 * b, r
        print "}\n"
    }
    for (r = 0; r < rooms; r++) {
        panel = int(r / share)
        number = r % share * 2 + 1
        if (r % share == 0)
            printf "panel P%d \"Panel %d\" { in r%d east at 5' up 5'; main 200 A; spaces 42 }\n\n", panel, panel, r
        printf "circuit P%d.%d \"Receptacles of room %d\" {\n  breaker 20 A\n  cable 10/2\n  run P%d -> r%d.R1", panel, number, r, panel, r
        for (b = 2; b <= 14; b++)
            printf " -> R%d", b
        printf "\n}\n\ncircuit P%d.%d \"Lights of room %d\" {\n  breaker 15 A\n  run P%d -> r%d.S1 -> S2\n  run r%d.S1 -> L1 -> L2 -> L3 -> L4\n}\n\n", panel, number + 1, r, panel, r, r
    }
}
