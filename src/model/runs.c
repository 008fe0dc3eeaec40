/* The runs of circuits and feeders: each hop of a chain and each cable of a hop is a run, with what
 * is said of it and what it lies in. */
#include "model/build.h"
#include "resolve/edit.h"

#include <string.h>

/* Whether a cable is named by figures which begin as `name` does in its first `same` letters. */
static bool begins_like(const char *known, const char *name, size_t same)
{
    return known[0] >= '0' && known[0] <= '9' && !strncmp(known, name, same);
}

/* Of a cable with those figures and a suffix, the sheath: the suffix that is nearest to the one
 * that is written. */
static const char *nearest_sheath(struct builder *b, const char *name, size_t base)
{
    const struct library *lib = b->m->lib;
    struct nearest near = nearest_to(name + base + 1);
    for (uint32_t i = 0; i < lib->cable_list.n; i++)
        if (begins_like(lib->cable_list.at[i]->name, name, base) &&
            lib->cable_list.at[i]->name[base] == '-')
            nearest_try(&near, lib->cable_list.at[i]->name + base + 1);
    return near.found;
}

/* "12/2, 12/3 and 12/4": the cables without a suffix that begin so, in the library's order; ""
 * where there is none. Of very many the first are told. */
static const char *plain_cables(struct builder *b, const char *name, size_t same)
{
    enum { MOST_TOLD = 64 };
    const struct library *lib = b->m->lib;
    const char *told[MOST_TOLD], *list = "";
    uint32_t count = 0, n = 0;
    for (uint32_t i = 0; i < lib->cable_list.n; i++) {
        const char *known = lib->cable_list.at[i]->name;
        if (!begins_like(known, name, same) || strchr(known, '-'))
            continue;
        if (n < MOST_TOLD)
            told[n++] = known;
        count++;
    }
    for (uint32_t i = 0; i < n; i++)
        list = arena_listed(b->arena, list, i, count, told[i]);
    return count > n ? arena_printf(b->arena, "%s and %u more", list, count - n) : list;
}

/* Edits lead from one cable to quite another one. What counts of `12/2-nm` is the figures; its
 * sheath is the plain one unless a suffix is near to what is written. Figures that no cable has get
 * the cables of that size, else all sizes. */
static void say_no_cable(struct builder *b, struct span span, const char *name)
{
    size_t base = strcspn(name, "-"), size = strcspn(name, "/");
    if (name[0] < '0' || name[0] > '9') {
        build_unknown(b, span, "cable", name, build_map_names(b, &b->m->lib->cables, 0));
        return;
    }
    struct finding *f = build_unknown(b, span, "cable", name, (struct among){0});
    if (!f)
        return;
    const char *near = name[base] ? nearest_sheath(b, name, base) : NULL;
    if (near || library_cable(b->m->lib, names_intern(b->m->names, name, base))) {
        diag_mend_word(
            b->diag, f,
            arena_printf(b->arena, "%.*s%s%s", (int)base, name, near ? "-" : "", near ? near : ""));
        return;
    }
    const char *known = plain_cables(b, name, name[size] ? size + 1 : size);
    diag_mend(b->diag, f, "the library has %s; another is defined by 'cable NAME : nm { ... }'",
              *known ? known : plain_cables(b, name, 0));
}

struct cable_def *build_find_cable(struct builder *b, const struct node *n, unsigned i)
{
    const struct value *v = val(b, n, i, C_CABLE);
    if (!v)
        return NULL;
    struct cable_def *c = library_cable(b->m->lib, v->name);
    if (c) {
        library_use(c);
        build_mention_definition(b, n, i, MENTION_CABLE, c);
        return c->faulty ? NULL : c;
    }
    say_no_cable(b, value_span(n, node_value(n, i)), v->name);
    return NULL;
}

