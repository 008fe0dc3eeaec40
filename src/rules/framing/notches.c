/* notch-too-deep, and what else a notch may not do: its depth, length and place against the member;
 * engineered-member-bored and run-blocked where a notch is the cause. */
#include "rules/framing/members.h"
#include "rules/mends.h"

#include "base/sort.h"
#include "cuts/cuts.h"
#include "framing/routes.h"
#include "model/site.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

/* What a member allows, from the tables of the residential code. */
struct limits {
    double stud_bearing, stud_partition; /* deepest notch as a share of the depth; 0: not said */
    double joist, joist_end, joist_long;
    length thick; /* joists of this thickness are notched at their ends only; 0: not said */
    bool middle_barred,
        section_barred; /* none in the middle third of a span; none where the member is bored too */
    bool engineered_barred; /* none at all where its maker decides */
};

static struct limits look_up(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct limits){
        .stud_bearing = rules_member_share(c, COL_STUD_LIMITS_NOTCH, "bearing"),
        .stud_partition = rules_member_share(c, COL_STUD_LIMITS_NOTCH, "partition"),
        .joist = code_share(code, SET_JOIST_LIMITS_NOTCH, 0),
        .joist_end = code_share(code, SET_JOIST_LIMITS_END_NOTCH, 0),
        .joist_long = code_share(code, SET_JOIST_LIMITS_NOTCH_LONG, 0),
        .thick = code_length(code, SET_JOIST_LIMITS_THICK, 0),
        .middle_barred = code_no(code, SET_JOIST_LIMITS_MIDDLE_THIRD),
        .engineered_barred = code_no(code, SET_ENGINEERED_MEMBERS_NOTCHED),
        .section_barred = code_no(code, SET_STUD_LIMITS_SAME_SECTION),
    };
}

/* What can be wrong with a notch; the first that holds is said. */
enum fault_kind {
    NONE,
    ENGINEERED,
    IN_MIDDLE,
    TOO_THICK,
    TOO_DEEP,
    TOO_LONG,
    AT_A_BORE,
    FAULT_KINDS
};

static double deepest(const struct checked *c, const struct limits *l, const struct passed *p)
{
    double share = p->member == MEMBER_JOIST           ? p->span.end ? l->joist_end : l->joist
                   : passed_bears(c->routes->frame, p) ? l->stud_bearing
                                                       : l->stud_partition;
    return share * (double)p->lumber->depth;
}

static bool in_middle_third(const struct passed *p)
{
    length third = (p->span.hi - p->span.lo) / 3;
    return p->span.known && !p->span.end && p->span.lo + third < p->place &&
           p->place < p->span.hi - third;
}

static bool more(length a, double most)
{
    return most > 0 && (double)a > most * (1 + 1e-9);
}

static enum fault_kind fault_of(const struct checked *c, const struct limits *l,
                                const struct bore *notch, bool bored)
{
    struct passed p = bore_member(c->bores, notch);
    bool joist = p.member == MEMBER_JOIST;
    if (p.lumber->engineered)
        return l->engineered_barred ? ENGINEERED : NONE;
    if (joist && l->middle_barred && in_middle_third(&p))
        return IN_MIDDLE;
    if (joist && l->thick && p.lumber->thickness >= l->thick && !p.span.end)
        return TOO_THICK;
    if (more(notch->notch, deepest(c, l, &p)))
        return TOO_DEEP;
    if (joist && more(notch->wide, l->joist_long * (double)p.lumber->depth))
        return TOO_LONG;
    return bored && l->section_barred ? AT_A_BORE : NONE;
}

/* Notches with one fault, of one run, in one sort of member. */
struct fault {
    const struct bore *notch, *bore; /* the first of them; AT_A_BORE: the hole that it meets */
    uint32_t count;
};

/* Of the runs in a notch the one that asks for its depth. */
static const struct run *asker(const struct bore *notch)
{
    for (uint32_t i = 0; i < notch->run_count; i++)
        if (notch->runs[i]->notch == notch->notch)
            return notch->runs[i];
    return notch->runs[0];
}

static const char *fault_words(const struct checked *c, const struct limits *l,
                               enum fault_kind kind, const struct fault *fault)
{
    struct arena *arena = c->model->arena;
    const struct bore *notch = fault->notch;
    struct passed p = bore_member(c->bores, notch);
    const char *name = p.lumber->name, *member = rules_member_word(c, &p),
               *many = rules_member_count(c, facts_unit_of_run(notch->runs[0]), fault->count);
    const char *deep = rules_feet(c, notch->notch);
    switch (kind) {
    case ENGINEERED:
        return arena_printf(arena,
                            "notches a %s of %s%s, which only its maker or an engineer may allow",
                            p.member == MEMBER_STUD ? "stud" : member, name, many);
    case IN_MIDDLE:
        return arena_printf(arena,
                            "wants a notch in a %s %s%s %s from the nearer wall that carries it, "
                            "in the middle third of its span of %s, where there may be none",
                            name, member, many,
                            rules_feet(c, p.place - p.span.lo < p.span.hi - p.place
                                              ? p.place - p.span.lo
                                              : p.span.hi - p.place),
                            rules_feet(c, p.span.hi - p.span.lo));
    case TOO_THICK:
        return arena_printf(arena,
                            "wants a notch in a %s %s%s away from its ends; one of %s or thicker "
                            "is notched there only",
                            name, member, many, rules_feet(c, l->thick));
    case TOO_DEEP:
        return arena_printf(arena, "wants a notch of %s in a %s %s%s; %s is the most%s", deep, name,
                            member, many, rules_member_limit(c, deepest(c, l, &p)),
                            p.member == MEMBER_JOIST && p.span.end ? " at its end" : "");
    case TOO_LONG:
        return arena_printf(
            arena,
            "wants a notch %s long in a %s %s%s, for %u cable%s side by side; %s is the most",
            rules_feet(c, notch->wide), name, member, many, notch->run_count,
            notch->run_count == 1 ? "" : "s",
            rules_member_limit(c, l->joist_long * (double)p.lumber->depth));
    default:
        return arena_printf(
            arena,
            "wants a notch in a %s %s%s where it is bored too; a hole and a notch may not meet",
            name, member, many);
    }
}

