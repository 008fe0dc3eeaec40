/* Definitions of devices: each control of the library in each role that it can have is wired,
 * proven and bought as itself; each slip in a definition is a finding at its place, or the plan
 * that uses it is proven all the same. What is a switch, a three-way and a four-way: common trade
 * practice. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "generate.h"
#include "model/makeup.h"
#include "prove/prove.h"
#include "wiring/wiring.h"

/* --- plans -------------------------------------------------------------------------------- */

/* A shed in which a device works its legs, each with `beside` other switches where its part can
 * have them, else with as few as it can. */
struct scene {
    const struct device_def *def; /* what it can is read here */
    const char *name;             /* as the plan calls it */
    const char *more;             /* definitions of the plan */
    unsigned beside;
    bool onward; /* it protects an outlet behind it */
    struct buf boxes, runs;
    unsigned box;
};

/* Whether a part may stand on a leg with so many others. */
static bool can_share(const struct device_def *d, const struct body *b, unsigned beside)
{
    uint8_t kinds = !beside       ? 1 << SINGLE_POLE | 1 << TWO_POLE
                    : beside == 1 ? 1 << THREE_WAY
                                  : 1 << THREE_WAY | 1 << FOUR_WAY;
    return b->serves & kinds && (!beside || d->multi != MULTI_NO);
}

/* How many stand beside it: what is asked for, where it can; else the least. */
static unsigned shares(const struct scene *s, const struct body *b)
{
    unsigned n = s->beside;
    if (!can_share(s->def, b, n))
        for (n = 0; n < 3 && !can_share(s->def, b, n); n++)
            ;
    return n;
}

static void put_box(struct scene *s, char letter, const char *device)
{
    unsigned i = s->box++;
    buf_printf(&s->boxes, "  box %c%u %s at %u' up 48\" { %s }\n", letter, i,
               i < 6    ? "south"
               : i < 12 ? "north"
                        : "east",
               1 + 2 * (i % 6), device);
}

/* The chain of a leg: before the device what it cannot feed itself, behind it the rest and a load.
 */
static void put_leg(struct scene *s, const struct body *b, unsigned leg)
{
    unsigned others = shares(s, b), first = 0;
    bool companion = s->def->multi == MULTI_COMPANION;
    char words[200];
    if (others && !(b->serves & 1 << THREE_WAY))
        first = 1; /* a four-way stands between */
    for (unsigned i = 0; i < others; i++) {
        snprintf(words, sizeof words, "%s leg l%u", companion ? s->name : "switch", leg);
        if (i < first)
            buf_printf(&s->runs, " -> shed.C%u -> shed.S0", s->box);
        else
            buf_printf(&s->runs, i == first ? "; run shed.S0 -> shed.C%u" : " -> shed.C%u", s->box);
        put_box(s, 'C', words);
    }
    bool two = b->serves & 1 << TWO_POLE;
    snprintf(words, sizeof words, two ? "baseboard leg l%u 1000 W" : "luminaire leg l%u 40 W", leg);
    buf_printf(&s->runs, others > first ? " -> shed.L%u" : "; run shed.S0 -> shed.L%u", s->box);
    put_box(s, 'L', words);
}

static void put_parts(struct scene *s, char *text, size_t size)
{
    unsigned leg = 0;
    size_t n = (size_t)snprintf(text, size, "%s {", s->name);
    for (uint8_t i = 0; i < s->def->part_count; i++)
        for (uint8_t k = 0; k < s->def->parts[i].count && n < size; k++) {
            const struct part_def *p = &s->def->parts[i];
            n += (size_t)snprintf(text + n, size - n, " %s", p->name);
            if (p->body.control) {
                n += (size_t)snprintf(text + n, size - n, " leg l%u", ++leg);
                put_leg(s, &p->body, leg);
            }
            n += (size_t)snprintf(text + n, size - n, ";");
        }
    snprintf(text + n, size - n, " }");
}

