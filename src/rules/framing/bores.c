/* bore-too-large, bore-near-edge, engineered-member-bored, plate-needed: holes against the lumber
 * that they go through. */
#include "framing/routes.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/framing/members.h"
#include "wiring/bores.h"

#include <string.h>

/* What a member allows, from the tables of the residential code. */
struct limits {
    double stud_bearing, stud_partition, joist, plate; /* largest bore as a share of the depth */
    length stud_edge, joist_edge;                      /* wood that stays beside it */
    bool engineered_barred;                            /* no bore at all where its maker decides */
};

double rules_member_share(const struct checked *c, const struct share_column *column,
                          const char *row)
{
    return code_cell_share(&c->model->code, column, code_key(&c->model->code, row), 0);
}

static struct limits look_up(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct limits){
        .stud_bearing = rules_member_share(c, COL_STUD_LIMITS_BORE, "bearing"),
        .stud_partition = rules_member_share(c, COL_STUD_LIMITS_BORE, "partition"),
        .joist = code_share(code, SET_JOIST_LIMITS_BORE, 0),
        .plate = code_share(code, SET_PLATE_LIMITS_CUT, 0),
        .stud_edge = code_length(code, SET_STUD_LIMITS_EDGE, 0),
        .joist_edge = code_length(code, SET_JOIST_LIMITS_EDGE, 0),
        .engineered_barred = code_no(code, SET_ENGINEERED_MEMBERS_BORED),
    };
}

const char *rules_member_word(const struct checked *c, const struct passed *p)
{
    if (p->member == MEMBER_STUD)
        return passed_bears(c->routes->frame, p)
                   ? "stud of a wall that bears or stands to the open air"
                   : "stud of a partition";
    return p->member == MEMBER_JOIST ? "joist" : p->top ? "top plate" : "bottom plate";
}

const char *rules_member_count(const struct checked *c, const struct unit *unit, uint32_t count)
{
    return count < 2 ? ""
           : unit    ? " (several of them)"
                     : arena_printf(c->model->arena, " (%u of them)", count);
}

const char *rules_member_limit(const struct checked *c, double limit)
{
    length mark = INCH / 32;
    return rules_feet(c, (length)(limit * (1 + 1e-9)) / mark * mark);
}

static const char *member_row(const struct passed *p)
{
    if (p->lumber->engineered)
        return "engineered";
    return p->member == MEMBER_STUD ? "stud" : p->member == MEMBER_JOIST ? "joist" : "plate";
}

void rules_name_member_article(const struct checked *c, struct finding *f, const struct passed *p,
                               const struct cite_column *work)
{
    struct code *code = &c->model->code;
    const char *article = code_row_article(code, work, member_row(p));
    if (article && code->residential)
        f->article = arena_printf(c->model->arena, "%s %s", code->residential->label, article);
}

static double largest_share(const struct checked *c, const struct limits *l, const struct passed *p)
{
    if (p->member == MEMBER_STUD)
        return passed_bears(c->routes->frame, p) ? l->stud_bearing : l->stud_partition;
    return p->member == MEMBER_JOIST ? l->joist : l->plate;
}

RULE(bore_too_large, "bore-too-large", ERROR, WAIVABLE,
     "a bore is no wider than its member allows");
RULE(bore_near_edge, "bore-near-edge", ERROR, WAIVABLE,
     "a bore leaves the wood at the edges of its member that holds it together");
RULE(engineered_member_bored, "engineered-member-bored", ERROR, WAIVABLE,
     "no truss, i-joist or laminated member is bored or notched");

/* What is wrong with a bore in the middle of its member; NULL for nothing. A member that is
 * not to be bored at all, then one that is bored too wide, then too near its edge: one fault, one
 * finding. */
static const struct rule *fault_of(const struct checked *c, const struct limits *l,
                                   const struct bore *bore, const struct passed *p)
{
    double depth = (double)p->lumber->depth, most = largest_share(c, l, p);
    length edge = p->member == MEMBER_JOIST  ? l->joist_edge
                  : p->member == MEMBER_STUD ? l->stud_edge
                                             : 0;
    if (p->lumber->engineered)
        return l->engineered_barred ? &rule_engineered_member_bored : NULL;
    if (depth <= 0)
        return NULL;
    if (most > 0 && (double)bore->bit > most * depth * (1 + 1e-9))
        return &rule_bore_too_large;
    return p->lumber->depth < bore->bit + 2 * edge ? &rule_bore_near_edge : NULL;
}

/* A fault of the holes of one run: of one rule, in one sort of member. */
struct fault {
    const struct bore *bore;
    uint32_t count;
};

