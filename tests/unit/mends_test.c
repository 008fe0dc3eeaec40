/* What a finding says would mend it does: the mends of the first draft are carried out one after
 * another, and each takes its finding away and brings no other. */
#include "base/file.h"
#include "compiled.h"

enum { CHANGES = 3 };

/* One finding and what its words ask for. */
struct step {
    const char *rule,
        *words; /* words: part of the mend as it is printed; NULL where the message alone says it */
    struct {
        const char *find, *put;
    } change[CHANGES];
};

static const struct step mends[] = {
    {"wrong-unit", NULL, {{"stock-step 6\n", "stock-step 6\"\n"}}},
    {"switch-without-leg",
     "write 'leg' and a name here, and on what it works",
     {{"leg alcove-light; switch }", "leg alcove-light; switch leg shelf }"},
      {"luminaire leg alcove-light 30 W }\n", "luminaire leg alcove-light 30 W }\n  box L2  "
                                              "overhead at 8', 6' { luminaire leg shelf 10 W }\n"},
      {"run P -> alcove.S2 -> L1", "run P -> alcove.S2 -> L1 -> L2"}}},
    {"leg-crosses-circuits",
     "bring both onto one circuit",
     {{"  run bath.L1 -> kitchenette.L2\n", ""},
      {"run kitchenette.S1 -> closet.S1",
       "run kitchenette.S1 -> L2\n  run kitchenette.S1 -> closet.S1"}}},
    {"receptacle-rating",
     "a receptacle of 15 A",
     {{"receptacle-20 \"network shelf\"", "receptacle \"network shelf\""}}},
    {"unfed-box",
     "name it in a run of a circuit",
     {{"run P -> studio.R5\n", "run P -> studio.R5 -> landing.R1\n"}}},
    {"duplicate-clause", NULL, {{"  spaces 24\n", ""}}},
    {"box-overfilled",
     "type square-1-1-4-deep, 18 in3",
     {{"type handy-2-1-8-deep", "type square-1-1-4-deep"}}},
    {"leg-without-switch",
     "leave 'leg bikes-light' out",
     {{"linear-luminaire leg bikes-light 40 W", "linear-luminaire 40 W"}}},
    {"leg-spans-rooms",
     "declare it with 'leg yard-light'",
     {{"leg step-light \"Light at the front step\"",
       "leg step-light \"Light at the front step\"\nleg yard-light"}}},
    {"conductor-undersized",
     "12/2, or a 15 A breaker",
     {{"kitchenette.R4 -> R3 cable 14/2", "kitchenette.R4 -> R3 cable 12/2"}}},
    {"conductors-missing",
     "cable 14/4",
     {{"landing.S1 -> entry.S1 cable 14/2", "landing.S1 -> entry.S1 cable 14/4"}}},
    {"breaker-overloaded", "less load", {{"baseboard 5000 W", "baseboard 1500 W"}}},
    {"duplicate-name", NULL, {{"leg stair-lights \"Stair and entry lights\"\n", ""}}},
    {"loop-in-circuit", "leave it out", {{"  run shop.S1 -> L1\n", ""}}},
    {"breaker-nonstandard", "20 A or 25 A", {{"breaker 24 A two-pole", "breaker 20 A two-pole"}}},
    {"unknown-name",
     NULL,
     {{"box A1  overhead at 8'-6\", 3'-4\" { smoke-alarm }\n",
       "box A1  overhead at 8'-6\", 3'-4\" { smoke-alarm }\n  box D1  south at 9'-6\" { data "
       "}\n"}}},
};

static void put(char *text, size_t size, const char *find, const char *with)
{
    char *at = strstr(text, find);
    if (!at)
        fail_msg("the draft has no \"%s\"", find);
    size_t before = (size_t)(at - text), gone = strlen(find), comes = strlen(with),
           rest = strlen(at + gone) + 1;
    assert_true(before + comes + rest <= size);
    memmove(at + comes, at + gone, rest);
    memcpy(at, with, comes);
}

static void read_draft(const char *path, char *text, size_t size)
{
    struct buf draft = {0};
    assert_true(file_read(&draft, path, (uint32_t)size / 2));
    snprintf(text, size, "%s", buf_text(&draft));
    buf_free(&draft);
}

/* Findings that are no notes and not waived. */
static uint32_t faults(const struct compilation *c)
{
    return c->diag.counts[ERROR] + c->diag.counts[WARNING];
}

static const struct finding *found(const struct compilation *c, const char *rule)
{
    const struct finding *only = NULL;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (!strcmp(c->diag.findings.at[i].rule->name, rule)) {
            assert_null(only);
            only = &c->diag.findings.at[i];
        }
    return only;
}

static void the_first_draft_is_mended_step_by_step(void **state)
{
    (void)state;
    enum { ROOM = 1 << 16, COUNT = sizeof mends / sizeof *mends };
    char *text = calloc(1, ROOM);
    read_draft("examples/studio/first-draft.bay", text, ROOM);
    for (uint32_t i = 0; i <= COUNT; i++) {
        struct compilation c;
        compile_text(&c, text);
        if (faults(&c) != COUNT - i)
            fail_msg("after %u mends, the last that of %s, %u findings are left", i,
                     i ? mends[i - 1].rule : "none", faults(&c));
        if (i < COUNT) {
            const struct finding *f = found(&c, mends[i].rule);
            assert_non_null(f);
            if (mends[i].words && (!f->mend || !strstr(f->mend, mends[i].words)))
                fail_msg("%s: its mend is \"%s\"", mends[i].rule, f->mend ? f->mend : "");
            for (int k = 0; k < CHANGES && mends[i].change[k].find; k++)
                put(text, ROOM, mends[i].change[k].find, mends[i].change[k].put);
        }
        compile_free(&c);
    }
    free(text);
}

/* A second cable is offered only where it helps: travelers cannot be parted from the rest of their
 * circuit (NEC 300.3(B)), two lights in a row can be. */
static void a_second_cable_is_offered_where_it_helps(void **state)
{
    (void)state;
    static const char lights[] =
        "plan \"T\" { edition nec-2023 }\nroom shed \"Shed\" { kind workshop; size 14' by 10'\n  "
        "box S1 south at 2' up 48\" { switch leg a; switch leg b }\n"
        "  box L1 overhead at 7', 5' { luminaire leg a 40 W }\n  box L2 overhead at 10', 5' { "
        "luminaire leg b 40 W }\n}\n"
        "panel P \"Shed panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.1 \"Shed lights\" { breaker 15 A\n  run P -> shed.S1\n  run shed.S1 -> L1 cable "
        "14/2\n  run shed.L1 -> L2\n}\n";
    char text[4000];
    struct compilation c;
    snprintf(text, sizeof text, "%s", lights);
    compile_text(&c, text);
    assert_non_null(strstr(found(&c, "conductors-missing")->mend, "cable 14/2 + 14/2"));
    compile_free(&c);
    put(text, sizeof text, "L1 cable 14/2", "L1 cable 14/2 + 14/2");
    compile_text(&c, text);
    assert_null(found(&c, "conductors-missing"));
    assert_int_equal(c.diag.counts[ERROR], 0);
    compile_free(&c);
    read_draft("examples/small/two-places.bay", text, sizeof text);
    put(text, sizeof text, "cable 14/3", "cable 14/2");
    compile_text(&c, text);
    assert_null(strstr(found(&c, "conductors-missing")->mend, "14/2 + 14/2"));
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_draft_is_mended_step_by_step),
        cmocka_unit_test(a_second_cable_is_offered_where_it_helps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
