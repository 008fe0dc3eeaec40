/* The number is the handle: who sits where in a panel, and which breakers want one space, against a
 * reckoning of its own, on panels made at random and written in a random order.
 *
 * How spaces are counted and that a pole stands two below the other is common trade practice;
 * numbered circuits sit at their number by the language. */
#include "compiled.h"
#include "facts/tags.h"
#include "loads/panel.h"
#include "../plans/random.h"

enum { CIRCUITS = 9, MOST_SPACE = 16, MOST_HELD = 64, ROUNDS = 500, WHOLE = 3 };

struct wanted {
    char name[16];
    unsigned number, space, poles, half; /* half: 0 none, 1 upper, 2 lower, as bits of a space */
    bool existing, multiwire;
    unsigned va;
};

struct panel_plan {
    struct wanted circuit[CIRCUITS];
    unsigned count, spaces; /* spaces 0: not said */
    bool taken[MOST_SPACE + 4], half_size, existing;
};

/* --- making ------------------------------------------------------------------------------- */

static bool name_is_used(const struct panel_plan *p, const char *name)
{
    for (unsigned i = 0; i < p->count; i++)
        if (!strcmp(p->circuit[i].name, name))
            return true;
    return false;
}

static void add_wanted(struct panel_plan *p, uint64_t *state)
{
    struct wanted w = {.poles = 1 + chance(state, 30), .existing = chance(state, 20)};
    w.multiwire = w.poles == 2 && chance(state, 30);
    if (chance(state, 55))
        w.number = 1 + pick(state, MOST_SPACE);
    else if (chance(state, 40))
        w.space = 1 + pick(state, MOST_SPACE);
    if (w.number && chance(state, 10))
        w.space = chance(state, 50) ? w.number : 1 + pick(state, MOST_SPACE);
    bool placed = w.number || w.space;
    if (chance(state, p->half_size ? 40 : 4) && (placed || w.poles == 1))
        w.half = 1 + pick(state, 2);
    if (w.number)
        snprintf(w.name, sizeof w.name, "%u", w.number);
    else
        snprintf(w.name, sizeof w.name, "w%c", (char)('a' + p->count));
    w.va = 300 * pick(state, 4);
    /* what stands in a panel of half-size breakers and nobody knows is asked elsewhere */
    if (!name_is_used(p, w.name) && !(p->half_size && w.existing && !placed))
        p->circuit[p->count++] = w;
}

static struct panel_plan draw(uint64_t *state)
{
    struct panel_plan p = {.half_size = chance(state, 35), .existing = chance(state, 50)};
    p.spaces = chance(state, 90) ? 2 + pick(state, MOST_SPACE - 1) : 0;
    for (unsigned n = 1; n <= p.spaces; n++)
        p.taken[n] = chance(state, 12);
    unsigned wanted = 1 + pick(state, CIRCUITS);
    for (unsigned i = 0; i < wanted; i++)
        add_wanted(&p, state);
    return p;
}

static void shuffle(struct panel_plan *p, uint64_t *state)
{
    for (unsigned i = p->count; i > 1; i--) {
        unsigned k = pick(state, i);
        struct wanted w = p->circuit[k];
        p->circuit[k] = p->circuit[i - 1];
        p->circuit[i - 1] = w;
    }
}

static void write_circuit(struct buf *b, const struct wanted *w)
{
    buf_printf(b, "circuit P.%s \"Bench %s\" { breaker 20 A%s", w->name, w->name,
               w->poles == 2 ? " two-pole" : "");
    if (w->existing)
        buf_puts(b, "; existing");
    if (w->multiwire)
        buf_puts(b, "; multiwire");
    if (w->space)
        buf_printf(b, "; space %u", w->space);
    if (w->half)
        buf_printf(b, "; half %s", w->half == 1 ? "upper" : "lower");
    if (w->poles == 1 && w->va && !w->existing)
        buf_printf(b, "; run P -> k.B%s", w->name);
    buf_puts(b, " }\n");
}

