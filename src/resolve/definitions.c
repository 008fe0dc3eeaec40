/* Whether definitions of devices, cables and boxes can work: one checker for those of the library
 * and those of a plan. What is wrong is a finding at its place, and nothing is built on it. */
#include "diag/diag.h"
#include "diag/near.h"
#include "resolve/library.h"
#include "resolve/mention.h"
#include "resolve/node.h"
#include "resolve/reading.h"
#include "resolve/value.h"

#include <stdarg.h>
#include <string.h>

RULE(definition_faulty, "definition-faulty", ERROR, FIRM, "what a definition says can work");

struct checking {
    struct reading *r;
    const struct node *n; /* the definition */
    bool sound;
};

__attribute__((format(printf, 4, 5))) static struct finding *
say(struct checking *k, const struct rule *rule, struct span span, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    const char *text = arena_vprintf(k->r->arena, format, args);
    va_end(args);
    k->sound = false;
    return diag_add(k->r->lib->diag, rule, span, "%s", text);
}

static void mend(struct checking *k, struct finding *f, const char *words)
{
    diag_mend(k->r->lib->diag, f, "%s", words);
}

/* What was meant by a word that is none of those that are known, else what would do. */
static void mend_word(struct checking *k, struct finding *f, const struct nearest *near,
                      const char *words)
{
    const char *found = nearest_in_words(k->r->arena, near, NULL);
    mend(k, f, found ? arena_printf(k->r->arena, "write %s", found) : words);
}

static bool among(const char *const *words, const char *word)
{
    while (*words && strcmp(*words, word))
        words++;
    return *words;
}

/* Names of a clause that stand in no list. */
static void check_words(struct checking *k, const struct node *n, unsigned from,
                        const char *const *words, const char *what)
{
    for (unsigned i = from; n && i < n->value_count; i++) {
        const struct value *v = &n->values[i];
        if (v->kind != V_NAME || among(words, v->name))
            continue;
        struct nearest near = nearest_to(v->name);
        const char *all = "one of";
        for (int w = 0; words[w]; w++) {
            nearest_try(&near, words[w]);
            all = arena_printf(k->r->arena, "%s%s %s", all, w ? "," : "", words[w]);
        }
        mend_word(k, say(k, &rule_unknown_name, value_span(n, v), "'%s' is no %s", v->name, what),
                  &near, all);
    }
}

/* --- what may stand once, and how often the rest --------------------------------------------- */

/* Statements of a form under one node: names that are written twice, and more than are read. */
static void check_list(struct checking *k, const struct node *n, enum form_id form, unsigned most,
                       const char *what)
{
    struct map seen = {0};
    unsigned count = 0;
    for (const struct node *c = n->child; c; c = c->next) {
        if (c->form != form)
            continue;
        if (++count == most + 1)
            mend(k,
                 say(k, &rule_limit, node_span(c),
                     "there are more than %u %ss here; the rest is left out", most, what),
                 "two definitions");
        void **at = map_at(k->r->arena, &seen, 1, (uintptr_t)node_name(c, 0));
        if (*at) {
            struct finding *f = say(k, &rule_duplicate_name, node_span(c),
                                    "%s '%s' is written twice", what, node_name(c, 0));
            diag_note(k->r->lib->diag, f, node_span(*at), "first written here");
            mend(k, f, "leave one of them out, or give it a name of its own");
        } else {
            *at = (void *)c;
        }
    }
}

struct bound {
    enum form_id form;
    double least, most;
};

