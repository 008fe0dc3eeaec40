/* For tests: a plan in which one text stands wherever a plan may have one, for what is hostile in
 * it. */
#ifndef STUDBAY_TESTS_HOSTILE_H
#define STUDBAY_TESTS_HOSTILE_H

#include "base/buf.h"

#include <string.h>

/* A sound plan with a text wherever there may be one; each %s is one. */
static const char hostile_texts[] =
    "plan %s { edition nec-2023; site %s; owner %s; permit %s; by %s; date %s; note %s }\n"
    "level one %s { floor 0'; ceiling 8' }\n"
    "room shed %s { on one; kind workshop; size 14' by 10'\n"
    "  counter north at 0' wide 4' deep 25\" %s\n  fixed east at 0' wide 3' %s\n"
    "  box S1 %s south at 2' up 48\" { switch leg light %s }\n"
    "  box R1 %s west at 7' { receptacle %s }\n"
    "  box L1 overhead at 7', 5' { luminaire leg light 40 W }\n}\n"
    "leg light %s\n"
    "panel P %s { in shed east at 7' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 %s { breaker 15 A; run P -> shed.S1 -> L1 }\n"
    "circuit P.2 %s { breaker 20 A; run P -> shed.R1 }\n"
    "low-voltage net %s { cable cat6; run shed.S1 -> L1 }\n"
    "waive gfci-protection in box shed.R1 because %s\n";

static inline void hostile_plan(struct buf *plan, const char *text)
{
    const char *p = hostile_texts;
    for (const char *at; (at = strstr(p, "%s")); p = at + 2) {
        buf_add(plan, p, (size_t)(at - p));
        buf_printf(plan, "\"%s\"", text);
    }
    buf_puts(plan, p);
    buf_text(plan);
}

#endif
