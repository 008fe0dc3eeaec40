/* Words on a device of several parts: what the whole says holds for each part that does not say
 * its own, and a part's own word wins. Each sort of device of the library that has parts is written
 * with words at random, once on the whole and once spelled out on every part: both plans must be
 * wired, bought and reckoned alike. What is settled of it stands in docs/language.md. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "generate.h"
#include "prove/prove.h"
#include "resolve/library.h"

static const char frame[] =
    "plan \"Parts\" { language 1; edition nec-2023 }\n"
    "cable 12/6 : nm { size 12; conductors black red blue yellow white white-red; diameter 0.6\"; "
    "stock 1000' }\n"
    "room a \"A\" {\n  kind storage\n  size 12' by 10'\n"
    "  box S1 north at 3' up 48\" { switch leg x%s }\n"
    "  box S2 north at 9' up 48\" { switch leg y%s }\n"
    "  box L1 overhead at 3', 7' { luminaire leg x%s 20 W; luminaire leg y%s 20 W }\n"
    "  box D1 overhead at 6', 5' { %s }\n}\n"
    "panel P \"P\" { in a south at 3' up 5'; main 100 A; spaces 12 }\n"
    "circuit P.1 \"Storage\" {\n  breaker 20 A%s\n  run P -> a.S1 -> D1\n  run a.S1 -> S2\n"
    "  run a.S1 -> L1\n}\n";

static void compile_device(struct compilation *c, const char *device, bool multiwire)
{
    const char *pole = multiwire ? " pole b" : "";
    struct buf text = {0};
    buf_printf(&text, frame, pole, pole, pole, pole, device,
               multiwire ? " two-pole\n  multiwire" : "");
    compile_text(c, buf_text(&text));
    buf_free(&text);
}

/* What is wired, bought and reckoned, and what was found. */
static void tell(struct compilation *c, struct buf *out)
{
    static const char *const reports[] = {"makeup", "runs", "load", "panel", "materials", "test"};
    struct results r = {0};
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        buf_printf(out, "%s: %s\n", c->diag.findings.at[i].rule->name,
                   c->diag.findings.at[i].message);
    assert_true(c->verdict->holds);
    if (cmd_results(c, &r))
        for (size_t i = 0; i < sizeof reports / sizeof *reports; i++)
            report_write(report_named(reports[i]), &r, REPORT_JSON, out);
}

/* Words of one thing: a leg, a pole, whether it is continuous. */
struct said {
    bool leg, pole, continuous;
    char which_leg;
};

static struct said say(uint64_t *state, unsigned percent, bool multiwire)
{
    return (struct said){.leg = chance(state, percent),
                         .pole = multiwire && chance(state, percent),
                         .continuous = chance(state, percent / 2),
                         .which_leg = chance(state, 50) ? 'x' : 'y'};
}

static void put_words(struct buf *out, struct said s)
{
    if (s.leg)
        buf_printf(out, " leg %c", s.which_leg);
    if (s.pole)
        buf_puts(out, " pole b");
    if (s.continuous)
        buf_puts(out, " continuous");
}

/* What holds for a part: its own words, else those of the whole. */
static struct said together(struct said own, struct said whole)
{
    struct said s = own;
    if (!own.leg) {
        s.leg = whole.leg;
        s.which_leg = whole.which_leg;
    }
    s.pole |= whole.pole;
    s.continuous |= whole.continuous;
    return s;
}

static void compare_writings(const struct device_def *def, uint64_t seed)
{
    uint64_t state = seed;
    bool multiwire = chance(&state, 50);
    struct said whole = say(&state, 60, multiwire);
    struct buf short_form = {0}, long_form = {0}, told[2] = {{0}, {0}};
    struct compilation c;
    buf_puts(&short_form, def->name);
    put_words(&short_form, whole);
    buf_puts(&short_form, " {");
    buf_printf(&long_form, "%s {", def->name);
    for (uint8_t i = 0; i < def->part_count; i++)
        for (uint8_t k = 0; k < def->parts[i].count; k++) {
            struct said own = say(&state, 30, multiwire);
            buf_printf(&short_form, " %s", def->parts[i].name);
            put_words(&short_form, own);
            buf_printf(&long_form, " %s", def->parts[i].name);
            put_words(&long_form, together(own, whole));
            buf_puts(&short_form, ";");
            buf_puts(&long_form, ";");
        }
    buf_puts(&short_form, " }");
    buf_puts(&long_form, " }");
    for (int i = 0; i < 2; i++) {
        compile_device(&c, buf_text(i ? &long_form : &short_form), multiwire);
        tell(&c, &told[i]);
        compile_free(&c);
    }
    if (strcmp(buf_text(&told[0]), buf_text(&told[1])))
        fprintf(stderr, "%s\nis not\n%s\n", buf_text(&short_form), buf_text(&long_form));
    assert_string_equal(buf_text(&told[0]), buf_text(&told[1]));
    buf_free(&short_form);
    buf_free(&long_form);
    buf_free(&told[0]);
    buf_free(&told[1]);
}