/* Figures that a thing cannot have. */
static void check_figures(struct checking *k, const struct node *n)
{
    enum { MOST_COUNT = 255 };
    static const struct bound bounds[] = {{F_YOKES, 0, MOST_GANGS},
                                          {F_GANGS, 0, MOST_GANGS},
                                          {F_OUTLETS, 0, MOST_COUNT},
                                          {F_FITTINGS, 0, MOST_COUNT},
                                          {F_FIXTURE_WIRES, 0, MOST_COUNT}};
    static const enum form_id positive[] = {
        F_DEPTH,  F_DIAMETER,         F_FAN,   F_BOX_HOLDS, F_RATED,         F_TERMINALS,
        F_INSIDE, F_OUTSIDE_DIAMETER, F_STICK, F_SUPPORT,   F_GROUNDS_UP_TO, F_CONDUIT_BODY};
    for (size_t i = 0; i < sizeof bounds / sizeof *bounds; i++) {
        const struct node *c = node_child(n, bounds[i].form);
        double v = value_amount(node_value(c, 0), 0);
        if (c && !c->broken && v > bounds[i].most)
            mend(k,
                 say(k, &rule_limit, node_span(c), "%s goes to %g here", c->word, bounds[i].most),
                 "a smaller number");
    }
    for (size_t i = 0; i < sizeof positive / sizeof *positive; i++) {
        const struct node *c = node_child(n, positive[i]);
        if (c && !c->broken && value_amount(node_value(c, 0), 1) <= 0)
            mend(k, say(k, &rule_definition_faulty, node_span(c), "%s is nothing", c->word),
                 "what is marked on it, or leave it out");
    }
}

/* Sizes of wire: 40 to 1, then 1/0 to 4/0. */
static void check_size(struct checking *k, const struct node *n, unsigned at)
{
    enum { THINNEST = 40, THICKEST = -3 };
    const struct value *v = n && !n->broken ? node_value(n, at) : NULL;
    const char *size = v ? def_size(k->r->lib, v) : NULL;
    int gauge = library_gauge_of(size);
    if (v && (!size || gauge > THINNEST || gauge < THICKEST || !strcmp(size, "0")))
        mend(k,
             say(k, &rule_unknown_name, value_span(n, v), "there is no wire of size %s",
                 size ? size : "like this"),
             "a size as it is marked on the cable: 14, 12, 1/0");
}

/* --- terminals and positions -------------------------------------------------------------- */

/* Nets that one terminal may take, or give, together. */
static bool go_together(const struct terminal *t)
{
    static const uint8_t takes[] = {NET_LINE | NET_LEG, NET_LINE_A | NET_LEG, NET_LINE_B | NET_LEG,
                                    NET_NEUTRAL,        NET_GROUND,           NET_TRAVELER,
                                    NET_INTERCONNECT},
                         gives[] = {NET_LINE, NET_LINE_A, NET_LINE_B, NET_NEUTRAL, NET_LEG};
    const uint8_t *list = t->gives ? gives : takes;
    size_t n = t->gives ? sizeof gives : sizeof takes;
    for (size_t i = 0; i < n; i++)
        if (t->nets && !(t->nets & ~list[i]))
            return t->gives || t->nets != NET_LEG; /* where the plan writes no leg it is a line */
    return false;
}

static void check_terminals(struct checking *k, const struct node *n, const struct terminal *list,
                            uint8_t count)
{
    check_list(k, n, F_TERMINAL, MOST_TERMINALS, "terminal");
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_TERMINAL)
            check_words(k, c, 2, def_nets, "net");
    for (uint8_t i = 0; i < count && k->sound; i++)
        if (list[i].node->parent == n && !go_together(&list[i]))
            mend(k,
                 say(k, &rule_definition_faulty, node_span(list[i].node),
                     "terminal %s cannot %s this", list[i].name, list[i].gives ? "give" : "take"),
                 list[i].gives ? "a terminal gives line, line-a, line-b, neutral or leg"
                               : "takes line leg, or line-a leg; of the others each takes one");
}

static uint8_t place_in(const struct body *b, const char *name)
{
    for (uint8_t i = 0; name && i < b->terminal_count; i++)
        if (b->terminals[i].name == name)
            return i;
    return NO_TERMINAL;
}

/* The bodies that the positions of a definition may speak of. */
typedef VEC(const struct body *) body_list;

