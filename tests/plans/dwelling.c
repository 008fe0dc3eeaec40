/* A house as houses are: a kitchen with its counters, baths, laundry, bedrooms, a hall with stairs
 * up and down that are lit from both ends, an unfinished basement, and where it is so a garage with
 * a panel of its own, an attic, a porch and a shed apart. Where things stand is the same in each,
 * for rules ask for that to the inch; what is written of them is drawn at random. */
#include "draft.h"

#include <string.h>

/* Each line stands behind the part of the house that it belongs to: ' ' all houses, 'g' a garage,
 * 'a' an attic, 'p' a porch, 's' a shed. %E is an edition, %W a lamp's watts, %L a luminaire, %H a
 * height of switches, %R a receptacle, %F lumber of walls, %Q the panel that feeds what is outside.
 */
static const char *const lines[] = {
    " plan \"A house drawn up at random\" {",
    "   edition %E",
    "   supply 120/240 V",
    " }",
    " ",
    " level cellar { floor -9'; ceiling 8'; walls %F at 16\"; joists 2x10 at 16\" running north; "
    "bore 24\"; below-grade }",
    " level main { floor 0'; ceiling 8'; walls %F at 16\"; joists 2x10 at 16\" running north; bore "
    "24\" }",
    " level upper { floor 9'; ceiling 8'; walls %F at 16\"; joists 2x8 at 16\" running north; bore "
    "24\" }",
    " ",
    "alevel loft { floor 18'; ceiling 6'; walls %F at 16\"; joists 2x6 at 24\" running north; bore "
    "24\" }",
    " ",
    " room living {",
    "   on main",
    "   kind living",
    "   corner 0', 0'",
    "   size 14' by 12'",
    "   door south at 8\" wide 3' \"to the street\"",
    "   door north at 1' wide 3' to hall",
    "   window south at 6' wide 4'",
    "   box R1 east at 6' { %R }",
    "   box R2 south at 11' { %R }",
    "   box R3 west at 6' { %R }",
    "   box R4 north at 8' { %R }",
    "   box R5 south at 5' { %R }",
    "   box R6 west at 10' { %R }",
    "   box R7 east at 11' { %R }",
    "   box S1 north at 5' up %H { switch leg living-light }",
    "   box L1 overhead at 7', 6' { %L leg living-light %W }",
    "   box A1 overhead at 11', 9' { smoke-co-alarm }",
    " }",
    " room hall {",
    "   on main",
    "   kind hall",
    "   corner 0', 12'-3 1/2\"",
    "   size 14' by 6'",
    "   door south at 10' wide 3' to living",
    "   stairs 13 risers from hall to landing",
    "   box R1 north at 5' { %R }",
    "   box S1 north at 9' up %H { switch leg stair-light; switch leg cellar-stair }",
    "   box S2 south at 2' up %H {",
    "     switch leg hall-light",
    "p    switch leg porch-light",
    "   }",
    "   box L1 overhead at 4', 3' { %L leg hall-light %W }",
    "   box L2 overhead at 11', 3' { %L leg stair-light %W }",
    " }",
    " room landing {",
    "   on upper",
    "   kind hall",
    "   corner 0', 12'-3 1/2\"",
    "   size 14' by 6'",
    "   box R1 north at 5' { %R }",
    "   box S1 north at 9' up %H { switch leg stair-light }",
    "   box S2 south at 2' up %H { switch leg landing-light }",
    "   box L1 overhead at 4', 3' { %L leg landing-light %W }",
    "   box A1 overhead at 9', 3' { smoke-co-alarm }",
    "   door south at 10' wide 3' to bedroom",
    " }",
    " room bedroom {",
    "   on upper",
    "   kind bedroom",
    "   corner 0', 0'",
    "   size 14' by 12'",
    "   window south at 6' wide 4'",
    "   box R1 east at 2' { %R }",
    "   box R2 south at 11' { %R }",
    "   box R3 west at 8' { %R }",
    "   box R4 north at 8' { %R }",
    "   box R5 south at 3' { %R }",
    "   box R6 east at 11' { %R }",
    "   box S1 north at 5' up %H { switch leg bedroom-light }",
    "   box L1 overhead at 7', 6' { %L leg bedroom-light %W }",
    "   box A1 overhead at 11', 9' { smoke-alarm }",
    " }",
    " room kitchen {",
    "   on main",
    "   kind kitchen",
    "   corner 14'-3 1/2\", 0'",
    "   size 12' by 12'",
    "   opening north at 4' wide 4' to dining",
    "   counter south at 0' wide 5' deep 25\"",
    "   sink south at 1'-6\" wide 2'",
    "   range south at 5' wide 2'-6\"",
    "   counter south at 7'-6\" wide 1'-6\" deep 25\"",
    "   box R1 south at 1'-2\" up 42\" { %R }",
    "   box R2 south at 4'-2\" up 42\" { %R }",
    "   box R3 south at 8'-2\" up 42\" { %R }",
    "   box R4 south at 10'-6\" { receptacle \"cold things\" }",
    "   box R5 east at 6'-6\" { %R }",
    "   box R6 west at 4'-6\" { %R }",
    "   box R7 north at 2' { %R }",
    "   box R8 north at 10' { %R }",
    "   box E1 south at 6'-3\" up 6\" { range }",
    "   box S1 north at 3' up %H { switch leg kitchen-light }",
    "   box L1 overhead at 6', 6' { %L leg kitchen-light %W }",
    " }",
    " room dining {",
    "   on main",
    "   kind dining",
    "   corner 14'-3 1/2\", 12'-3 1/2\"",
    "   size 12' by 10'",
    "   door west at 6' wide 3' to hall",
    "   box R1 east at 5' { %R }",
    "   box R2 north at 6' { %R }",
    "   box R3 west at 2' { %R }",
    "   box R4 south at 3' { %R }",
    "   box R5 north at 2' { %R }",
    "   box R6 east at 9' { %R }",
    "   box S1 south at 11' up %H { switch leg dining-light }",
    "   box L1 overhead at 6', 5' { %L leg dining-light %W }",
    " }",
    " room bath {",
    "   on upper",
    "   kind bath",
    "   corner 14'-3 1/2\", 0'",
    "   size 10' by 8'",
    "   door west at 4' wide 2'-8\" to bedroom",
    "   basin north at 2' wide 2'-6\"",
    "   tub east at 0' wide 5' deep 2'-6\"",
    "   box R1 north at 1' up 42\" { receptacle-gfci-20 }",
    "   box S1 west at 7'-2\" up %H { switch leg bath-light; timer-switch leg bath-fan }",
    "   box L1 north at 3'-3\" up 78\" { wall-luminaire leg bath-light %W }",
    "   box F1 overhead at 5', 4' { exhaust-fan leg bath-fan %W }",
    " }",
    " room laundry {",
    "   on upper",
    "   kind laundry",
    "   corner 14'-3 1/2\", 12'-3 1/2\"",
    "   size 8' by 7'",
    "   door west at 2' wide 3' to landing",
    "   box R1 north at 4' up 42\" { receptacle-20 \"washer\" }",
    "   box E1 east at 3' up 36\" { dryer }",
    "   box S1 west at 6' up %H { switch leg laundry-light }",
    "   box L1 overhead at 4', 3' { %L leg laundry-light %W }",
    " }",
    "groom garage {",
    "g  on main",
    "g  kind garage",
    "g  corner 27', 0'",
    "g  size 12' by 20'",
    "g  bays 1",
    "g  attached",
    "g  door west at 2' wide 3' to kitchen",
    "g  box R1 east at 5' up %H { receptacle-20 }",
    "g  box R2 overhead at 6', 10' { garage-opener }",
    "g  box S1 west at 10' up %H { switch leg garage-light }",
    "g  box L1 overhead at 6', 5' { %L leg garage-light %W }",
    "g}",
    " room basement {",
    "   on cellar",
    "   kind basement",
    "   corner 0', 0'",
    "   size 26' by 22'",
    "   stairs 13 risers from basement to hall",
    "   box R1 east at 5' up %H { receptacle-20 }",
    "   box S1 north at 10' up %H { switch leg basement-light }",
    "   box S2 north at 14' up %H { switch leg cellar-stair }",
    "   box L1 overhead at 6', 5' { %L leg basement-light %W }",
    "   box L2 overhead at 16', 15' { %L leg cellar-stair %W }",
    "   box A1 overhead at 10', 15' { smoke-co-alarm }",
    " }",
    "proom porch {",
    "p  on main",
    "p  kind outdoors",
    "p  covered",
    "p  corner 0', -6'-5\"",
    "p  size 14' by 6'",
    "p  box R1 north at 5' up 20\" { receptacle-wr-20; cover in-use }",
    "p  box L1 north at 10' up 78\" { wall-luminaire leg porch-light %W }",
    "p}",
    "aroom attic {",
    "a  on loft",
    "a  kind attic",
    "a  corner 0', 0'",
    "a  size 26' by 22'",
    "a  box S1 north at 3' up %H { switch leg attic-light }",
    "a  box L1 overhead at 6', 5' { %L leg attic-light %W }",
    "a  box R1 north at 6' up 20\" { receptacle-20 }",
    "a}",
    "sroom shed {",
    "s  on main",
    "s  kind workshop",
    "s  corner 60', 0'",
    "s  size 12' by 10'",
    "s  box D1 west at 5' up %H { switch leg shed-light }",
    "s  box R1 west at 8' up %H { receptacle-20 leg shed-light }",
    "s  box L1 overhead at 6', 5' { %L leg shed-light %W }",
    "s}",
    "sbuilding shed \"Shed\" { rooms shed; disconnect shed.D1 }",
    "gpanel Q \"Garage\" { in garage north at 5' up 5'; bus 60 A; spaces 8; feeder from P breaker "
    "60 A }",
    " panel P \"House\" { in basement west at 10' up 5'; main 200 A; spaces 40 }",
    "pleg porch-light",
    " leg cellar-stair",
    " leg stair-light",
    " circuit P.1 \"Kitchen counter by the range\" { breaker 20 A dual-function; run P -> "
    "kitchen.R3 -> R2 }",
    " circuit P.3 \"Kitchen refrigerator and east wall\" { breaker 20 A dual-function; run P -> "
    "kitchen.R4 -> R5 -> R8 }",
    " circuit P.5 \"Kitchen counter by the sink and west wall\" { breaker 20 A dual-function; run "
    "P -> kitchen.R6 -> R1; run kitchen.R6 -> R7 }",
    " circuit P.7 \"Dining room receptacles\" { breaker 20 A dual-function; run P -> dining.R1 -> "
    "R6 -> R2 -> R3 -> R5 -> R4 }",
    " circuit P.9 \"Bath receptacle\" { breaker 20 A; run P -> bath.R1 }",
    " circuit P.11 \"Laundry\" { breaker 20 A dual-function; run P -> laundry.R1 }",
    "gcircuit Q.1 \"Garage receptacle and opener\" { breaker 20 A dual-function; run Q -> "
    "garage.R1 -> R2 }",
    " circuit P.15 \"Basement and porch receptacles\" {",
    "   breaker 20 A dual-function",
    "   run P -> basement.R1",
    "p  run basement.R1 -> porch.R1",
    " }",
    " circuit P.17 \"Living room receptacles\" { breaker 20 A dual-function; run P -> living.R1 -> "
    "R7 -> R2 -> R5 -> R3 -> R6 -> R4 -> hall.R1 }",
    " circuit P.19 \"Bedroom receptacles\" { breaker 20 A dual-function; run P -> bedroom.R1 -> R6 "
    "-> R2 -> R5 -> R3 -> R4 -> landing.R1 }",
    " circuit P.2 \"Range\" { breaker 40 A two-pole gfci; run P -> kitchen.E1 }",
    " circuit P.6 \"Dryer\" { breaker 30 A two-pole gfci; run P -> laundry.E1 }",
    " circuit P.10 \"Lights of the main floor\" {",
    "   breaker 15 A afci",
    "   run P -> living.S1 -> L1",
    "   run living.S1 -> hall.S2 -> L1",
    "p  run hall.S2 -> porch.L1",
    "   run hall.S2 -> kitchen.S1 -> L1",
    "   run kitchen.S1 -> dining.S1 -> L1",
    "g  run kitchen.S1 -> garage.S1 -> L1",
    " }",
    " circuit P.12 \"Lights of the upper floor\" {",
    "   breaker 15 A afci",
    "   run P -> bedroom.S1 -> L1",
    "   run bedroom.S1 -> bath.S1 -> L1",
    "   run bath.S1 -> F1",
    "   run bedroom.S1 -> landing.S2 -> L1",
    "   run landing.S2 -> laundry.S1 -> L1",
    " }",
    " circuit P.14 \"Stair and cellar lights\" {",
    "   breaker 15 A afci",
    "   run P -> basement.S1 -> L1",
    "   run basement.S1 -> S2 -> L2",
    "   run basement.S2 -> hall.S1 -> L2",
    "   run hall.S1 -> landing.S1",
    " }",
    "scircuit %Q.shed \"Shed\" { breaker 20 A dual-function; run %Q -> shed.D1 underground 24\" "
    "cable 12/2-uf; run shed.D1 -> R1 -> L1 }",
    "acircuit P.18 \"Attic\" { breaker 20 A dual-function; run P -> attic.S1 -> L1; run attic.S1 "
    "-> R1 }",
    " circuit P.16 \"Alarms\" {",
    "   breaker 15 A afci",
    "   run P -> basement.A1 -> living.A1 -> landing.A1 -> bedroom.A1",
    " }",
    " ",
};