struct raceway_def *build_find_raceway(struct builder *b, const struct node *n)
{
    const struct value *v = n ? val(b, n, 0, C_CABLE) : NULL;
    struct raceway_def *w = v ? library_raceway(b->m->lib, v->name) : NULL;
    if (w && w->inside > 0) {
        library_use(w);
        build_mention_definition(b, n, 0, MENTION_RACEWAY, w);
        return w->faulty ? NULL : w;
    }
    if (v && w)
        diag_mend(b->diag,
                  diag_add(b->diag, &rule_missing_clause, node_span(n),
                           "'%s' is no raceway of one size: its trade size is missing", v->name),
                  "the size behind it, as in '%s-3/4'", w->family ? w->family : v->name);
    else if (v)
        build_unknown(b, value_span(n, node_value(n, 0)), "raceway", v->name,
                      build_map_names(b, &b->m->lib->raceways, 0));
    return NULL;
}

static enum via read_via(struct builder *b, const struct node *n)
{
    const char *way = val_name(b, clause(n, F_VIA), 0);
    return !way                       ? VIA_ANY
           : !strcmp(way, "overhead") ? VIA_OVERHEAD
           : !strcmp(way, "studs")    ? VIA_STUDS
                                      : VIA_UNDER;
}

RULE(no_effect_yet, "no-effect-yet", NOTE, FIRM, "what is written means something");

/* What lies in a closed wall, on the surface or in the ground passes no wood that could be notched,
 * and what is there already is not worked on. */
static length read_notch(struct builder *b, const struct node *n, const struct run *r)
{
    const struct node *notched = clause(n, F_NOTCHED);
    length depth = val_length(b, notched, 0, 0);
    if (!notched)
        return 0;
    if (r->existing || r->fished || r->exposed || r->underground || r->strung) {
        struct finding *f =
            diag_add(b->diag, &rule_no_effect_yet, node_span(notched),
                     "'notched' means nothing here: a run that is %s passes no open wood",
                     r->existing      ? "existing"
                     : r->fished      ? "fished"
                     : r->exposed     ? "exposed"
                     : r->underground ? "underground"
                                      : "overhead");
        diag_mend(b->diag, f, "leave 'notched' out");
        edit_remove(edit_way(b->diag, f, true, "leave 'notched' out"), notched);
        return 0;
    }
    if (depth <= 0 && node_value(notched, 0))
        diag_add(b->diag, &rule_syntax, node_span(notched),
                 "a notch has some depth, such as 3/4\"");
    return depth > 0 ? depth : 0;
}

/* Green where the plan does not say bare. */
uint8_t build_ground_wire(struct builder *b, const struct node *n)
{
    const char *kind = val_name(b, clause(n, F_GROUND_WIRE), 0);
    return !clause(n, F_GROUND_WIRE)       ? GROUND_NONE
           : kind && !strcmp(kind, "bare") ? GROUND_BARE
                                           : GROUND_GREEN;
}

/* Negative: not said. */
static int16_t read_bends(struct builder *b, const struct node *n)
{
    const struct node *bends = clause(n, F_BENDS);
    double count = val_amount(b, bends, 0, C_NUM, -1);
    return (int16_t)(count > INT16_MAX ? INT16_MAX : count);
}

/* Which alternative of its pattern `remove` of a run is. */
enum { STAYS_IN_WALL, IS_PULLED_OUT };

/* Options that hold for every hop of the chain, and those that only a single hop has. */
static struct run read_options(struct builder *b, const struct node *n)
{
    const struct node *remove = clause(n, F_REMOVE_RUN);
    struct run r = {.node = n,
                    .via = read_via(b, n),
                    .goes = remove && !remove->no,
                    .abandoned = remove && !remove->no && remove->alt == STAYS_IN_WALL,
                    .existing = node_flag(n, F_EXISTING) || (remove && !remove->no),
                    .line_side = node_flag(n, F_LINE_SIDE),
                    .load_side = node_flag(n, F_LOAD_SIDE),
                    .fished = node_flag(n, F_FISHED),
                    .spaced = node_flag(n, F_SPACED),
                    .boarded = node_flag(n, F_RUNNING_BOARD),
                    .guarded = node_flag(n, F_GUARD_STRIPS),
                    .title = n->text};
    r.exposed = node_flag(n, F_EXPOSED) || r.boarded || r.guarded;
    const struct node *underground = clause(n, F_UNDERGROUND), *measured = clause(n, F_LENGTH);
    r.underground = underground != NULL;
    r.strung = node_flag(n, F_STRUNG);
    r.burial = val_length(b, underground, 0, 0);
    r.under = val_name(b, underground, 1);
    r.measured = measured != NULL;
    r.length = val_length(b, measured, 0, 0);
    r.spare = clause_length(b, n, F_SPARE, 0);
    r.notch = read_notch(b, n, &r);
    r.label = val_name(b, clause(n, F_AS), 0);
    r.raceway = build_find_raceway(b, clause(n, F_IN));
    r.ground_wire = build_ground_wire(b, n);
    r.bends = read_bends(b, n);
    return r;
}