static void unknown_terminal(struct checking *k, const struct node *n, const struct value *v,
                             const body_list *bodies)
{
    struct nearest near = nearest_to(v->name);
    for (uint32_t i = 0; i < bodies->n; i++)
        for (uint8_t t = 0; t < bodies->at[i]->terminal_count; t++)
            nearest_try(&near, bodies->at[i]->terminals[t].name);
    mend_word(
        k, say(k, &rule_unknown_name, value_span(n, v), "there is no terminal '%s' here", v->name),
        &near, "the name of a terminal as its line writes it");
}

static void check_pair(struct checking *k, const struct node *n, unsigned at,
                       const body_list *bodies)
{
    const struct value *v[2] = {node_value(n, at), node_value(n, at + 1)};
    bool known[2] = {false, false}, together = false;
    if (!v[0] || !v[1])
        return;
    for (uint32_t i = 0; i < bodies->n; i++) {
        bool a = place_in(bodies->at[i], v[0]->name) != NO_TERMINAL,
             b = place_in(bodies->at[i], v[1]->name) != NO_TERMINAL;
        known[0] |= a;
        known[1] |= b;
        together |= a && b;
    }
    for (int i = 0; i < 2; i++)
        if (!known[i])
            unknown_terminal(k, n, v[i], bodies);
    if (v[0]->name == v[1]->name)
        mend(k,
             say(k, &rule_definition_faulty, value_span(n, v[1]), "%s is joined with itself",
                 v[0]->name),
             "the terminal that it touches");
    else if (known[0] && known[1] && !together)
        mend(k,
             say(k, &rule_definition_faulty, value_span(n, v[1]),
                 "%s and %s are of different parts", v[0]->name, v[1]->name),
             "two terminals of one part");
}

static void check_positions(struct checking *k, const struct node *n, const body_list *bodies)
{
    check_list(k, n, F_POSITION, MOST_POSITIONS, "position");
    for (const struct node *c = n->child; c; c = c->next)
        for (unsigned at = 1; c->form == F_POSITION && !c->broken && at < 5; at += 2)
            check_pair(k, c, at, bodies);
}

/* --- what a handle does ------------------------------------------------------------------- */

/* The line of a thing of the body, where this definition writes it; else the definition. */
static struct span span_in(const struct checking *k, const struct node *n)
{
    for (const struct node *at = n; at; at = at->parent)
        if (at == k->n)
            return node_span(n);
    return node_name_span(k->n);
}

/* Why a handle must not join two terminals, or NULL. */
static const char *why_apart(const struct terminal *a, const struct terminal *b)
{
    if (a->role > b->role) {
        const struct terminal *c = a;
        a = b;
        b = c;
    }
    if (a->role == ROLE_LINE && b->role == ROLE_LINE)
        return a->pole != b->pole ? "two lines would meet" : "a line is joined with a line";
    if (a->role == ROLE_LOAD || b->role == ROLE_LOAD)
        return "a load side follows its line side by itself; what a handle works is a leg";
    if (b->role == ROLE_GROUND || b->role == ROLE_NEUTRAL)
        return a->role == ROLE_NEUTRAL  ? "neutral would meet ground"
               : b->role == ROLE_GROUND ? "a hot would meet ground"
                                        : "a hot would meet the neutral";
    if (a->role == ROLE_LEG)
        return b->role == ROLE_LEG ? "two legs would be one"
                                   : "what travelers come to takes line leg, and gives none";
    return b->role == ROLE_INTERCONNECT ? "what joins alarms is no contact" : NULL;
}