static void say(const struct checked *c, const struct limits *l, const struct rule *rule,
                const struct fault *fault)
{
    struct model *m = c->model;
    const struct bore *bore = fault->bore;
    const struct run *run = bore->runs[0];
    struct passed p = bore_member(c->bores, bore);
    const struct unit *unit = facts_unit_of_run(run);
    const char *bit = rules_feet(c, bore->bit),
               *most = rules_member_limit(c, largest_share(c, l, &p) * (double)p.lumber->depth);
    const char *more = rules_member_count(c, unit, fault->count),
               *address = address_of_run(m->arena, run, true);
    const char *subject = rules_run_subject(c, run);
    struct finding *f;
    if (rule == &rule_engineered_member_bored)
        f = model_finding(
            m, rule, run->from_span, unit, subject,
            "run %s bores a %s of %s%s, which only its maker or an engineer may allow", address,
            p.member == MEMBER_STUD ? "stud" : rules_member_word(c, &p), p.lumber->name, more);
    else if (rule == &rule_bore_too_large)
        f = model_finding(m, rule, run->from_span, unit, subject,
                          "run %s wants a bore of %s through a %s %s%s; %s is the most", address,
                          bit, p.lumber->name, rules_member_word(c, &p), more, most);
    else
        f = model_finding(
            m, rule, run->from_span, unit, subject,
            "run %s wants a bore of %s through a %s %s%s, which leaves %s at its edges; %s is "
            "wanted",
            address, bit, p.lumber->name, rules_member_word(c, &p), more,
            rules_feet(c, (p.lumber->depth - bore->bit) / 2),
            rules_feet(c, p.member == MEMBER_JOIST ? l->joist_edge : l->stud_edge));
    rules_name_member_article(c, f, &p, COL_FRAMING_ARTICLES_BORE);
    diag_mend(m->diag, f,
              rule == &rule_engineered_member_bored ? "another way, or the maker's word in writing"
              : bore->run_count > 1 ? "fewer cables in one hole, deeper lumber, or another way"
                                    : "deeper lumber, another way, or a smaller cable");
}

enum { FRAMING_RULES = 3, MEMBERS = 3 };

static const struct rule *const rules[FRAMING_RULES] = {&rule_engineered_member_bored,
                                                        &rule_bore_too_large, &rule_bore_near_edge};

/* A hole in sawn lumber is measured. */
static void look_at_bore(const struct checked *c, const struct passed *p)
{
    looked(c, engineered_member_bored);
    if (p->lumber->engineered)
        return;
    looked(c, bore_too_large);
    looked(c, bore_near_edge);
}

bool rules_bore_is_certain(const struct bore *bore)
{
    for (uint32_t i = 0; i < bore->run_count; i++)
        if (!facts_known(bore->runs[i], ITS_TEXT | ITS_WAY))
            return false;
    return true;
}

static void check_bores(const struct checked *c)
{
    struct limits l = look_up(c);
    struct arena scratch = {.out_of_memory = c->model->arena->out_of_memory};
    uint32_t runs = c->model->runs.n;
    struct fault *faults =
        arena_array(&scratch, struct fault, (size_t)runs * FRAMING_RULES * MEMBERS + 1);
    for (uint32_t i = 0; i < c->bores->list.n; i++) {
        const struct bore *bore = &c->bores->list.at[i];
        if (bore->notch || !rules_bore_is_certain(bore))
            continue;
        struct passed p = bore_member(c->bores, bore);
        const struct rule *rule = fault_of(c, &l, bore, &p);
        look_at_bore(c, &p);
        for (uint32_t k = 0; rule && k < FRAMING_RULES; k++) {
            struct fault *fault =
                &faults[(bore->runs[0]->id * FRAMING_RULES + k) * MEMBERS + bore->members->member];
            if (rules[k] != rule)
                continue;
            if (!fault->count++)
                fault->bore = bore;
        }
    }
    for (uint32_t i = 0; i < runs * FRAMING_RULES * MEMBERS; i++)
        if (faults[i].count)
            say(c, &l, rules[i / MEMBERS % FRAMING_RULES], &faults[i]);
    arena_free(&scratch);
}
CHECK(bore_too_large, .with = {&rule_bore_near_edge, &rule_engineered_member_bored},
      .plan = check_bores);

RULE(plate_needed, "plate-needed", NOTE, WAIVABLE,
     "a bore or a notch keeps its cable clear of nails and screws");

static void check_plates(const struct checked *c)
{
    struct model *m = c->model;
    uint64_t plates = 0, holes = 0, notches = 0;
    for (uint32_t i = 0; i < c->bores->list.n; i++) {
        const struct bore *b = &c->bores->list.at[i];
        looked(c, plate_needed);
        plates += b->plates;
        holes += b->plates && !b->notch;
        notches += b->plates && b->notch;
    }
    if (!plates || !m->plan)
        return;
    const char *near =
        !holes ? ""
               : arena_printf(m->arena, "%llu hole%s too near the edge for the cable in %s",
                              (unsigned long long)holes, holes == 1 ? " lies" : "s lie",
                              holes == 1 ? "it" : "them");
    const char *open =
        !notches ? ""
                 : arena_printf(m->arena, "%s%llu notch%s open to the face", holes ? ", " : "",
                                (unsigned long long)notches, notches == 1 ? " is" : "es are");
    struct finding *f =
        model_finding(m, &rule_plate_needed, node_word_span(m->plan), NULL, NULL,
                      "%s%s: %llu protection plate%s, listed in the report of the bores", near,
                      open, (unsigned long long)plates, plates == 1 ? "" : "s");
    diag_mend(m->diag, f,
              notches ? "nail on the plates that report bores lists"
                      : "nail on the plates that report bores lists; deeper lumber or a smaller "
                        "bit wants none");
    if (notches)
        f->article = code_case_article(&m->code, "plate-over-notch");
}
CHECK(plate_needed, .plan = check_plates);
