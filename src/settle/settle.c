/* What is to be written, by statement: one statement may stand for several things, where it is in a
 * pattern, in a unit or room that others are based on, or a chain of runs. */
#include "settle/work.h"

#include "base/sort.h"
#include "diag/edits.h"
#include "facts/closed.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "loads/panel.h"
#include "log/log.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <string.h>

const char *const settle_words[SETTLE_SORTS] = {
    [SETTLE_TYPES] = "types",   [SETTLE_CABLES] = "cables", [SETTLE_BREAKERS] = "breakers",
    [SETTLE_SPACES] = "spaces", [SETTLE_PLACES] = "places", [SETTLE_LENGTHS] = "lengths",
};

/* Beside a text: nothing may be written, and things come to different texts. */
static const char nothing[] = "nothing", different[] = "different";

/* --- statements --------------------------------------------------------------------------- */

/* The statement that begins at a token of the node's source; made when first asked for. */
static struct statement *begun_at(struct settling *s, const struct node *n, uint32_t token)
{
    void **at = map_at(&s->scratch, &s->statements, (uintptr_t)n->source, token + 1u);
    if (!*at) {
        struct statement *t = *at = arena_new(&s->scratch, struct statement);
        t->node = n;
        *vec_push(&s->scratch, &s->list) = t;
    }
    return *at;
}

static struct statement *statement_of(struct settling *s, const struct node *n)
{
    struct statement *t = begun_at(s, n, n->first);
    if (n->base && !t->base)
        t->base = statement_of(s, n->base);
    return t;
}

/* The hops of a run statement. */
static struct statement **hops_of(struct settling *s, const struct node *n)
{
    struct statement *t = statement_of(s, n);
    if (t->hops)
        return t->hops;
    t->hops = arena_array(&s->scratch, struct statement *, n->value_count);
    for (unsigned i = 1; i < n->value_count; i++) {
        t->hops[i - 1] = begun_at(s, n, n->values[i].first);
        t->hops[i - 1]->hop = i;
    }
    return t->hops;
}

/* A thing of a statement whose text leaves the sort out comes to `text`; NULL: it gets none. */
static void want(struct settling *s, struct statement *t, enum settle_sort sort, const char *text)
{
    if (!(s->sorts & 1u << sort))
        return;
    if (!text)
        text = nothing;
    const char *before = t->text[sort];
    bool same = !before || before == text || (before != different && !strcmp(before, text));
    t->text[sort] = same ? text : different;
}

static bool is_text(const char *text)
{
    return text && text != nothing && text != different;
}

/* What stands in a base holds for all that are based on it and do not say it: where one of those
 * gets another text or none, it writes its own; where it can write none, the base may not either.
 */
static void block_bases(struct settling *s, enum settle_sort sort)
{
    for (uint32_t i = 0; i < s->list.n; i++) {
        const struct statement *t = s->list.at[i];
        if (!t->text[sort] || is_text(t->text[sort]))
            continue;
        for (struct statement *b = t->base; b && !b->blocked[sort]; b = b->base)
            b->blocked[sort] = true;
    }
}

/* What a statement has of its base, where that is written there now. */
static const char *inherited(const struct statement *t, enum settle_sort sort)
{
    for (const struct statement *b = t->base; b; b = b->base)
        if (is_text(b->text[sort]) && !b->blocked[sort])
            return b->text[sort];
    return NULL;
}

static void say_left(struct settling *s, const struct statement *t, enum settle_sort sort)
{
    struct span where =
        t->hop ? value_span(t->node, &t->node->values[t->hop]) : node_name_span(t->node);
    *vec_push(s->arena, &s->out->left) = (struct settle_left){sort, where};
}

static void write_statement(struct settling *s, struct statement *t, enum settle_sort sort)
{
    const char *text = t->text[sort];
    if (!text || text == nothing)
        return;
    if (text == different || t->blocked[sort]) {
        say_left(s, t, sort);
        return;
    }
    const char *from_base = inherited(t, sort);
    t->written[sort] = !from_base || strcmp(from_base, text) != 0;
}