/* The plan of a scene; give it back with free. */
static char *plan_of(struct scene *s)
{
    char device[600];
    struct buf out = {0};
    put_box(s, 'S', "@");
    bool first = s->def->part_count || !s->def->body.control || !shares(s, &s->def->body) ||
                 s->def->body.serves & 1 << THREE_WAY;
    if (s->def->part_count && s->def->sort == SORT_CONTROL)
        put_parts(s, device, sizeof device);
    else if (s->def->body.control) {
        snprintf(device, sizeof device, "%s leg l0", s->name);
        put_leg(s, &s->def->body, 0);
    } else {
        snprintf(device, sizeof device, "%s%s", s->name, s->onward ? " onward" : "");
    }
    if (s->onward) {
        buf_printf(&s->runs, "; run shed.S0 -> shed.R%u", s->box);
        put_box(s, 'R', s->def->two_line ? "heater" : "receptacle");
    }
    const char *boxes = buf_text(&s->boxes), *at = strchr(boxes, '@');
    buf_printf(&out,
               "plan \"Shed\" { edition nec-2023 }\n%sroom shed { kind workshop; size 14' by 14'\n"
               "%.*s%s%s}\npanel P \"Panel\" { in shed west at 7' up 5'; main 100 A; spaces 12 }\n"
               "circuit P.1 \"Workbench of the shed\" { breaker %s; run P%s%s }\n",
               s->more, (int)(at - boxes), boxes, device, at + 1,
               s->def->two_line ? (s->def->has_neutral ? "50 A two-pole" : "20 A two-pole")
                                : "15 A",
               first ? " -> shed.S0" : "", s->runs.n ? buf_text(&s->runs) : "");
    buf_free(&s->boxes);
    buf_free(&s->runs);
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

static bool holds(struct compilation *c)
{
    return prove(&c->arena, c->model, c->makeup)->holds;
}

/* --- the library -------------------------------------------------------------------------- */

static bool is_control(const struct device_def *d)
{
    bool any = d->body.control && !d->part_count;
    for (uint8_t i = 0; i < d->part_count; i++)
        any |= d->parts[i].body.control;
    return any;
}

/* Every contact that a part of the device has is named by its own word in the make-up, and trim
 * buys the device once. */
static void assert_own(struct compilation *c, const struct device_def *d)
{
    struct results r;
    assert_true(cmd_results(c, &r));
    struct buf made = {0}, bought = {0};
    report_write(report_named("makeup"), &r, REPORT_CSV, &made);
    report_write(report_named("trim"), &r, REPORT_CSV, &bought);
    assert_non_null(strstr(buf_text(&bought), d->name));
    const struct device *v = NULL;
    for (uint32_t i = 0; i < c->model->devices.n; i++)
        if (!strcmp(c->model->devices.at[i]->box->name, "S0"))
            v = c->model->devices.at[i];
    for (uint32_t i = 0; i < v->part_count; i++) {
        const struct body *own = v->parts[i].body, *is = c->makeup->forms[v->id][i].body;
        for (uint8_t t = 0; own == is && t < own->terminal_count; t++) {
            char words[100];
            snprintf(words, sizeof words, " %s", own->terminals[t].name);
            if (own->terminals[t].contact && !strstr(buf_text(&made), words))
                fprintf(stderr, "%s: %s is not landed\n%s\n", d->name, words, buf_text(&made));
            assert_true(!own->terminals[t].contact || strstr(buf_text(&made), words));
        }
        assert_true(own == is || !(own->contacts & is->contacts));
    }
    buf_free(&made);
    buf_free(&bought);
}

static void a_role(const struct device_def *d, unsigned beside)
{
    struct scene s = {.def = d, .name = d->name, .more = "", .beside = beside};
    char *text = plan_of(&s);
    struct compilation c;
    compile_text(&c, text);
    if (c.diag.counts[ERROR] || c.diag.counts[WARNING] || !holds(&c)) {
        fprintf(stderr, "%s with %u beside:\n%s", d->name, beside, text);
        show_compiled(&c);
    }
    assert_int_equal(c.diag.counts[ERROR], 0);
    assert_int_equal(c.diag.counts[WARNING], 0);
    const struct verdict *v = prove(&c.arena, c.model, c.makeup);
    assert_true(v->holds);
    assert_int_equal(v->left_out, 0);
    assert_own(&c, d);
    compile_free(&c);
    free(text);
}

static bool has_role(const struct device_def *d, unsigned beside)
{
    bool any = !d->part_count && can_share(d, &d->body, beside);
    for (uint8_t i = 0; i < d->part_count; i++)
        any |= can_share(d, &d->parts[i].body, beside);
    return any;
}

static void every_control_serves_in_every_role(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Nothing\" { edition nec-2023 }\n");
    unsigned controls = 0, roles = 0;
    for (uint32_t i = 0; i < c.lib.device_list.n; i++) {
        const struct device_def *d = c.lib.device_list.at[i];
        if (!is_control(d))
            continue;
        controls++;
        for (unsigned beside = 0; beside < 4; beside++)
            if (has_role(d, beside)) {
                a_role(d, beside);
                roles++;
            }
    }
    assert_true(controls >= 15);
    assert_true(roles >= 40);
    compile_free(&c);
}