static void check_joins(struct checking *k, const struct body *b)
{
    for (uint8_t i = 0; i < b->position_count; i++)
        for (int p = 0; p < 2; p++) {
            const uint8_t *pair = b->positions[i].joins[p];
            const char *why = pair[0] == NO_TERMINAL
                                  ? NULL
                                  : why_apart(&b->terminals[pair[0]], &b->terminals[pair[1]]);
            if (why)
                mend(k,
                     say(k, &rule_definition_faulty, span_in(k, b->positions[i].node),
                         "position %s joins %s and %s: %s", b->positions[i].name,
                         b->terminals[pair[0]].name, b->terminals[pair[1]].name, why),
                     "a line and a leg, a line and a traveler, or two travelers");
        }
    for (uint8_t i = 0; i < b->position_count; i++) {
        const uint8_t(*j)[2] = b->positions[i].joins;
        for (int x = 0; x < 2 && j[1][0] != NO_TERMINAL && j[0][0] != NO_TERMINAL && k->sound; x++)
            for (int y = 0; y < 2; y++)
                if (j[0][x] == j[1][y])
                    mend(k,
                         say(k, &rule_definition_faulty, span_in(k, b->positions[i].node),
                             "position %s joins %s with two others", b->positions[i].name,
                             b->terminals[j[0][x]].name),
                         "a terminal touches one other in a position");
    }
}

static bool joins_same(const struct switch_position *a, const struct switch_position *b)
{
    bool same[2] = {false, false};
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 2; k++)
            same[i] |= (a->joins[i][0] == b->joins[k][0] && a->joins[i][1] == b->joins[k][1]) ||
                       (a->joins[i][0] == b->joins[k][1] && a->joins[i][1] == b->joins[k][0]);
    return same[0] && same[1];
}

static void check_differ(struct checking *k, const struct body *b)
{
    for (uint8_t i = 1; i < b->position_count; i++)
        for (uint8_t n = 0; n < i; n++)
            if (joins_same(&b->positions[n], &b->positions[i])) {
                mend(k,
                     say(k, &rule_definition_faulty, span_in(k, b->positions[i].node),
                         "positions %s and %s join the same", b->positions[n].name,
                         b->positions[i].name),
                     "each position joins other terminals than the rest; one may join none");
                return;
            }
}

static bool is_continued(const struct body *b, uint8_t terminal)
{
    for (uint8_t i = 0; i < b->terminal_count; i++)
        if (b->terminals[i].continues == terminal + 1)
            return true;
    return false;
}

/* Terminals that nothing uses: what a handle should join, and load sides of nothing. */
static void check_used(struct checking *k, const struct body *b, bool handle)
{
    for (uint8_t i = 0; i < b->terminal_count; i++) {
        const struct terminal *t = &b->terminals[i];
        bool hot = t->role == ROLE_LINE && !t->shared && handle && !is_continued(b, i);
        if (t->role == ROLE_LOAD && !t->continues)
            mend(k,
                 say(k, &rule_definition_faulty, span_in(k, t->node),
                     "terminal %s hands on what no other terminal takes", t->name),
                 "a terminal that takes the same, and that no position joins");
        else if (!t->contact && (hot || t->role == ROLE_LEG || t->role == ROLE_TRAVELER))
            mend(k,
                 say(k, &rule_definition_faulty, span_in(k, t->node),
                     "no position joins terminal %s", t->name),
                 arena_printf(k->r->arena,
                              "position up joins %s with another, or leave the terminal out",
                              t->name));
    }
}

/* Why a handle with contacts is no switch. */
static const char *why_none(const struct checking *k, const struct body *b)
{
    unsigned legs = 0, travelers = 0, joined = 0;
    for (uint8_t i = 0; i < b->terminal_count; i++) {
        legs += b->terminals[i].role == ROLE_LEG;
        travelers += b->terminals[i].role == ROLE_TRAVELER;
    }
    for (uint8_t i = 0; i < b->position_count; i++)
        joined += b->positions[i].joins[0][0] != NO_TERMINAL ||
                  b->positions[i].joins[1][0] != NO_TERMINAL;
    if (legs && travelers)
        return "it gives a leg and takes travelers: a part does one of both";
    if (travelers)
        return travelers == 2 ? "no terminal goes over from one traveler to the other"
               : travelers == 4
                   ? "its travelers are not joined straight in one position and crossed in another"
                   : arena_printf(k->r->arena, "travelers come in twos, and it has %u", travelers);
    if (legs > 1)
        return "it gives more than one leg, and they are not those of line-a and line-b";
    return joined == b->position_count ? "it is never off" : "it is never on";
}