/* --- things ------------------------------------------------------------------------------- */

/* The statement that says where a box is: a copy need not say it again. */
static const struct node *place_said(const struct node *n)
{
    while (n->base && (n->value_count <= PLACE_AT || n->values[PLACE_AT].first < n->first ||
                       n->values[PLACE_AT].first > n->last))
        n = n->base;
    return n;
}

/* How far a box on a wall is set from the end that the text counts from. NULL where the text says
 * it in another way. */
static const char *place_text(struct settling *s, const struct box *b, const struct node *n)
{
    const struct place *written = &b->place, *set = &s->routes->mountings->of_box[b->id].place;
    if (n->values[PLACE_AT].kind != V_LENGTH)
        return NULL;
    length width = b->room->walls[written->wall].length, at = n->values[PLACE_AT].n;
    if (at == written->from_left)
        return length_words(s->arena, set->from_left);
    return at == width - written->from_left ? length_words(s->arena, width - set->from_left) : NULL;
}

static bool is_moved(const struct settling *s, const struct box *b)
{
    return !b->existing && s->routes->mountings->of_box[b->id].moved;
}

/* A box that stays where it is written keeps its text; all things of a statement must. */
static void want_place(struct settling *s, const struct box *b)
{
    const struct node *n = place_said(b->node);
    if (b->place.known && b->place.where == ON_WALL && n->value_count > PLACE_AT)
        want(s, statement_of(s, n), SETTLE_PLACES,
             is_moved(s, b) ? place_text(s, b, n) : settle_source_text(s, n, PLACE_AT));
}

/* A place is always written: it is put in where it is another one. */
static void write_places(struct settling *s)
{
    for (uint32_t i = 0; i < s->m->boxes.n; i++)
        want_place(s, s->m->boxes.at[i]);
    for (uint32_t i = 0; i < s->list.n; i++) {
        struct statement *t = s->list.at[i];
        const char *text = t->text[SETTLE_PLACES];
        if (text == different)
            say_left(s, t, SETTLE_PLACES);
        t->written[SETTLE_PLACES] =
            is_text(text) && strcmp(text, settle_source_text(s, t->node, PLACE_AT)) != 0;
    }
}

/* Where it is set elsewhere than its text says, its type would not be held. */
static bool stands_as_written(struct settling *s, const struct box *b)
{
    return !is_moved(s, b) || statement_of(s, place_said(b->node))->written[SETTLE_PLACES];
}

static void want_box(struct settling *s, const struct box *b)
{
    const struct fill *fill = &s->wiring->of_box[b->id];
    if (node_child(b->node, F_BOX_TYPE))
        return;
    bool logged = facts_is_in_closed(b) && !facts_stays_closed(b); /* the plan leaves it open */
    bool chosen = !b->existing && !logged && fill->inferred && fill->type &&
                  !fill->type->integral && stands_as_written(s, b);
    want(s, statement_of(s, b->node), SETTLE_TYPES,
         chosen ? arena_printf(s->arena, "type %s", fill->type->name) : NULL);
}

/* NULL of one that is there or pulled. */
static const char *length_text(struct settling *s, const struct run *r)
{
    const struct route *route = &s->routes->of_run[r->id];
    bool pulled = s->log && log_has(s->log->of_run[r->id].states, LOG_PULLED);
    return route->known && !r->existing && !pulled
               ? arena_printf(s->arena, "length %s", settle_length(s->arena, route->electrical))
               : NULL;
}

static void want_run(struct settling *s, struct statement *t, const struct run *r)
{
    const struct cable_def *chosen = s->wiring->of_run[r->id].cable;
    if (!r->declared && !r->single && !r->own_cable)
        want(s, t, SETTLE_CABLES,
             chosen && r->circuit && !r->existing
                 ? arena_printf(s->arena, "cable %s", (chosen->of ? chosen->of : chosen)->name)
                 : NULL);
    if (!r->measured)
        want(s, t, SETTLE_LENGTHS, length_text(s, r));
}

/* The runs of one statement, hop by hop, beginning at run `from` of the model; gives how many. A
 * hop of two cables is two runs of one length. */
