/* What is suggested for words of the trade: by the table of the library (stdlib/words.bay), by the
 * stems of words, then by letters. What people type, and what they mean, is common usage. */
#include "compiled.h"
#include "resolve/language.h"
#include "resolve/library.h"

/* The first mend of the plan, or "". */
static const char *mend_of(struct compilation *c, const char *text)
{
    compile_text(c, text);
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (c->diag.findings.at[i].severity == ERROR)
            return c->diag.findings.at[i].mend ? c->diag.findings.at[i].mend : "";
    return "";
}

static void assert_mend(const char *frame, const char *typed, const char *meant)
{
    struct compilation c;
    struct buf text = {0};
    buf_printf(&text, "plan \"Words\" { language 1; edition nec-2023 }\n");
    const char *at = strchr(frame, '@');
    buf_add(&text, frame, (size_t)(at - frame));
    buf_puts(&text, typed);
    buf_puts(&text, at + 1);
    const char *mend = mend_of(&c, buf_text(&text)),
               *wanted = arena_printf(&c.arena, "write '%s'", meant);
    if (strncmp(mend, wanted, strlen(wanted)))
        fail_msg("for '%s' is said \"%s\", wanted \"%s\"", typed, mend, wanted);
    compile_free(&c);
    buf_free(&text);
}

struct pair {
    const char *typed, *meant;
};