/* --- generated plans ---------------------------------------------------------------------- */

/* Puts two unlike switches, or two three-ways, in the place of each pair of switches on a yoke, and
 * beside them what a three-way wants. */
static bool exchange_pairs(const char *plan, bool both, struct buf *out)
{
    static const char pair[] = "    duplex-switch { switch leg l";
    bool any = false;
    for (const char *at; (at = strstr(plan, pair)); any = true) {
        unsigned a = 0, b = 0;
        assert_int_equal(sscanf(at + sizeof pair - 1, "%u; switch leg l%u", &a, &b), 2);
        buf_printf(out, "%.*s", (int)(at - plan), plan);
        buf_printf(out,
                   both ? "    duplex-three-way { three-way leg l%u; three-way leg l%u }\n"
                        : "    three-way-single-pole { three-way leg l%u; single-pole leg l%u }\n",
                   a, b);
        buf_printf(out, "    switch leg l%u\n", a);
        if (both)
            buf_printf(out, "    switch leg l%u\n", b);
        plan = strchr(at, '\n') + 1;
    }
    buf_puts(out, plan);
    return any;
}

static void unlike_pairs_are_proven_in_random_plans(void **state)
{
    (void)state;
    enum { PLANS = 600 };
    struct generator *g = malloc(sizeof *g);
    unsigned plans = 0, proven = 0;
    for (unsigned seed = 0; seed < PLANS; seed++) {
        struct buf plan = {0}, text = {0};
        uint64_t size = seed * 7919 + 3;
        unsigned boxes = 2 + pick(&size, 11), switches = 1 + pick(&size, 6);
        generate_plan(&plan, g, seed, (enum generated_sort)(seed % GENERATED_COUNT), boxes,
                      switches);
        if (exchange_pairs(buf_text(&plan), seed & 1, &text)) {
            struct compilation c;
            compile_text(&c, buf_text(&text));
            const struct verdict *v = prove(&c.arena, c.model, c.makeup);
            if (!v->holds)
                fputs(buf_text(&text), stderr);
            assert_true(v->holds);
            plans++;
            proven += !v->left_out;
            compile_free(&c);
        }
        buf_free(&plan);
        buf_free(&text);
    }
    free(g);
    if (plans < 40 || proven < 20)
        fprintf(stderr, "%u plans, %u proven\n", plans, proven);
    assert_true(plans >= 40);
    assert_true(proven >= 20);
}

/* --- slips -------------------------------------------------------------------------------- */

struct slip {
    const char *clauses, *rule, *words, *mend;
};