/* Whether line-a and line-b are taken, or handed on, once each or not at all. */
static bool has_pairs(const struct body *b, bool gives)
{
    unsigned n[2] = {0, 0};
    for (uint8_t i = 0; i < b->terminal_count; i++)
        if (b->terminals[i].gives == gives && b->terminals[i].role != ROLE_LEG &&
            b->terminals[i].nets & (NET_LINE_A | NET_LINE_B))
            n[!(b->terminals[i].nets & NET_LINE_A)]++;
    return n[0] == n[1] && n[0] < 2;
}

static void check_body(struct checking *k, const struct body *b)
{
    bool handle = false;
    for (uint8_t i = 0; i < b->terminal_count; i++)
        handle |= b->terminals[i].contact;
    check_used(k, b, handle);
    if (k->sound && !(has_pairs(b, false) && has_pairs(b, true)))
        mend(k,
             say(k, &rule_definition_faulty, node_name_span(k->n),
                 "%s '%s' does not take, or hand on, line-a and line-b once each", k->n->word,
                 node_name(k->n, 0)),
             "for one line takes line; for both one terminal of each");
    if (!handle)
        return;
    check_joins(k, b);
    check_differ(k, b);
    if (k->sound && !b->contacts)
        mend(k,
             say(k, &rule_definition_faulty, node_name_span(k->n), "%s '%s': %s", k->n->word,
                 node_name(k->n, 0), why_none(k, b)),
             body_has(b, false, NET_TRAVELER)
                 ? "two travelers: position up joins common a; position down joins common b"
                 : "position up joins line load; position down");
}

/* --- tabs --------------------------------------------------------------------------------- */

static const struct terminal *own_terminal(const struct part_def *p, const char *name)
{
    for (uint8_t i = 0; i < p->own_count; i++)
        if (p->own[i].name == name)
            return &p->own[i];
    return NULL;
}

/* The terminal of another sort of part that a tab leads to. */
static const struct terminal *tied_terminal(const struct device_def *d, const struct part_def *p,
                                            const char *name)
{
    for (uint8_t i = 0; i < d->part_count; i++) {
        const struct terminal *t = &d->parts[i] != p ? own_terminal(&d->parts[i], name) : NULL;
        if (t)
            return t;
    }
    return NULL;
}

/* A tab joins a terminal of the part with one beside it that takes the same: never a traveler, nor
 * what the part gives. */
static void check_tab(struct checking *k, const struct device_def *d, const struct part_def *p,
                      const struct tab_def *tab)
{
    const struct terminal *from = own_terminal(p, tab->terminal),
                          *to = tab->to ? tied_terminal(d, p, tab->to) : from;
    struct mentions *m = k->r->lib->mentions;
    if (from)
        mention_value(m, tab->node, node_value(tab->node, 0), 0, MENTION_TERMINAL, NULL,
                      from->node);
    if (to)
        mention_value(m, tab->node, node_value(tab->node, 1), 0, MENTION_TERMINAL, NULL, to->node);
    if (!from || !to)
        mend(k,
             say(k, &rule_unknown_name, node_span(tab->node), "%s '%s' has no terminal '%s'",
                 from ? "no other part of" : "part", from ? d->name : p->name,
                 from ? tab->to : tab->terminal),
             "a terminal that the part itself writes");
    else if (!tab->to && p->count < 2)
        mend(k,
             say(k, &rule_definition_faulty, node_span(tab->node),
                 "there is one part '%s', and no other beside it for a tab", p->name),
             "part NAME 2; or tab NAME to TERMINAL of another part");
    else if (from->gives || to->gives || (from->nets | to->nets) & (NET_TRAVELER | NET_GROUND) ||
             !(from->nets & to->nets))
        mend(k,
             say(k, &rule_definition_faulty, node_span(tab->node),
                 "a tab would join what may not lie on one net"),
             "tabs between terminals that take line, or neutral, both");
}