static void devices_are_known_by_their_trade_names(void **state)
{
    (void)state;
    static const char frame[] =
        "room a \"A\" { kind storage; corner 0', 0'; size 12' by 10'; box R1 "
        "north at 3' { @ } }\n";
    static const struct pair pairs[] = {
        {"outlet", "receptacle"},
        {"3-way leg x", "three-way"},
        {"GFCI", "receptacle-gfci"},
        {"gfci-receptacle", "receptacle-gfci"},
        {"receptacle gfci", "receptacle-gfci"},
        {"gfci receptacle", "receptacle-gfci"},
        {"receptacle single", "receptacle-single"},
        {"single-receptacle", "receptacle-single"},
        {"bath-fan", "exhaust-fan"},
        {"fan", "paddle-fan"},
        {"ceiling-fan", "paddle-fan"},
        {"smoke-detector", "smoke-alarm"},
        {"pendant", "luminaire"},
        {"can", "recessed"},
        {"disposal", "disposer"},
        {"heated-floor", "heater"},
        {"under-cabinet", "linear-luminaire"},
        {"cat6", "data"},
        {"dimmer-switch", "dimmer"},
        {"fridge", "refrigerator"},
        {"recepacle", "receptacle"},          /* letters */
        {"water-heaters", "water-heater"},    /* a letter */
        {"big-water-heater", "water-heater"}, /* words */
        {"receptacle-quad", "receptacle"},    /* words */
        {"photoelectric-smoke-alarm", "smoke-alarm-photoelectric"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        assert_mend(frame, pairs[i].typed, pairs[i].meant);
}

static void rooms_are_known_by_their_trade_names(void **state)
{
    (void)state;
    static const char frame[] = "room a \"A\" { kind @; corner 0', 0'; size 12' by 10' }\n";
    static const struct pair pairs[] = {
        {"bathroom", "bath"},          {"family-room", "family"}, {"mechanical", "utility"},
        {"master-bedroom", "bedroom"}, {"hallway", "hall"},       {"laundry-room", "laundry"},
        {"kitchn", "kitchen"},         {"bathrm", "bath"},        {"crawlspace", "crawl-space"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        assert_mend(frame, pairs[i].typed, pairs[i].meant);
}

static void circuits_are_known_by_their_trade_names(void **state)
{
    (void)state;
    static const char frame[] =
        "room a \"A\" { kind storage; corner 0', 0'; size 12' by 10'; box R1 north at 3' { "
        "receptacle } }\npanel P \"P\" { in a south at 3' up 5'; main 100 A; spaces 12 }\n"
        "circuit P.2 \"A\" {\n  run P -> a.R1\n  @\n}\n";
    static const struct pair pairs[] = {
        {"wire 12/2", "cable"},
        {"breaker 20 A 2-pole", "two-pole"},
        {"breaker 20 A double-pole", "two-pole"},
        {"breaker 20 A AFCI", "afci"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        assert_mend(frame, pairs[i].typed, pairs[i].meant);
}

static void box_types_are_known_by_their_trade_names(void **state)
{
    (void)state;
    static const char frame[] =
        "room a \"A\" { kind storage; corner 0', 0'; size 12' by 10'; "
        "box R1 north at 3' type @ { receptacle } }\npanel P \"P\" { in a south at 3' up "
        "5'; main 100 A; spaces 12 }\ncircuit P.2 \"A\" { run P -> a.R1 }\n";
    static const struct pair pairs[] = {
        {"octagon", "octagon-1-1-2-deep"},
        {"handy-box", "handy-2-1-8-deep"},
        {"pancake", "round-shallow-8"},
        {"remodel", "old-work-1g-20"},
        {"single-gang", "nail-on-1g-22"},
        {"fan-box", "fan-brace-16"},
        {"weatherproof-box", "cast-deep-1g"},
        {"conduit-body", "body-lb-3-4"},
        {"LB", "body-lb-3-4"},
        {"square box", "square-1-1-2-deep"},
        {"2-gang", "nail-on-2g-34"},
        {"4-square", "square-1-1-2-deep"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        assert_mend(frame, pairs[i].typed, pairs[i].meant);
}

/* Whether a name may be written somewhere: a definition of the library, or a word of the language.
 */
static bool is_there(struct compilation *c, const char *name)
{
    if (library_device(&c->lib, name) || library_kind(&c->lib, name) ||
        library_cable(&c->lib, name) || library_box_type(&c->lib, name) ||
        library_raceway(&c->lib, name))
        return true;
    for (int form = 0; form < FORM_COUNT; form++) {
        for (uint32_t i = 0; i < c->language->words_in[form].n; i++)
            if (!strcmp(c->language->words_in[form].at[i], name))
                return true;
        for (uint32_t i = 0; i < c->language->words_on[form].n; i++)
            if (!strcmp(c->language->words_on[form].at[i], name))
                return true;
    }
    return false;
}

/* Each line of the table leads to something that can be written, and no word stands there twice. */
static void the_table_leads_somewhere(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, "plan \"Words\" { edition nec-2023 }\n");
    assert_true(c.diag.words.n > 100);
    for (uint32_t i = 0; i < c.diag.words.n; i++) {
        const struct near_word *w = &c.diag.words.at[i];
        assert_true(w->count > 0);
        assert_ptr_equal(near_meaning(&c.diag.words, w->word), w);
        for (uint32_t k = 0; k < w->count; k++)
            if (!is_there(&c, w->means[k]))
                fail_msg("'%s' would mean '%s', which there is not", w->word, w->means[k]);
    }
    compile_free(&c);
}

/* Without the table too a longer word that begins with a name is that name, not one with some of
 * its letters. */
static void stems_go_before_letters(void **state)
{
    (void)state;
    static const char *const names[] = {"bedroom", "bath", "range-receptacle", "receptacle-single",
                                        "hall"};
    static const struct pair pairs[] = {
        {"bathroom", "bath"},
        {"single-receptacle", "receptacle-single"},
        {"hallway", "hall"},
        {"badroom", "bedroom"}, /* one letter */
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        assert_string_equal(diag_nearest(pairs[i].typed, names, sizeof names / sizeof *names),
                            pairs[i].meant);
}

/* A definition that adds nothing needs no block. */
static void a_definition_may_add_nothing(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c,
                  "plan \"Words\" { edition nec-2023 }\ndevice lamp : luminaire \"Lamp\"\n"
                  "room a \"A\" { kind storage; corner 0', 0'; size 12' by 10'; box L1 overhead "
                  "at 3', 3' { lamp leg x }; box S1 north at 3' { switch leg x } }\n"
                  "panel P { in a south at 3' up 5'; main 100 A; spaces 12 }\n"
                  "circuit P.1 \"A light\" { breaker 15 A; run P -> a.S1 -> L1 }\n");
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(devices_are_known_by_their_trade_names),
        cmocka_unit_test(rooms_are_known_by_their_trade_names),
        cmocka_unit_test(circuits_are_known_by_their_trade_names),
        cmocka_unit_test(box_types_are_known_by_their_trade_names),
        cmocka_unit_test(the_table_leads_somewhere),
        cmocka_unit_test(stems_go_before_letters),
        cmocka_unit_test(a_definition_may_add_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