static const char *word_for(struct draft *d, char letter, bool garage)
{
    switch (letter) {
    case 'E':
        return ONE_OF(d, "nec-2017", "nec-2020", "nec-2023", "nec-2026");
    case 'W':
        return ONE_OF(d, "9 W", "12 W", "24 VA", "40 W", "60 W");
    case 'L':
        return ONE_OF(d, "luminaire", "luminaire", "linear-luminaire");
    case 'H':
        return ONE_OF(d, "44\"", "48\"", "4'");
    case 'R':
        return ONE_OF(d, "receptacle", "receptacle-20", "receptacle \"by the lamp\"");
    case 'F':
        return ONE_OF(d, "2x4", "2x4", "2x6");
    default:
        return garage ? "Q" : "P";
    }
}

static void put_line(struct draft *d, struct buf *out, const char *line, bool garage)
{
    for (const char *at = line; *at; at++)
        if (*at == '%')
            buf_puts(out, word_for(d, *++at, garage));
        else
            buf_putc(out, *at);
    buf_putc(out, '\n');
}

void draft_dwelling(struct draft *d, struct buf *out)
{
    static const char parts[] = "gaps";
    bool has[sizeof parts];
    for (size_t i = 0; i < sizeof parts; i++)
        has[i] = chance(&d->state, 60);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (*lines[i] == ' ' || has[strchr(parts, *lines[i]) - parts])
            put_line(d, out, lines[i] + 1, has[0]);
}