/* --- devices ------------------------------------------------------------------------------ */

static void check_part(struct checking *k, const struct device_def *d, const struct part_def *p)
{
    const struct value *n = node_value(p->node, 1);
    if (n && (n->n < 1 || n->n > MOST_OF_A_PART))
        mend(k,
             say(k, &rule_limit, value_span(p->node, n), "a device has one to %d of a part",
                 MOST_OF_A_PART),
             "a smaller number, or several devices");
    body_list own = {0};
    *vec_push(k->r->arena, &own) = &p->body;
    check_terminals(k, p->node, p->own, p->own_count);
    check_positions(k, p->node, &own);
    check_figures(k, p->node);
    check_list(k, p->node, F_TAB, MOST_TABS, "tab");
    for (uint8_t i = 0; i < p->tab_count; i++)
        check_tab(k, d, p, &p->tabs[i]);
}

/* What protects hands on all that it protects: a hot, and the neutral where it takes one. */
static void check_protection(struct checking *k, const struct device_def *d)
{
    const struct node *protects = node_child(k->n, F_DEF_ONWARD);
    struct span span = protects ? node_span(protects) : node_name_span(k->n);
    bool hot = body_has(&d->body, true, NET_LINE | NET_LINE_A | NET_LINE_B);
    if (!hot)
        mend(k,
             say(k, &rule_definition_faulty, span,
                 "it protects what lies behind its load terminals, and it has none"),
             "terminal load-hot gives line; terminal load-neutral gives neutral");
    else if (d->has_neutral && !body_has(&d->body, true, NET_NEUTRAL))
        mend(k, say(k, &rule_definition_faulty, span, "it protects a hot and not its neutral"),
             "terminal load-neutral gives neutral");
}

/* The thinnest comes before the thickest. */
static void check_takes(struct checking *k, const struct node *n)
{
    check_size(k, n, 0);
    check_size(k, n, 1);
    const char *from = def_size(k->r->lib, node_value(n, 0)),
               *to = def_size(k->r->lib, node_value(n, 1));
    if (n && !n->broken && from && to && library_gauge_of(from) < library_gauge_of(to))
        mend(k,
             say(k, &rule_definition_faulty, node_span(n), "%s AWG is thicker than %s AWG", from,
                 to),
             "the thinnest first, then the thickest");
}

static void check_device(struct checking *k, const struct device_def *d)
{
    k->sound &= !d->faulty; /* a base is faulty, which has been said */
    body_list bodies = {0};
    *vec_push(k->r->arena, &bodies) = &d->body;
    for (uint8_t i = 0; i < d->part_count; i++)
        *vec_push(k->r->arena, &bodies) = &d->parts[i].body;
    check_list(k, k->n, F_PART_DEF, MOST_PARTS, "part");
    check_terminals(k, k->n, d->body.terminals, d->body.terminal_count);
    check_positions(k, k->n, &bodies);
    check_figures(k, k->n);
    check_size(k, node_child(k->n, F_FIXTURE_WIRES), 1);
    check_takes(k, node_child(k->n, F_TAKES));
    for (uint8_t i = 0; i < d->part_count; i++)
        if (d->parts[i].node->parent == k->n)
            check_part(k, d, &d->parts[i]);
    if (!d->base && node_lacks(k->n, F_SORT))
        mend(k,
             say(k, &rule_definition_faulty, node_name_span(k->n),
                 "device '%s' is based on none and does not say what sort of thing it is", d->name),
             "sort control, or the device that it is like: device NAME : BASE");
    for (uint32_t i = 0; i < bodies.n && k->sound; i++)
        check_body(k, bodies.at[i]);
    if (k->sound && d->protects)
        check_protection(k, d);
}

/* --- cables and boxes --------------------------------------------------------------------- */