/* A word of the whole is a word of each part. */
static void words_of_the_whole_hold_for_its_parts(void **state)
{
    (void)state;
    struct compilation library;
    compile_sound(&library, "plan \"None\" { edition nec-2023 }\n");
    unsigned sorts = 0;
    for (uint32_t i = 0; i < library.lib.devices.cap; i++) {
        const char *name = (const char *)library.lib.devices.slot[i].b;
        const struct device_def *def = name ? library_device(&library.lib, name) : NULL;
        if (!def || !def->part_count)
            continue;
        sorts++;
        for (uint64_t seed = 0; seed < 6; seed++)
            compare_writings(def, map_hash_bytes(def->name, strlen(def->name)) + seed);
    }
    assert_true(sorts >= 10);
    compile_free(&library);
}

/* The load of all parts of D1, and of how many. */
static double load_of(const char *device, unsigned *parts)
{
    struct compilation c;
    compile_device(&c, device, false);
    assert_int_equal(findings_of(&c, "syntax"), 0);
    const struct device *d = c.model->devices.at[c.model->devices.n - 1];
    double load = 0;
    for (uint32_t k = 0; k < d->part_count; k++)
        load += d->parts[k].load;
    *parts = d->part_count;
    compile_free(&c);
    return load;
}

/* A load on the whole counts once; of it a part that says its own takes that. */
static void a_load_on_the_whole_counts_once(void **state)
{
    (void)state;
    static const struct {
        const char *device;
        double load;
        unsigned parts;
    } cases[] = {
        {"receptacle 500 W { half; half leg x }", 500, 2},
        {"receptacle 500 W { half leg x }", 500, 2},
        {"receptacle 500 W { half 200 W; half leg x }", 500, 2},
        {"receptacle { half 200 W; half 100 W leg x }", 300, 2},
        {"receptacle 100 W { half 200 W; half leg x }", 200, 2},
        {"paddle-fan 90 W { fan; light leg x }", 90, 2},
        {"paddle-fan { fan; light leg x }", 115, 2},
        {"paddle-fan 90 W leg x { light leg y }", 90, 2},
        {"switch-receptacle 300 W { switch leg x; receptacle }", 300, 2},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        unsigned parts;
        assert_near(load_of(cases[i].device, &parts), cases[i].load, 1e-9);
        assert_int_equal(parts, cases[i].parts);
    }
}

/* The half that the block leaves out is there, and live; what no block names is not added where
 * nothing is said of it. */
static void what_the_block_leaves_out_is_there(void **state)
{
    (void)state;
    static const struct {
        const char *device;
        unsigned parts, on_leg;
    } cases[] = {
        {"receptacle { half leg x }", 2, 1},
        {"receptacle leg x { half leg y }", 2, 2},
        {"paddle-fan { light leg x }", 1, 1},
        {"paddle-fan leg x { light leg y }", 2, 2},
        {"exhaust-fan { fan leg x; light leg y }", 2, 2},
        {"duplex-switch { switch leg x }", 1, 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        compile_device(&c, cases[i].device, false);
        const struct device *d = c.model->devices.at[c.model->devices.n - 1];
        unsigned on_leg = 0;
        for (uint32_t k = 0; k < d->part_count; k++)
            on_leg += d->parts[k].leg != NULL;
        assert_int_equal(d->part_count, cases[i].parts);
        assert_int_equal(on_leg, cases[i].on_leg);
        assert_true(c.verdict->holds);
        compile_free(&c);
    }
}

/* What feeds a load works it; two legs of one load are told, and halves that are said twice. */
static void words_that_contradict_are_told(void **state)
{
    (void)state;
    struct compilation c;
    compile_device(&c, "luminaire from leg x", false);
    assert_int_equal(c.diag.counts[ERROR], 0);
    assert_true(c.verdict->holds);
    assert_string_equal(c.model->devices.at[c.model->devices.n - 1]->parts[0].leg->name, "x");
    compile_free(&c);
    compile_device(&c, "luminaire leg y from leg x", false);
    assert_int_equal(findings_of(&c, "duplicate-clause"), 1);
    compile_free(&c);
    compile_device(&c, "receptacle half leg x { half leg y }", false);
    assert_int_equal(findings_of(&c, "duplicate-clause"), 1);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_of_the_whole_hold_for_its_parts),
        cmocka_unit_test(a_load_on_the_whole_counts_once),
        cmocka_unit_test(what_the_block_leaves_out_is_there),
        cmocka_unit_test(words_that_contradict_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