static char *plan_text(const struct panel_plan *p)
{
    struct buf b = {0};
    buf_puts(&b, "plan \"Hall\" { edition nec-2023 }\n");
    for (unsigned i = 0; i < p->count; i++)
        write_circuit(&b, &p->circuit[i]);
    buf_puts(&b, "room k { kind workshop; size 200' by 20'\n");
    for (unsigned i = 0; i < p->count; i++)
        if (p->circuit[i].poles == 1 && p->circuit[i].va && !p->circuit[i].existing)
            buf_printf(&b, "box B%s south at %u' { receptacle %u VA }\n", p->circuit[i].name,
                       8 * i + 1, p->circuit[i].va);
    buf_puts(&b, "}\npanel P { in k north at 9' up 5'; main 200 A");
    if (p->spaces)
        buf_printf(&b, "; spaces %u", p->spaces);
    buf_printf(&b, "%s%s", p->half_size ? "; half-size" : "", p->existing ? "; existing" : "");
    for (unsigned n = 1; n <= p->spaces; n++)
        if (p->taken[n])
            buf_printf(&b, "; taken %u", n);
    buf_puts(&b, " }\n");
    char *text = strdup(buf_text(&b));
    buf_free(&b);
    return text;
}

/* --- reckoning ---------------------------------------------------------------------------- */

static unsigned seat_of(const struct wanted *w)
{
    return w->number ? w->number : w->space;
}

/* What of its first space and of its other one a breaker has: the halves of a pair lie crosswise.
 */
static unsigned halves_of(const struct wanted *w, unsigned pole)
{
    return !w->half ? WHOLE : pole ? WHOLE - w->half : w->half;
}

/* How often each circuit must be found at fault, in the order of the text. */
static void expect_conflicts(const struct panel_plan *p, unsigned *expected)
{
    unsigned held[MOST_HELD] = {0};
    int first_half = -1, second_half = -1;
    bool half_at[MOST_SPACE + 1] = {false};
    for (unsigned i = 0; i < p->count; i++) {
        const struct wanted *w = &p->circuit[i];
        unsigned seat = seat_of(w);
        bool clash = false;
        expected[i] = w->number && w->space && w->space != w->number;
        for (unsigned k = 0; seat && k < w->poles; k++) {
            unsigned n = seat + 2 * k;
            clash |= (p->spaces && n > p->spaces) || (p->taken[n] && !w->existing) ||
                     held[n] & halves_of(w, k);
        }
        for (unsigned k = 0; seat && !clash && k < w->poles; k++)
            held[seat + 2 * k] |= halves_of(w, k);
        expected[i] += clash;
        if (!w->half || p->half_size)
            continue;
        first_half = first_half < 0 ? (int)i : first_half;
        if (seat && half_at[seat] && second_half < 0)
            second_half = (int)i;
        half_at[seat] = seat > 0 || half_at[seat];
    }
    if (first_half >= 0)
        expected[second_half >= 0 ? second_half : first_half]++;
}

struct seats {
    const struct panel_plan *plan;
    unsigned held[MOST_HELD]; /* bits of halves */
    bool shares[MOST_HELD];   /* what is in it may have another one beside it */
    unsigned spaces, unknown;
};

static bool leaves_enough(const struct seats *r)
{
    unsigned whole = 0;
    for (unsigned n = 1; n <= r->spaces; n++)
        whole += !r->held[n];
    return whole >= r->unknown;
}