static const char *const mends[FAULT_KINDS] = {
    [ENGINEERED] = "another way, or the maker's word in writing",
    [IN_MIDDLE] = "bore it: leave 'notched' out; or another way",
    [TOO_THICK] = "bore it: leave 'notched' out; or another way",
    [TOO_DEEP] =
        "a shallower notch with a smaller cable, deeper lumber, or a bore: leave 'notched' out",
    [TOO_LONG] = "fewer cables on one way, or bores: leave 'notched' out",
    [AT_A_BORE] = "bore for both, or notch for both, or another way for one",
};

RULE(notch_too_deep, "notch-too-deep", ERROR, WAIVABLE,
     "a notch is no deeper, longer or nearer mid-span than its member allows");

static void say(const struct checked *c, const struct limits *l, enum fault_kind kind,
                const struct fault *fault)
{
    struct model *m = c->model;
    const struct run *run = asker(fault->notch);
    struct passed p = bore_member(c->bores, fault->notch);
    struct finding *f =
        run_finding(c, kind == ENGINEERED ? &rule_engineered_member_bored : &rule_notch_too_deep,
                    run, run->from_span, "run %s %s", address_of_run(m->arena, run, true),
                    fault_words(c, l, kind, fault));
    rules_name_member_article(c, f, &p, COL_FRAMING_ARTICLES_NOTCH);
    if (fault->bore)
        diag_note(m->diag, f, fault->bore->runs[0]->from_span, "run %s is bored there",
                  address_of_run(m->arena, fault->bore->runs[0], true));
    diag_mend(m->diag, f, "%s", mends[kind]);
    mends_leave_out(c, f, false, run->node, F_NOTCHED);
}

static bool one_place(const struct bore *a, const struct bore *b)
{
    struct sort_key p = route_hole_key(a->members, a->at), q = route_hole_key(b->members, b->at);
    return p.first == q.first && p.second == q.second;
}

enum { MEMBERS = 3 };

/* The faults of all runs that are notched. */
struct faults {
    uint32_t *number;   /* by run id: which of them it is */
    struct fault *list; /* by that number, fault_kind and member */
    uint32_t count;
};

/* The holes and notches of one place: those from `from` up to `to`. */
static void check_place(const struct checked *c, const struct limits *l, uint32_t from, uint32_t to,
                        struct faults *faults)
{
    const struct bore *bore = NULL;
    for (uint32_t i = to; i-- > from;) {
        if (!rules_bore_is_certain(&c->bores->list.at[i]))
            return;
        bore = c->bores->list.at[i].notch ? bore : &c->bores->list.at[i];
    }
    for (uint32_t i = from; i < to; i++) {
        const struct bore *notch = &c->bores->list.at[i];
        enum fault_kind kind = notch->notch ? fault_of(c, l, notch, bore != NULL) : NONE;
        if (notch->notch)
            looked(c, notch_too_deep);
        if (kind == NONE)
            continue;
        struct fault *fault =
            &faults->list[(faults->number[asker(notch)->id] * FAULT_KINDS + kind) * MEMBERS +
                          notch->members->member];
        if (!fault->count++)
            *fault = (struct fault){notch, kind == AT_A_BORE ? bore : NULL, 1};
    }
}

/* A cable that stands out of its notches cannot be held in them. */
static void check_depths(const struct checked *c)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        const struct cable_def *cable = wiring_cable_of_run(run, c->wiring);
        if (!run->notch || !c->routes->of_run[i].notches || !facts_known(run, ITS_TEXT | ITS_WAY) ||
            !cable || cable->diameter <= run->notch)
            continue;
        struct finding *f =
            run_finding(c, &rule_run_blocked, run, run->from_span,
                        "run %s wants notches of %s, too shallow for its cable %s of %s",
                        address_of_run(m->arena, run, true), rules_feet(c, run->notch), cable->name,
                        rules_feet(c, cable->diameter));
        diag_mend(m->diag, f,
                  "deeper notches where the members allow them, or bores: leave 'notched' out");
        mends_leave_out(c, f, false, run->node, F_NOTCHED);
    }
}

static void check_notches(const struct checked *c)
{
    struct arena scratch = {.out_of_memory = c->model->arena->out_of_memory};
    struct faults faults = {.number = arena_array(&scratch, uint32_t, c->model->runs.n + 1)};
    uint32_t notched = 0;
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (c->routes->of_run[i].notches)
            faults.number[i] = notched++;
    if (notched) {
        struct limits l = look_up(c);
        faults.count = notched * FAULT_KINDS * MEMBERS;
        faults.list = arena_array(&scratch, struct fault, faults.count);
        for (uint32_t from = 0, to; from < c->bores->list.n; from = to) {
            for (to = from + 1; to < c->bores->list.n &&
                                one_place(&c->bores->list.at[from], &c->bores->list.at[to]);
                 to++)
                ;
            check_place(c, &l, from, to, &faults);
        }
        for (uint32_t i = 0; i < faults.count; i++)
            if (faults.list[i].count)
                say(c, &l, (enum fault_kind)(i / MEMBERS % FAULT_KINDS), &faults.list[i]);
        check_depths(c);
    }
    arena_free(&scratch);
}
CHECK(notch_too_deep, .plan = check_notches);
