# Writes a plan of ROOMS rooms side by side, three boxes in each, a cable through each room and one from room to room.
#   awk -v ROOMS=1000 -f tests/bench/row.awk
BEGIN {
    print "plan \"Row\" {\n  language 1\n  edition nec-2023\n}\n"
    for (r = 0; r < ROOMS; r++) {
        printf "room r%d \"Room %d\" {\n  kind office\n  corner %.1f\", 0'\n  size 120\" by 10'\n  door south at 4' wide 3'\n", r, r, r * 123.5
        print "  box A   south at 1' { data }\n  box B   north at 5' { data }\n  box C   south at 9' { data }\n}\n"
    }
    print "low-voltage net \"Net\" {\n  cable cat6"
    for (r = 0; r < ROOMS; r++) {
        printf "  run r%d.A -> B -> C\n", r
        if (r)
            printf "  run r%d.B -> r%d.B\n", r - 1, r
    }
    print "}"
}