static void each_slip_is_found_at_its_place(void **state)
{
    (void)state;
    static const struct slip slips[] = {
        {"position up joins lin load; position down", "unknown-name", "no terminal 'lin'",
         "write 'line'"},
        {"rating 5 A", "definition-faulty", "no position joins terminal load", "position up"},
        {"position up joins line load; position down joins line load", "definition-faulty",
         "up and down join the same", ""},
        {"position a; position b joins line load; position c; position d; position e; position f; "
         "position g; position h; position i",
         "limit", "more than 8 positions", ""},
        {"terminal line takes neutral; position up joins line load; position down",
         "duplicate-name", "terminal 'line' is written twice", ""},
        {"terminal n takes neutral; position up joins line load and line n; position down",
         "definition-faulty", "a hot would meet the neutral", ""},
        {"terminal g takes ground; position up joins line load; position down joins line g",
         "definition-faulty", "a hot would meet ground", ""},
        {"terminal other takes line; position up joins line load; position down",
         "definition-faulty", "no position joins terminal other", ""},
        {"part way 20 { }; position up joins line load; position down", "limit", "one to 15", ""},
        {"part way { }; part way { }; position up joins line load; position down", "duplicate-name",
         "part 'way' is written twice", ""},
        {"position up joins line load; position down; position up", "duplicate-name",
         "position 'up' is written twice", ""},
        {"position up joins line line; position down joins line load", "definition-faulty",
         "joined with itself", ""},
        {"terminal t takes travler; position up joins line load; position down", "unknown-name",
         "'travler' is no net", "write 'traveler'"},
        {"terminal t takes line neutral; position up joins line load; position down",
         "definition-faulty", "cannot take this", ""},
        {"terminal t takes traveler; position up joins line load; position down joins line t",
         "definition-faulty", "a part does one of both", ""},
        {"terminal x gives line; position up joins line load; position down", "definition-faulty",
         "hands on what no other terminal takes", ""},
        {"protects gfci; position up joins line load; position down", "definition-faulty",
         "it has none", ""},
        {"yokes 20; position up joins line load; position down", "limit", "yokes goes to 12", ""},
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        char text[2000];
        snprintf(text, sizeof text,
                 "plan \"Shed\" { edition nec-2023 }\n"
                 "device own : switch { terminal line takes line; terminal load gives leg; %s }\n"
                 "room shed { kind workshop; size 14' by 10'\n"
                 "  box S1 south at 2' up 48\" { own leg light }\n"
                 "  box L1 overhead at 7', 5' { luminaire leg light 40 W }\n}\n"
                 "panel P \"Panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                 "circuit P.1 \"Shed light\" { breaker 15 A; run P -> shed.S1 -> L1 }\n",
                 slips[i].clauses);
        struct compilation c;
        const struct finding *f = compile_fault(&c, text, slips[i].rule, slips[i].words);
        assert_int_equal(source_line_number(&c.arena, f->span.source, f->span.off), 2);
        const char *mends = f->mend ? f->mend : "";
        assert_non_null(strstr(mends, slips[i].mend));
        assert_true(holds(&c));
        compile_free(&c);
    }
}

static void colours_and_words_of_cables_and_boxes_are_known(void **state)
{
    (void)state;
    static const struct slip slips[] = {
        {"cable 14/3-own : 14/3 { conductors blak red white }", "unknown-name", "'blak'", ""},
        {"cable 14/3-own : 14/3 { conductors black red whyte }", "unknown-name", "'whyte'", ""},
        {"cable 14/3-own : 14/3 { conductors black red red }", "duplicate-name", "are red", ""},
        {"cable 14/3-own : 14/3 { suits dri }", "unknown-name", "'dri'", ""},
        {"cable 14/3-own : 14/3 { family nmm }", "unknown-name", "'nmm'", ""},
        {"cable 14/3-own : 14/3 { size 15/0 }", "unknown-name", "15/0", ""},
        {"cable 14/3-own : 14/3 { diameter 0\" }", "definition-faulty", "diameter", ""},
        {"cable 14/3-own : 14/3 { stock 0' }", "definition-faulty", "stock", ""},
        {"cable own : nm { size 14 }", "definition-faulty", "no conductors", ""},
        {"box-type own : square-1-1-4-deep { ring 1/2\" adds 0 in3 }", "definition-faulty", "ring",
         ""},
        {"box-type own : square-1-1-4-deep { ring 1/2\" adds 3 in3; ring 1/2\" adds 4 in3 }",
         "duplicate-name", "ring", ""},
        {"box-type own : square-1-1-4-deep { gangs 20 }", "limit", "gangs goes to 12", ""},
        {"device own { yokes 1 }", "definition-faulty", "what sort of thing", ""},
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        char text[400];
        snprintf(text, sizeof text, "plan \"Shed\" { edition nec-2023 }\n%s\n", slips[i].clauses);
        struct compilation c;
        compile_fault(&c, text, slips[i].rule, slips[i].words);
        compile_free(&c);
    }
}