/* The words of the next hop that has some, from a clause of its chain on. */
static const struct node *next_group(const struct node *clause)
{
    while (clause && clause->form != F_HOP)
        clause = clause->next;
    return clause;
}

/* The statement of one hop as if it were a run of its own: what stands in parentheses behind its
 * box, and of the chain what that does not say. */
static const struct node *hop_said(struct builder *b, const struct node *run,
                                   const struct node *own)
{
    if (!own)
        return run;
    struct node *n = arena_new(b->arena, struct node);
    *n = *run;
    n->child = n->last_child = NULL;
    n->text = NULL;
    for (const struct node *c = own->child; c; c = c->next)
        build_append(b, n, c);
    for (const struct node *c = run->child; c; c = c->next)
        if (c->form != F_HOP && !node_child(own, c->form))
            build_append(b, n, c);
    return n;
}

static void check_single(struct builder *b, const struct node *n, unsigned hops)
{
    static const enum form_id single[] = {F_LENGTH, F_SPARE, F_AS};
    if (hops < 2)
        return;
    for (unsigned i = 0; i < sizeof single / sizeof *single; i++) {
        const struct node *c = clause(n, single[i]);
        if (c)
            diag_syntax(b->diag, &rule_syntax, node_span(c),
                        "'%s' is for a run of one hop; this chain has %u. Write it in parentheses "
                        "behind the box that its hop leads to",
                        c->word, hops);
    }
    if (n->text)
        diag_syntax(b->diag, &rule_syntax, token_span(n->source, n->text_token, n->text_token),
                    "a text is for a run of one hop; this chain has %u", hops);
}

static void attach_run(struct builder *b, struct run *r)
{
    struct end ends[2] = {r->from, r->to};
    for (int i = 0; i < 2; i++)
        if (ends[i].box && (!i || ends[1].box != ends[0].box)) {
            if (r->circuit)
                *vec_push(b->arena, &ends[i].box->runs) = r;
            else
                *vec_push(b->arena, &ends[i].box->low_voltage) = r;
        }
}

static struct run *add_run(struct builder *b, const struct run *like, struct end from,
                           struct end to, struct span from_span, struct span to_span)
{
    struct run *r = arena_new(b->arena, struct run);
    *r = *like;
    r->id = b->m->runs.n;
    r->from = from;
    r->to = to;
    r->from_span = from_span;
    r->to_span = to_span;
    *vec_push(b->arena, &b->m->runs) = r;
    if (r->label)
        mention_name(b->m->lib->mentions, clause(r->node, F_AS), MENTION_RUN, r);
    attach_run(b, r);
    return r;
}

void build_doubt_end(struct builder *b, struct scope *s, const struct value *v, struct room *last,
                     enum matter of)
{
    if (last && (v->kind != V_REF || build_find_named(b, s, v->ref->part[0])))
        last->in_doubt |= of;
    else
        s->in_doubt |= of;
}

static void doubt(struct builder *b, struct scope *s, const struct value *v, struct end e,
                  struct room *last, enum matter of)
{
    if (!e.box && !e.panel)
        build_doubt_end(b, s, v, last, of);
}

/* A run that is called so may end at any box. */
static void note_lost_label(struct builder *b, const struct run *r, struct end from, struct end to)
{
    if (r->label && ((!from.box && !from.panel) || (!to.box && !to.panel)))
        map_put(b->arena, &b->lost_labels, (uintptr_t)r->label, 0, (void *)r->label);
}