static const char *const colors[] = {"black",  "white",  "red",    "blue",   "green",
                                     "yellow", "orange", "brown",  "purple", "gray",
                                     "grey",   "pink",   "centre", "shield", NULL};

/* "white-red": a colour, or one with a stripe of another. */
static bool is_color(const char *word)
{
    const char *dash = strchr(word, '-');
    bool base = !dash;
    for (int i = 0; dash && colors[i]; i++)
        base |= strlen(colors[i]) == (size_t)(dash - word) &&
                !strncmp(colors[i], word, (size_t)(dash - word));
    return base && among(colors, dash ? dash + 1 : word);
}

static void say_no_color(struct checking *k, const struct node *n, const struct value *v)
{
    struct nearest near = nearest_to(v->name);
    for (int c = 0; colors[c]; c++)
        nearest_try(&near, colors[c]);
    mend_word(
        k,
        say(k, &rule_unknown_name, value_span(n, v), "'%s' is no colour of a conductor", v->name),
        &near, "black, red, blue, white; white-red for a white with a red stripe");
}

static void check_conductors(struct checking *k, const struct node *n)
{
    struct map seen = {0};
    if (n && n->value_count > MOST_CONDUCTORS)
        mend(
            k,
            say(k, &rule_limit, node_span(n), "a cable has %d conductors at most", MOST_CONDUCTORS),
            "several cables");
    for (unsigned i = 0; n && i < n->value_count; i++) {
        const struct value *v = &n->values[i];
        if (v->kind != V_NAME)
            continue;
        if (!is_color(v->name))
            say_no_color(k, n, v);
        void **at = map_at(k->r->arena, &seen, 1, (uintptr_t)v->name);
        if (*at)
            mend(k,
                 say(k, &rule_duplicate_name, value_span(n, v),
                     "two conductors are %s: nobody could tell them apart", v->name),
                 "a colour of its own, or a stripe: white-red");
        *at = k;
    }
}

/* A family is called by the cable that begins it. */
static void check_family(struct checking *k, const struct node *n, const struct map *all,
                         const char *sort, const char *known)
{
    const char *name = node_name(n, 0);
    const struct declared *begins = name ? map_find(all, 0, name) : NULL;
    if (begins)
        resolve_mention(k->r->lib, n, node_value(n, 0), begins);
    if (!name || begins)
        return;
    struct nearest near = nearest_to(name);
    nearest_among(&near, near_of_map(k->r->arena, &k->r->near, all, 0));
    mend_word(k,
              say(k, &rule_unknown_name, value_span(n, node_value(n, 0)),
                  "there is no %s '%s' that a family is called by", sort, name),
              &near,
              arena_printf(k->r->arena, "the %s that the family begins with: %s", sort, known));
}

static void check_stock(struct checking *k, const struct node *n)
{
    if (n && n->value_count > MOST_STOCK_LENGTHS)
        mend(k,
             say(k, &rule_limit, node_span(n), "a cable has %d stock lengths at most",
                 MOST_STOCK_LENGTHS),
             "the lengths that are sold");
    for (unsigned i = 0; n && i < n->value_count; i++)
        if (n->values[i].kind == V_LENGTH && n->values[i].n <= 0)
            mend(k,
                 say(k, &rule_definition_faulty, value_span(n, &n->values[i]),
                     "a stock length is nothing"),
                 "the lengths that are sold");
}

static const char *const suited[] = {"dry",      "damp",      "wet",     "outdoors", "underground",
                                     "overhead", "concealed", "exposed", NULL};