/* Whether all that wait from the i-th on fit somewhere. */
static bool fit(struct seats *r, unsigned i)
{
    while (i < r->plan->count && (seat_of(&r->plan->circuit[i]) || r->plan->circuit[i].existing))
        i++;
    if (i == r->plan->count)
        return leaves_enough(r);
    const struct wanted *w = &r->plan->circuit[i];
    bool half = r->plan->half_size && w->poles == 1;
    for (unsigned n = 1; n + 2 * (w->poles - 1) <= r->spaces; n++)
        for (unsigned bits = 1; bits <= WHOLE; bits++) {
            unsigned want = half && w->half ? w->half : bits;
            if ((want != WHOLE) != half || r->held[n] & want || (w->poles == 2 && r->held[n + 2]))
                continue;
            r->held[n] |= want;
            r->held[n + 2] |= w->poles == 2 ? WHOLE : 0;
            bool fits = fit(r, i + 1);
            r->held[n] &= ~want;
            r->held[n + 2] &= w->poles == 2 ? 0 : WHOLE;
            if (fits)
                return true;
        }
    return false;
}

static struct seats room_of(const struct panel_plan *p)
{
    struct seats r = {.plan = p, .spaces = p->spaces ? p->spaces : 2 * MOST_SPACE};
    bool known[MOST_HELD] = {false};
    for (unsigned i = 0; i < p->count; i++) {
        const struct wanted *w = &p->circuit[i];
        unsigned seat = seat_of(w);
        r.unknown += w->existing && !seat ? w->poles : 0;
        for (unsigned k = 0; seat && k < w->poles; k++) {
            r.held[seat + 2 * k] |= p->half_size ? halves_of(w, k) : WHOLE;
            known[seat + 2 * k] = true;
        }
    }
    for (unsigned n = 1; n <= p->spaces; n++)
        if (p->taken[n]) {
            r.held[n] = WHOLE;
            r.unknown -= !known[n] && r.unknown;
        }
    return r;
}

/* Whether the panel is too small: for what waits, or for what is there and nobody knows where. */
static bool expect_full(const struct panel_plan *p)
{
    struct seats r = room_of(p);
    bool waits = false, adds = false;
    for (unsigned i = 0; i < p->count; i++) {
        waits |= !p->circuit[i].existing && !seat_of(&p->circuit[i]);
        adds |= !p->circuit[i].existing;
    }
    return p->spaces && adds && (waits ? !fit(&r, 0) : !leaves_enough(&r));
}

/* --- asking ------------------------------------------------------------------------------- */

static const struct circuit *circuit_called(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->model->circuits.n; i++)
        if (!strcmp(c->model->circuits.at[i]->name, name))
            return c->model->circuits.at[i];
    fail_msg("no circuit %s", name);
    return NULL;
}

static unsigned told_of(const struct compilation *c, const char *rule, const char *name)
{
    char subject[32];
    unsigned n = 0;
    snprintf(subject, sizeof subject, "circuit P.%s", name);
    for (unsigned i = 0; finding_of(c, rule, i); i++)
        n += !strcmp(finding_of(c, rule, i)->subject, subject);
    return n;
}

static void assert_called(struct compilation *c, const struct wanted *w)
{
    const struct circuit *circuit = circuit_called(c, w->name);
    const struct circuit_space *s = &c->panels->of_circuit[circuit->id];
    char want[64] = "", pair[32] = "";
    if (w->poles == 2)
        snprintf(pair, sizeof pair, "/%u", s->space + 2);
    if (s->space)
        snprintf(want, sizeof want, "P%u%s%s", s->space, pair,
                 s->half == HALF_UPPER   ? " upper"
                 : s->half == HALF_LOWER ? " lower"
                                         : "");
    else
        snprintf(want, sizeof want, "P.%s", w->name);
    if (!w->number && s->space)
        snprintf(want + strlen(want), sizeof want - strlen(want), " (%s)", w->name);
    assert_string_equal(panel_circuit_called(&c->arena, c->panels, circuit, false), want);
}

static unsigned conflicts_of(const struct compilation *c, const char *name)
{
    return told_of(c, "space-conflict", name);
}