bool build_says_unknown(const struct node *cable)
{
    return cable && !cable->value_count;
}

/* What the runs of a hop have in common, and the cables of them: one, or two beside each other. */
struct hop {
    struct run like;
    struct cable_def *cables[2];
};

/* Single conductors make no cable: in their raceway a set of them is worked out. */
static void lay_in_raceway(struct hop *hop, const struct node *n, const struct circuit *c)
{
    if (c && !clause(n, F_IN))
        hop->like.raceway = c->raceway;
    if (c && !clause(n, F_GROUND_WIRE))
        hop->like.ground_wire = c->ground_wire;
    if (!hop->cables[0] || !hop->cables[0]->single)
        return;
    hop->like.single = hop->like.raceway ? hop->cables[0] : NULL;
    hop->cables[0] = NULL;
}

/* The clause on the hop, else on its circuit. */
static const struct node *clause_of(const struct node *n, const struct circuit *c,
                                    enum form_id form)
{
    const struct node *own = clause(n, form);
    return own || !c ? own : form == F_IN ? c->raceway_clause : c->cable_clause;
}

/* What speaks of a raceway means nothing where there is none. */
static void check_raceway_words(struct builder *b, const struct node *n, const struct node *told)
{
    static const enum form_id forms[] = {F_BENDS, F_GROUND_WIRE};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        const struct node *c = clause(n, forms[i]);
        if (!c || (told && clause(told, forms[i]) == c))
            continue;
        struct finding *f =
            diag_add(b->diag, &rule_no_effect_yet, node_span(c),
                     "'%s' means nothing here: the run lies in no raceway", c->word);
        diag_mend(b->diag, f, "leave '%s' out, or say in which raceway: in emt-1/2", c->word);
        edit_remove(edit_way(b->diag, f, false, "leave '%s' out", c->word), c);
    }
}

/* Single conductors lie in a raceway (300.3(A)), and as many as are needed: nobody names two.
 * `told`: a statement whose clauses have been looked at, or NULL. */
static void check_raceway(struct builder *b, const struct node *n, struct circuit *c,
                          struct hop *hop, const struct node *told)
{
    const struct node *cable = clause_of(n, c, F_CABLE), *in = clause_of(n, c, F_IN);
    const struct value *v = cable ? node_value(cable, 0) : NULL;
    const struct cable_def *single = v ? library_cable(b->m->lib, v->name) : NULL;
    bool lost = in && !hop->like.raceway, seen = told && clause_of(told, c, F_CABLE) == cable;
    if (!hop->like.raceway && !in)
        check_raceway_words(b, n, told);
    if (c && lost)
        c->in_doubt |= ITS_CABLE;
    if (!single || !single->single || seen)
        return;
    if (hop->cables[1]) {
        diag_mend(b->diag,
                  diag_syntax(b->diag, &rule_syntax, node_span(cable),
                              "'%s' is a conductor, of which as many as are needed are pulled",
                              single->name),
                  "cable %s", single->name);
        hop->cables[1] = NULL;
    }
    if (hop->like.raceway || lost)
        return;
    if (c)
        c->in_doubt |= ITS_CABLE;
    struct finding *f = diag_add(
        b->diag, &rule_missing_clause, node_span(cable),
        "%s is a single conductor: it lies in a raceway, and the run does not say in which",
        single->name);
    diag_mend(b->diag, f, "add 'in emt-1/2', or another raceway");
}

static void read_hop(struct builder *b, const struct node *n, struct circuit *c,
                     struct low_voltage *lv, struct hop *hop)
{
    const struct node *cable = clause(n, F_CABLE);
    hop->like = read_options(b, n);
    hop->like.circuit = c;
    hop->like.low_voltage = lv;
    hop->like.own_cable = cable && cable->value_count;
    hop->like.cable_unsaid = cable ? build_says_unknown(cable) : c && c->cable_unsaid;
    hop->cables[0] = cable ? build_find_cable(b, cable, 0) : c ? c->cable : lv->cable;
    hop->cables[1] = cable ? build_find_cable(b, cable, 1) : NULL;
    if (c && hop->like.own_cable && !hop->cables[0])
        c->in_doubt |= ITS_CABLE;
    lay_in_raceway(hop, n, c);
}