/* A control of several parts is worked by its parts: as a whole it has no contacts. */
static void a_whole_of_parts_works_no_leg(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c,
                  "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
                  "  box S1 south at 2' up 48\" { duplex-three-way leg light }\n"
                  "  box L1 overhead at 7', 5' { luminaire leg light 40 W }\n}\n"
                  "panel P \"Panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                  "circuit P.1 \"Shed light\" { breaker 15 A; run P -> shed.S1 -> L1 }\n",
                  "switch-kind", "no switch but in its parts");
    assert_true(holds(&c));
    assert_int_equal(prove(&c.arena, c.model, c.makeup)->left_out, 1);
    compile_free(&c);
}

/* What the plan asks of a leg, and no switch or load of it can do, is an error of the plan, and its
 * circuit is left out of the proof. */
static void what_does_not_fit_is_left_out_of_the_proof(void **state)
{
    (void)state;
    static const struct {
        const char *breaker, *first, *second, *load, *rule;
    } cases[] = {
        {"15 A", "switch-gfci leg x", "switch-gfci leg x", "luminaire leg x", "switch-kind"},
        {"15 A", "single-pole leg x", "switch leg x", "luminaire leg x", "switch-kind"},
        {"15 A", "timer-switch leg x", "switch leg x", "luminaire leg x", "switch-kind"},
        {"15 A", "four-way leg x", "switch leg x", "luminaire leg x", "switch-kind"},
        {"20 A two-pole", "switch-2p leg x", "heater", "luminaire leg x", "switch-kind"},
        {"20 A two-pole", "switch leg x", "heater", "heater leg x", "switch-kind"},
        {"20 A", "switch leg x line-side; receptacle-gfci onward", "switch leg y",
         "exhaust-fan { fan leg x; light leg y }", "shared-neutral-protection"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text,
                 "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
                 "  box S1 south at 2' up 48\" { %s }\n  box S2 north at 12' up 48\" { %s }\n"
                 "  box L1 overhead at 7', 5' { %s }\n}\n"
                 "panel P \"Panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                 "circuit P.1 \"Shed light\" { breaker %s; run P -> shed.S1 -> S2 -> L1 }\n",
                 cases[i].first, cases[i].second, cases[i].load, cases[i].breaker);
        struct compilation c;
        compile_text(&c, text);
        if (findings_of(&c, cases[i].rule) != 1)
            show_compiled(&c);
        assert_int_equal(findings_of(&c, cases[i].rule), 1);
        const struct verdict *v = prove(&c.arena, c.model, c.makeup);
        assert_true(v->holds);
        assert_int_equal(v->left_out, 1);
        compile_free(&c);
    }
}

/* A ring adds what is marked on it to its box (NEC 314.16(A)): the shallowest that comes through
 * the finish; beyond the deepest there is none. */
static void a_ring_adds_its_room(void **state)
{
    (void)state;
    static const struct {
        const char *finish;
        double volume;
    } walls[] = {{"1/2\"", 18 + 3.5}, {"5/8\"", 18 + 4.5}, {"9/16\"", 18 + 4.5}, {"1\"", 18}};
    for (size_t i = 0; i < sizeof walls / sizeof *walls; i++) {
        char text[1000];
        snprintf(text, sizeof text,
                 "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
                 "  finish %s\n  box R1 south at 2' { type square-1-1-4-deep; receptacle }\n}\n"
                 "panel P \"Panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                 "circuit P.1 \"Shed bench\" { breaker 20 A; run P -> shed.R1 }\n",
                 walls[i].finish);
        struct compilation c;
        compile_text(&c, text);
        assert_near(c.wiring->of_box[c.model->boxes.at[0]->id].volume, walls[i].volume, 1e-9);
        compile_free(&c);
    }
}

/* --- every definition damaged ------------------------------------------------------------- */

/* A statement of a definition: what lies between two of ; { } and line ends. */
struct piece {
    size_t from, to;
};