static uint32_t want_chain(struct settling *s, uint32_t from)
{
    struct run *const *runs = s->m->runs.at;
    const struct run *first = runs[from];
    struct statement **hops = hops_of(s, first->chain);
    uint32_t hop = 0, n = 0;
    for (; from + n < s->m->runs.n; n++) {
        const struct run *r = runs[from + n];
        hop += n && r->of_two != 'b';
        if (r->chain != first->chain || r->circuit != first->circuit ||
            hop + 1u >= first->chain->value_count)
            break;
        want_run(s, hops[hop], r);
    }
    return n;
}

static void want_feeder(struct settling *s, const struct circuit *c)
{
    struct statement *t = statement_of(s, c->node);
    if (c->runs.n)
        want_run(s, t, c->runs.at[0]);
    if (!c->breaker_node)
        want(s, t, SETTLE_BREAKERS,
             c->breaker > 0 && !c->existing ? arena_printf(s->arena, "breaker %g A", c->breaker)
                                            : NULL);
}

/* The number of a circuit is its space: that is no choice. */
static void want_space(struct settling *s, const struct circuit *c)
{
    const struct circuit_space *at = &s->panels->of_circuit[c->id];
    if (c->number || node_child(c->node, F_SPACE))
        return;
    const char *half = c->half || !at->half     ? ""
                       : at->half == HALF_UPPER ? "; half upper"
                                                : "; half lower";
    want(s, statement_of(s, c->node), SETTLE_SPACES,
         at->space && at->found && !c->existing
             ? arena_printf(s->arena, "space %u%s", at->space, half)
             : NULL);
}

static void want_all(struct settling *s)
{
    struct model *m = s->m;
    for (uint32_t i = 0; i < m->boxes.n; i++)
        want_box(s, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        if (m->circuits.at[i]->feeds)
            want_feeder(s, m->circuits.at[i]);
        want_space(s, m->circuits.at[i]);
    }
    for (uint32_t i = 0; i < m->runs.n;) {
        const struct run *r = m->runs.at[i];
        i += r->circuit && r->circuit->feeds ? 1 : want_chain(s, i);
    }
}

/* --- the texts ---------------------------------------------------------------------------- */

static void sort_edits(struct settling *s)
{
    uint32_t n = s->out->edits.n;
    struct sorted *order = arena_array(&s->scratch, struct sorted, n + 1);
    struct edit *before = arena_array(&s->scratch, struct edit, n + 1);
    for (uint32_t i = 0; i < n; i++) {
        before[i] = s->out->edits.at[i];
        order[i] = (struct sorted){.key = {before[i].source->order, before[i].off}, .item = i};
    }
    sort_by_key(&s->scratch, order, n);
    for (uint32_t i = 0; i < n; i++)
        s->out->edits.at[i] = before[order[i].item];
}

struct settled *settle(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct panels *panels,
                       const struct site_log *log, unsigned sorts)
{
    struct settling s = {.arena = arena,
                         .scratch = {.out_of_memory = arena->out_of_memory},
                         .m = m,
                         .routes = routes,
                         .wiring = wiring,
                         .panels = panels,
                         .log = log,
                         .sorts = sorts,
                         .out = arena_new(arena, struct settled)};
    write_places(&s);
    want_all(&s);
    for (int sort = 0; sort < SETTLE_SORTS; sort++) {
        if (sort == SETTLE_PLACES)
            continue;
        block_bases(&s, (enum settle_sort)sort);
        for (uint32_t i = 0; i < s.list.n; i++)
            write_statement(&s, s.list.at[i], (enum settle_sort)sort);
    }
    for (uint32_t i = 0; i < s.list.n; i++)
        settle_put_in(&s, s.list.at[i]);
    sort_edits(&s);
    arena_free(&s.scratch);
    return s.out;
}

uint32_t settle_count(const struct settled *s, const struct source *source)
{
    return edits_count(&s->edits, source);
}

void settle_write(const struct settled *s, const struct source *source, struct buf *out)
{
    edits_apply(&s->edits, source, out);
}