static void add_hop(struct builder *b, struct hop *hop, struct end from, struct end to,
                    const struct node *n, unsigned i)
{
    struct circuit *c = hop->like.circuit;
    for (int k = 0; k < 2; k++) {
        if (k && !hop->cables[1])
            continue;
        hop->like.declared = hop->cables[k];
        hop->like.of_two = !hop->cables[1] ? 0 : k ? 'b' : 'a';
        hop->like.chain = n;
        hop->like.hop = i;
        struct run *r = add_run(b, &hop->like, from, to, value_span(n, &n->values[i - 1]),
                                value_span(n, &n->values[i]));
        if (c)
            *vec_push(b->arena, &c->runs) = r;
        else
            *vec_push(b->arena, &hop->like.low_voltage->runs) = r;
    }
}

/* The runs of one statement: a hop for each arrow, a run for each cable of a hop. */
void build_chain(struct builder *b, struct scope *s, const struct node *n, struct circuit *c,
                 struct low_voltage *lv)
{
    enum matter of = c ? ITS_FEED : ITS_SIGNALS;
    if (n->broken) {
        s->in_doubt |= of;
        return;
    }
    unsigned hops = n->value_count ? n->value_count - 1u : 0;
    check_single(b, n, hops);
    const struct node *group = next_group(n->child);
    const struct node *told = NULL;
    struct hop chain, own;
    read_hop(b, n, c, lv, &chain);
    if (hops > 1) { /* said above; they hold for no hop */
        chain.like.measured = false;
        chain.like.length = chain.like.spare = 0;
        chain.like.label = chain.like.title = NULL;
    }
    struct room *last = NULL;
    struct end before = build_resolve_end(b, s, n, &n->values[0], &last);
    doubt(b, s, &n->values[0], before, last, of);
    for (unsigned i = 1; i <= hops; i++) {
        const struct value *v = &n->values[i];
        bool here = v->kind != V_NAME || build_find_named(b, s, v->name) ||
                    (last && map_get(&last->box_names, 1, (uintptr_t)v->name));
        bool lost =
            !before.box && !before.panel &&
            !here; /* a box of the room that the name before, which is not known, may have meant */
        struct end next = lost ? (struct end){0} : build_resolve_end(b, s, n, v, &last);
        if (next.panel && i < hops)
            diag_syntax(b->diag, &rule_syntax, value_span(n, &n->values[i]),
                        "a panel stands at an end of a chain, not inside it");
        const struct node *said = hop_said(b, n, group && group->values[0].n == i ? group : NULL);
        if (said != n) {
            read_hop(b, said, c, lv, &own);
            group = next_group(group->next);
        }
        struct hop *hop = said != n ? &own : &chain;
        if (said != told)
            check_raceway(b, said, c, hop, told);
        told = said;
        add_hop(b, hop, before, next, n, i);
        doubt(b, s, v, next, last, of);
        note_lost_label(b, &hop->like, before, next);
        before = next;
    }
}

void build_feeder_run(struct builder *b, struct circuit *c)
{
    const struct node *n = c->node, *cable = clause(n, F_CABLE);
    struct hop hop = {.like = read_options(b, n),
                      .cables = {cable ? build_find_cable(b, cable, 0) : NULL, NULL}};
    struct run *like = &hop.like;
    like->circuit = c;
    like->existing = c->existing;
    like->goes = c->goes;
    lay_in_raceway(&hop, n, NULL);
    check_raceway(b, n, NULL, &hop, NULL);
    like->declared = hop.cables[0];
    like->own_cable = cable && cable->value_count;
    like->cable_unsaid = build_says_unknown(cable);
    if ((like->own_cable && !like->declared && !like->single) ||
        (clause(n, F_IN) && !like->raceway))
        c->in_doubt |= ITS_CABLE;
    *vec_push(b->arena, &c->runs) =
        add_run(b, like, (struct end){.panel = c->panel}, (struct end){.panel = c->feeds},
                node_span(n), node_name_span(c->feeds->node));
}