static void check_cable(struct checking *k, const struct cable_def *c)
{
    check_conductors(k, node_child(k->n, F_CONDUCTORS));
    check_words(k, node_child(k->n, F_SUITS), 0, suited, "place that a cable suits");
    check_family(k, node_child(k->n, F_FAMILY), &k->r->lib->cables, "cable",
                 "nm, uf, mc, ser, use");
    check_stock(k, node_child(k->n, F_STOCK));
    check_size(k, node_child(k->n, F_SIZE_DEF), 0);
    check_size(k, node_child(k->n, F_GROUND_SIZE), 0);
    check_size(k, node_child(k->n, F_NEUTRAL_SIZE), 0);
    check_figures(k, k->n);
    if (k->sound && c->size && !c->conductors)
        mend(k,
             say(k, &rule_definition_faulty, node_name_span(k->n),
                 "cable '%s' has a size and no conductors", c->name),
             "conductors black white");
    if (k->sound && c->single && (!c->size || c->conductors != 1 || c->diameter <= 0))
        mend(k,
             say(k, &rule_definition_faulty, node_name_span(k->n),
                 "'%s' is single: it has a size, one conductor and a diameter", c->name),
             "conductors black");
}

static void check_raceway(struct checking *k, const struct raceway_def *w)
{
    check_words(k, node_child(k->n, F_SUITS), 0, suited, "place that a raceway suits");
    check_family(k, node_child(k->n, F_FAMILY), &k->r->lib->raceways, "raceway",
                 "emt, pvc-40, pvc-80, fmc, lfmc, lfnc, rmc");
    check_stock(k, node_child(k->n, F_STOCK));
    check_figures(k, k->n);
    if (k->sound && w->outside > 0 && w->outside < w->inside)
        mend(k,
             say(k, &rule_definition_faulty, node_name_span(k->n),
                 "raceway '%s' is wider inside than across", w->name),
             "the diameters that are marked on it");
}

static void check_rings(struct checking *k, const struct node *n)
{
    unsigned count = 0;
    for (const struct node *c = n->child; c; c = c->next) {
        const struct value *depth = c->form == F_RING && !c->broken ? node_value(c, 0) : NULL;
        if (depth && ++count > MOST_RINGS) {
            mend(k, say(k, &rule_limit, node_span(c), "a box has %d rings at most", MOST_RINGS),
                 "the rings that are sold");
            return;
        }
        if (depth && (depth->n <= 0 || value_amount(node_value(c, 1), 1) <= 0))
            mend(k, say(k, &rule_definition_faulty, node_span(c), "a ring of no depth or room"),
                 "the depth and the room that are marked on it");
        for (const struct node *o = n->child; depth && o != c; o = o->next)
            if (o->form == F_RING && !o->broken && node_value(o, 0)->n == depth->n) {
                struct finding *f = say(k, &rule_duplicate_name, node_span(c),
                                        "a ring of this depth is written twice");
                diag_note(k->r->lib->diag, f, node_span(o), "first written here");
                mend(k, f, "leave one of them out");
            }
    }
}

static void check_box(struct checking *k)
{
    check_rings(k, k->n);
    check_figures(k, k->n);
}

/* --- all ---------------------------------------------------------------------------------- */

static bool is_in_doubt(const struct node *n)
{
    if (n->broken || n->lost)
        return true;
    for (const struct node *c = n->child; c; c = c->next)
        if (is_in_doubt(c))
            return true;
    return false;
}

void resolve_check_definition(struct reading *r, const struct declared *d)
{
    struct checking k = {r, d->node, true};
    bool doubt = is_in_doubt(d->node), *faulty = NULL;
    if (d->form == F_DEVICE_DEF) {
        faulty = &((struct device_def *)d->definition)->faulty;
        if (!doubt)
            check_device(&k, d->definition);
    } else if (d->form == F_CABLE_DEF) {
        faulty = &((struct cable_def *)d->definition)->faulty;
        if (!doubt)
            check_cable(&k, d->definition);
    } else if (d->form == F_RACEWAY_DEF) {
        faulty = &((struct raceway_def *)d->definition)->faulty;
        if (!doubt)
            check_raceway(&k, d->definition);
    } else if (d->form == F_BOX_DEF) {
        faulty = &((struct box_type *)d->definition)->faulty;
        if (!doubt)
            check_box(&k);
    }
    if (faulty)
        *faulty |= doubt || !k.sound;
}