static size_t pieces_of(const char *text, struct piece *out, size_t most)
{
    size_t n = 0;
    for (size_t at = 0; text[at] && n < most;) {
        size_t from = at + strspn(text + at, " \n;{}");
        size_t to = from + strcspn(text + from, "\n;{}");
        while (to > from && text[to - 1] == ' ')
            to--;
        if (to > from)
            out[n++] = (struct piece){from, to};
        at = from + strcspn(text + from, "\n;{}");
    }
    return n;
}

static void with(struct buf *out, const char *text, struct piece p, const char *instead)
{
    out->n = 0;
    buf_printf(out, "%.*s%s%s\n", (int)p.from, text, instead, text + p.to);
}

struct oracle {
    const struct device_def *def; /* NULL: a cable is damaged */
    const char *cable;
    unsigned plans, found, proven;
};

/* A light between two switches, by the damaged cable. */
static char *plan_of_cable(const char *definition, const char *cable)
{
    struct buf out = {0};
    buf_printf(&out,
               "plan \"Shed\" { edition nec-2023 }\n%sroom shed { kind workshop; size 14' by 10'\n"
               "  box S1 south at 2' up 48\" { switch leg light }\n"
               "  box S2 north at 12' up 48\" { switch leg light }\n"
               "  box L1 overhead at 7', 5' { luminaire leg light 40 W }\n}\n"
               "panel P \"Panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
               "circuit P.1 \"Shed light\" { breaker 15 A; run P -> shed.S1 cable %s\n"
               "  run shed.S1 -> L1 cable %s; run shed.S1 -> S2 cable %s }\n",
               definition, cable, cable, cable);
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

static char *plan_of_device(const struct oracle *o, const char *definition)
{
    char name[100];
    snprintf(name, sizeof name, "own-%s", o->def->name);
    struct scene s = {.def = o->def,
                      .name = name,
                      .more = definition,
                      .beside = o->plans % 3,
                      .onward = body_has(&o->def->body, true, NET_LINE | NET_LINE_A | NET_LINE_B)};
    return plan_of(&s);
}

static void ask(struct oracle *o, const struct buf *definition)
{
    const char *own = buf_text((struct buf *)definition);
    char *text = o->def ? plan_of_device(o, own) : plan_of_cable(own, o->cable);
    struct compilation c;
    compile_text(&c, text);
    const struct verdict *v = prove(&c.arena, c.model, c.makeup);
    if (!v->holds || (!c.diag.counts[ERROR] && v->left_out)) {
        struct buf out = {0};
        prove_verdict_print_failures(v, &c.arena, &out);
        fprintf(stderr, "%s\n%s", text, buf_text(&out));
        show_compiled(&c);
        buf_free(&out);
    }
    assert_true(v->holds);
    assert_true(c.diag.counts[ERROR] || !v->left_out);
    o->plans++;
    o->found += c.diag.counts[ERROR] > 0;
    o->proven += !c.diag.counts[ERROR];
    compile_free(&c);
    free(text);
}

/* Each statement left out, written twice, each of its words misspelled or another of the
 * definition's. */
static void damage_definition(struct oracle *o, const char *text)
{
    struct piece pieces[80], words[400];
    size_t n = pieces_of(text, pieces, 80), total = 0;
    struct buf out = {0};
    char instead[400];
    for (size_t i = 1; i < n; i++)
        for (size_t at = pieces[i].from; at < pieces[i].to && total < 400;) {
            size_t to = at + strcspn(text + at, " \n;{}");
            words[total++] = (struct piece){at, to};
            at = to + strspn(text + to, " ");
        }
    for (size_t i = 1; i < n; i++) {
        size_t len = pieces[i].to - pieces[i].from;
        if (text[pieces[i].to + strspn(text + pieces[i].to, " ")] == '{')
            continue;
        with(&out, text, pieces[i], "");
        ask(o, &out);
        snprintf(instead, sizeof instead, "%.*s; %.*s", (int)len, text + pieces[i].from, (int)len,
                 text + pieces[i].from);
        with(&out, text, pieces[i], instead);
        ask(o, &out);
    }
    uint64_t state = total;
    for (size_t i = 0; i < total; i++) {
        int len = (int)(words[i].to - words[i].from);
        snprintf(instead, sizeof instead, "%.*sq", len, text + words[i].from);
        with(&out, text, words[i], instead);
        ask(o, &out);
        for (int k = 0; k < 3; k++) {
            const struct piece *other = &words[pick(&state, (unsigned)total)];
            snprintf(instead, sizeof instead, "%.*s", (int)(other->to - other->from),
                     text + other->from);
            with(&out, text, words[i], instead);
            ask(o, &out);
        }
    }
    buf_free(&out);
}

/* The text of a definition of the library behind its name, without its comments, under another
 * head.
 */
static char *own_text(const struct node *n, const char *word, const char *name, const char *head)
{
    struct span s = node_span(n);
    const char *at = s.source->bytes + s.off, *last = s.source->bytes + s.source->size;
    const char *line = memchr(at, '\n', (size_t)(last - at)), *end = line;
    while (end && end + 2 < last && memcmp(end, "\n}\n", 3))
        end = memchr(end + 1, '\n', (size_t)(last - end - 1));
    const char *behind = line && line > at && line[-1] == '}' ? line : end + 2;
    struct buf out = {0};
    buf_puts(&out, head);
    for (const char *p = at + strlen(word) + 1 + strlen(name); p < behind; p++) {
        if (*p == '#')
            p += strcspn(p, "\n");
        buf_putc(&out, *p);
    }
    buf_putc(&out, '\n');
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

static bool writes_wiring(const struct device_def *d)
{
    static const enum form_id forms[] = {F_TERMINAL, F_POSITION, F_PART_DEF, F_DEF_ONWARD, F_MULTI};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (node_child(d->node, forms[i]))
            return true;
    return false;
}

static void a_damaged_definition_is_found_or_proven(void **state)
{
    (void)state;
    struct compilation c;
    struct oracle o = {0};
    compile_text(&c, "plan \"Nothing\" { edition nec-2023 }\n");
    for (uint32_t i = 0; i < c.lib.device_list.n; i++) {
        const struct device_def *d = c.lib.device_list.at[i];
        if (!writes_wiring(d) || d->sort == SORT_LOW_VOLTAGE)
            continue;
        char head[100];
        snprintf(head, sizeof head, "device own-%s", d->name);
        char *text = own_text(d->node, "device", d->name, head);
        o.def = d;
        damage_definition(&o, text);
        free(text);
    }
    if (o.found < 1000 || o.proven < 200)
        fprintf(stderr, "%u plans, %u with findings, %u proven\n", o.plans, o.found, o.proven);
    assert_true(o.found >= 1000);
    assert_true(o.proven >= 200);
    compile_free(&c);
}

static void a_damaged_cable_is_found_or_proven(void **state)
{
    (void)state;
    static const char *const names[] = {"14/2", "14/3", "14/4", "14/2/2", "8/3", "14/3-mc"};
    struct compilation c;
    struct oracle o = {0};
    compile_text(&c, "plan \"Nothing\" { edition nec-2023 }\n");
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const struct cable_def *d =
            library_cable(&c.lib, names_intern(&c.names, names[i], strlen(names[i])));
        char head[100];
        snprintf(head, sizeof head, "cable %s-own", d->name);
        char *text = own_text(d->node, "cable", d->name, head);
        o.cable = head + strlen("cable ");
        damage_definition(&o, text);
        free(text);
    }
    assert_true(o.found >= 100);
    assert_true(o.proven >= 20);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_control_serves_in_every_role),
        cmocka_unit_test(unlike_pairs_are_proven_in_random_plans),
        cmocka_unit_test(each_slip_is_found_at_its_place),
        cmocka_unit_test(colours_and_words_of_cables_and_boxes_are_known),
        cmocka_unit_test(a_whole_of_parts_works_no_leg),
        cmocka_unit_test(what_does_not_fit_is_left_out_of_the_proof),
        cmocka_unit_test(a_ring_adds_its_room),
        cmocka_unit_test(a_damaged_definition_is_found_or_proven),
        cmocka_unit_test(a_damaged_cable_is_found_or_proven),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