/* Where an old breaker stands is asked where a new one goes into its panel. */
static void assert_asked(const struct compilation *c, const struct panel_plan *p)
{
    bool adds = false;
    for (unsigned i = 0; i < p->count; i++)
        adds |= !p->circuit[i].existing;
    for (unsigned i = 0; i < p->count; i++) {
        const struct wanted *w = &p->circuit[i];
        assert_int_equal(told_of(c, "existing-unknown", w->name),
                         adds && w->existing && !seat_of(w));
    }
}

/* Each sits where it says; what was found is within the panel, and nobody else's. */
static void assert_seated(struct compilation *c, const struct panel_plan *p)
{
    struct seats r = room_of(p);
    for (unsigned i = 0; i < p->count; i++) {
        const struct wanted *w = &p->circuit[i];
        const struct circuit_space *s = &c->panels->of_circuit[circuit_called(c, w->name)->id];
        assert_int_equal(s->poles, w->poles);
        if (seat_of(w) || w->existing) {
            assert_int_equal(s->space, seat_of(w));
            assert_false(s->found);
        } else if (s->space) {
            assert_true(s->found);
            for (unsigned k = 0; k < w->poles; k++) {
                unsigned n = s->space + 2 * k, bits = s->half ? (unsigned)s->half : WHOLE;
                assert_true(!p->spaces || n <= p->spaces);
                assert_true(n < MOST_HELD);
                assert_int_equal(r.held[n] & bits, 0);
                r.held[n] |= bits;
            }
        }
        assert_called(c, w);
    }
}

static void assert_same_seats(const struct compilation *a, const struct compilation *b,
                              const struct panel_plan *p)
{
    for (unsigned i = 0; i < p->count; i++) {
        const char *name = p->circuit[i].name;
        assert_int_equal(a->panels->of_circuit[circuit_called(a, name)->id].space,
                         b->panels->of_circuit[circuit_called(b, name)->id].space);
        assert_int_equal(a->panels->of_circuit[circuit_called(a, name)->id].half,
                         b->panels->of_circuit[circuit_called(b, name)->id].half);
    }
}

static void everybody_sits_where_they_say(void **state)
{
    (void)state;
    uint64_t random = 11;
    unsigned conflicts = 0, full = 0, clean = 0, unknown = 0;
    for (int round = 0; round < ROUNDS; round++) {
        struct panel_plan p = draw(&random);
        struct compilation c[2];
        for (int k = 0; k < 2; k++) {
            unsigned expected[CIRCUITS], all = 0;
            char *text = plan_text(&p);
            compile_text(&c[k], text);
            expect_conflicts(&p, expected);
            for (unsigned i = 0; i < p.count; i++) {
                if (conflicts_of(&c[k], p.circuit[i].name) != expected[i]) {
                    fprintf(stderr, "%s\nwanted %u of P.%s\n", text, expected[i],
                            p.circuit[i].name);
                    show_compiled(&c[k]);
                }
                assert_int_equal(conflicts_of(&c[k], p.circuit[i].name), expected[i]);
                all += expected[i];
            }
            assert_int_equal(findings_of(&c[k], "space-conflict"), all);
            if (findings_of(&c[k], "panel-full") != expect_full(&p)) {
                fprintf(stderr, "%s\nwanted full %d\n", text, expect_full(&p));
                show_compiled(&c[k]);
            }
            assert_int_equal(findings_of(&c[k], "panel-full"), expect_full(&p));
            assert_seated(&c[k], &p);
            assert_asked(&c[k], &p);
            conflicts += all > 0;
            full += expect_full(&p);
            clean += !all && !expect_full(&p);
            unknown += room_of(&p).unknown > 0;
            free(text);
            shuffle(&p, &random);
        }
        assert_same_seats(&c[0], &c[1], &p);
        compile_free(&c[0]);
        compile_free(&c[1]);
    }
    assert_true(conflicts > 160 && full > 16 && clean > 60 && unknown > 16);
}

/* --- what is read ------------------------------------------------------------------------- */

/* Panels whose names and numbers run into each other, each with the same circuits to the same
 * boxes: no two cables of different panels have tags that look alike. */
static void no_two_panels_share_a_tag(void **state)
{
    (void)state;
    static const char *const panels[] = {"P", "P1", "M", "main", "maintenance", "Q"};
    static const unsigned numbers[] = {1, 4, 11, 14};
    struct buf b = {0};
    buf_puts(&b, "plan \"Hall\" { edition nec-2023 }\nroom k { kind workshop; size 200' by 20'\n"
                 "box A south at 3' { receptacle }\nbox B south at 9' { receptacle } }\n");
    for (size_t i = 0; i < sizeof panels / sizeof *panels; i++) {
        buf_printf(&b, "panel %s { in k north at %zu' up 5'; main 60 A; spaces 20 }\n", panels[i],
                   9 * i + 3);
        for (size_t k = 0; k < sizeof numbers / sizeof *numbers; k++)
            buf_printf(&b, "circuit %s.%u { breaker 20 A; run %s -> k.A -> B }\n", panels[i],
                       numbers[k], panels[i]);
        buf_printf(&b, "circuit %s.bath { breaker 20 A; run %s -> k.A -> B }\n", panels[i],
                   panels[i]);
    }
    struct compilation c;
    compile_text(&c, buf_text(&b));
    buf_free(&b);
    assert_int_equal(findings_of(&c, "labels-alike"), 0);
    assert_int_equal(c.model->runs.n, 2 * 5 * 6);
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        for (uint32_t k = 0; k < i; k++) {
            const struct run *one = c.model->runs.at[i], *other = c.model->runs.at[k];
            assert_string_not_equal(facts_tag_folded(&c.arena, facts_run_tag(&c.arena, one)),
                                    facts_tag_folded(&c.arena, facts_run_tag(&c.arena, other)));
        }
    compile_free(&c);
}

/* Of two half-size breakers one has the number, the other a word with its space. A tie joins the
 * lower half of a space with the upper one of the next. */
static void what_is_read_of_a_breaker(void **state)
{
    (void)state;
    static const struct {
        const char *circuit, *called;
    } cases[] = {
        {"circuit P.14 { breaker 20 A }", "P14"},
        {"circuit P.14 { breaker 20 A two-pole }", "P14/16"},
        {"circuit P.14 { breaker 20 A tied; multiwire }", "P14/16"},
        {"circuit P.14 { breaker 20 A; half upper }", "P14 upper"},
        {"circuit P.14 { breaker 20 A tied; multiwire; half lower }", "P14/16 lower"},
        {"circuit P.bath { breaker 20 A; space 7 }", "P7 (bath)"},
        {"circuit P.bath { breaker 20 A; space 7; half lower }", "P7 lower (bath)"},
        {"circuit P.old { breaker 20 A; existing }", "P.old"},
        {"circuit P.14 { breaker 20 A; space 14 }", "P14"},
        {"panel P2 { in k north at 4' up 5'; main 60 A; feeder from P space 3 }",
         "feeder P2 (P3/5)"},
        {"panel P2 { in k north at 4' up 5'; main 60 A }\ncircuit P2.4 { breaker 20 A }", "P2-4"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[600];
        struct compilation c;
        snprintf(text, sizeof text,
                 "plan \"Hall\" { edition nec-2023 }\nroom k { kind workshop; size 20' by 20' }\n"
                 "panel P { in k north at 9' up 5'; main 60 A; spaces 20; half-size }\n%s\n",
                 cases[i].circuit);
        compile_text(&c, text);
        assert_int_equal(c.model->circuits.n, 1);
        assert_string_equal(
            panel_circuit_called(&c.arena, c.panels, c.model->circuits.at[0], false),
            cases[i].called);
        assert_int_equal(findings_of(&c, "space-conflict"), 0);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everybody_sits_where_they_say),
        cmocka_unit_test(no_two_panels_share_a_tag),
        cmocka_unit_test(what_is_read_of_a_breaker),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
