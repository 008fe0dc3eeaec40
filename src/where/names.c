/* From mentions to names: places that mean one thing, and things that one place means, are one
 * name.
 */
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/library.h"
#include "where/work.h"

#include <stdlib.h>
#include <string.h>

/* Places and things while they are joined: union-find. */
struct joining {
    struct whereabouts *w;
    struct arena scratch;
    struct map vertex_of; /* (first byte, 1) and (key, 2) -> vertex + 1 */
    VEC(uint32_t) parent;
    VEC(struct where_name *) name_of; /* by vertex, at the root of each */
    VEC(struct log_spot) log;
};

struct log_spot {
    struct span span;
    const void *thing;
    bool handle;
};

enum { PLACES = 1, KEYS };

static uint32_t vertex(struct joining *j, const void *what, uintptr_t sort)
{
    void **at = map_at(&j->scratch, &j->vertex_of, (uintptr_t)what, sort);
    if (!*at) {
        uint32_t own = j->parent.n;
        *vec_push(&j->scratch, &j->parent) = own;
        *at = (void *)(uintptr_t)j->parent.n;
    }
    return (uint32_t)(uintptr_t)*at - 1;
}

static uint32_t root(struct joining *j, uint32_t v)
{
    while (j->parent.at[v] != v)
        v = j->parent.at[v] = j->parent.at[j->parent.at[v]];
    return v;
}

static const char *byte_at(struct span at)
{
    return at.source->bytes + at.off;
}

static uint32_t place_vertex(struct joining *j, struct span at)
{
    return vertex(j, byte_at(at), PLACES);
}

static void join(struct joining *j, uint32_t a, uint32_t b)
{
    j->parent.at[root(j, a)] = root(j, b);
}

/* A place in a row is one of each of its boxes, and makes them no less several. */
static uint32_t vertex_of(struct joining *j, const struct mention *m)
{
    return m->in_row ? vertex(j, m->key, KEYS) : place_vertex(j, m->span);
}

static void join_all(struct joining *j)
{
    const struct mentions *m = j->w->c->mentions;
    for (uint32_t i = 0; i < m->all.n; i++) {
        uint32_t key = vertex(j, m->all.at[i].key, KEYS);
        join(j, vertex_of(j, &m->all.at[i]), key);
    }
    for (uint32_t i = 0; i < m->alike.n; i++) {
        uint32_t a = place_vertex(j, m->alike.at[i].a);
        join(j, a, place_vertex(j, m->alike.at[i].b));
    }
    for (uint32_t i = 0; i < j->log.n; i++) {
        uint32_t key = vertex(j, j->log.at[i].thing, KEYS);
        join(j, place_vertex(j, j->log.at[i].span), key);
    }
}

/* --- gathering ---------------------------------------------------------------------------- */

/* A wall is the first word of its statement, all else the first value of theirs. */
static struct span name_span(const struct node *n, enum mention_sort sort)
{
    return sort == MENTION_WALL ? node_word_span(n) : node_name_span(n);
}

static bool same_span(struct span a, struct span b)
{
    return a.source == b.source && a.off == b.off;
}

static bool of_plan(const struct whereabouts *w, const struct source *s)
{
    for (uint32_t i = 0; i < w->c->source_count; i++)
        if (w->c->sources[i] == s)
            return true;
    return false;
}

static void add_thing(struct whereabouts *w, struct where_name *name, const void *thing)
{
    void **known = map_at(w->arena, &w->of_thing, 0, (uintptr_t)thing);
    if (*known)
        return;
    *known = name;
    *vec_push(w->arena, &name->things) = thing;
}

static void add_statement(struct whereabouts *w, struct where_name *name, const struct node *n)
{
    for (uint32_t i = 0; i < name->statements.n; i++)
        if (same_span(name_span(name->statements.at[i], name->sort), name_span(n, name->sort)))
            return;
    *vec_push(w->arena, &name->statements) = n;
    name->of_library |= !of_plan(w, node_span(n).source);
}

static void add_place(struct whereabouts *w, struct where_name *name, struct where_place place)
{
    *vec_push(w->arena, &w->spots) = (struct where_spot){place, name->id};
}

static struct where_name *name_of(struct joining *j, uint32_t v)
{
    v = root(j, v);
    if (!j->name_of.at[v]) {
        struct where_name *name = arena_new(j->w->arena, struct where_name);
        name->id = j->w->names.n;
        *vec_push(j->w->arena, &j->w->names) = name;
        j->name_of.at[v] = name;
    }
    return j->name_of.at[v];
}

/* What is no statement of the plan is of the program: a rule; or of the disk: a file. */
static bool is_of_program(const struct mention *m)
{
    return m->sort == MENTION_RULE || m->sort == MENTION_FILE;
}

static void gather_mention(struct joining *j, const struct mention *m)
{
    struct whereabouts *w = j->w;
    struct where_name *name = name_of(j, vertex_of(j, m));
    if (!name->text) {
        name->sort = m->sort;
        name->text = m->in_row ? ((const struct box *)m->key)->name
                               : arena_copy(w->arena, byte_at(m->span), m->span.len);
    }
    if (m->thing)
        add_thing(w, name, m->thing);
    if (m->where)
        add_statement(w, name, m->where);
    name->of_library |= is_of_program(m);
    struct where_place place = {.span = m->span, .in_row = m->in_row};
    place.defines = m->where && (m->in_row || same_span(name_span(m->where, m->sort), m->span));
    add_place(w, name, place);
}

/* A place that is named like another one: where that is of the library the name is too. */
static void gather_alike(struct joining *j, struct span at, struct span like)
{
    struct where_name *name = j->name_of.at[root(j, place_vertex(j, at))];
    if (!name || !of_plan(j->w, at.source))
        return;
    name->of_library |= !of_plan(j->w, like.source);
    add_place(j->w, name, (struct where_place){.span = at});
}

static void gather(struct joining *j)
{
    struct whereabouts *w = j->w;
    const struct mentions *m = w->c->mentions;
    vec_reserve(&j->scratch, &j->name_of, j->parent.n);
    for (uint32_t i = 0; i < j->parent.n; i++)
        *vec_push(&j->scratch, &j->name_of) = NULL;
    for (uint32_t i = 0; i < m->all.n; i++)
        gather_mention(j, &m->all.at[i]);
    for (uint32_t i = 0; i < m->alike.n; i++) {
        gather_alike(j, m->alike.at[i].a, m->alike.at[i].b);
        gather_alike(j, m->alike.at[i].b, m->alike.at[i].a);
    }
    for (uint32_t i = 0; i < j->log.n; i++) {
        const struct log_spot *s = &j->log.at[i];
        struct where_name *name = j->name_of.at[root(j, place_vertex(j, s->span))];
        if (name) /* else it is called so by the program: the only level */
            add_place(w, name,
                      (struct where_place){.span = s->span, .in_log = true, .handle = s->handle});
    }
}

/* --- order -------------------------------------------------------------------------------- */

static int by_place(const void *a, const void *b)
{
    const struct where_spot *x = a, *y = b;
    const struct source *s = x->place.span.source, *t = y->place.span.source;
    if (s != t)
        return s->order != t->order ? (s->order < t->order ? -1 : 1) : strcmp(s->path, t->path);
    if (x->place.span.off != y->place.span.off)
        return x->place.span.off < y->place.span.off ? -1 : 1;
    if (x->name != y->name)
        return x->name < y->name ? -1 : 1;
    return (int)y->place.defines - (int)x->place.defines;
}

/* One place may have been noted for each of several things. */
static void order_spots(struct whereabouts *w)
{
    uint32_t kept = 0;
    if (w->spots.n)
        qsort(w->spots.at, w->spots.n, sizeof *w->spots.at, by_place);
    for (uint32_t i = 0; i < w->spots.n; i++) {
        struct where_spot *s = &w->spots.at[i], *last = kept ? &w->spots.at[kept - 1] : NULL;
        if (last && same_span(last->place.span, s->place.span) && last->name == s->name)
            last->place.defines |= s->place.defines;
        else
            w->spots.at[kept++] = *s;
    }
    w->spots.n = kept;
    for (uint32_t i = 0; i < kept; i++) {
        struct where_spot *s = &w->spots.at[i];
        *vec_push(w->arena, &w->names.at[s->name]->places) = s->place;
    }
}

static void take_log_place(void *data, struct span at, const void *thing, bool handle)
{
    struct joining *j = data;
    *vec_push(&j->scratch, &j->log) = (struct log_spot){at, thing, handle};
}

struct whereabouts *where_make(struct arena *arena, struct compilation *c)
{
    struct whereabouts *w = arena_new(arena, struct whereabouts);
    *w = (struct whereabouts){.arena = arena, .c = c};
    if (!c->mentions)
        return w;
    struct joining j = {.w = w, .scratch = {.out_of_memory = arena->out_of_memory}};
    if (c->log)
        where_read_log(w, take_log_place, &j);
    join_all(&j);
    gather(&j);
    arena_free(&j.scratch);
    order_spots(w);
    return w;
}

/* --- asking ------------------------------------------------------------------------------- */

static bool before(const struct where_spot *s, const struct source *source, uint32_t off)
{
    const struct source *t = s->place.span.source;
    if (t != source)
        return t->order != source->order ? t->order < source->order
                                         : strcmp(t->path, source->path) < 0;
    return s->place.span.off < off;
}

const struct where_name *where_name_at(const struct whereabouts *w, const struct source *source,
                                       uint32_t off, const struct where_place **place)
{
    uint32_t low = 0, high = w->spots.n;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (before(&w->spots.at[middle], source, off + 1))
            low = middle + 1;
        else
            high = middle;
    }
    const struct where_spot *s = low ? &w->spots.at[low - 1] : NULL;
    if (!s || s->place.span.source != source || off > s->place.span.off + s->place.span.len)
        return NULL;
    while (s > w->spots.at && same_span(s[-1].place.span, s->place.span)) /* the first of a row */
        s--;
    if (place)
        *place = &s->place;
    return w->names.at[s->name];
}

const struct where_name *where_name_of(const struct whereabouts *w, const void *thing)
{
    return map_get(&w->of_thing, 0, (uintptr_t)thing);
}

/* From the one name of a hop to the other, whichever way its circuit goes. */
static struct span hop_span(const struct run *r)
{
    struct span a = r->from_span, b = r->to_span;
    if (a.off > b.off) {
        a = r->to_span;
        b = r->from_span;
    }
    return (struct span){a.source, a.off, b.off + b.len - a.off};
}

const struct run *where_run_at(const struct whereabouts *w, const struct source *source,
                               uint32_t off, struct span *at)
{
    const struct model *m = w->c->model;
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *r = m->runs.at[i];
        struct span word = r->chain ? node_word_span(r->chain) : (struct span){0};
        if (word.source != source)
            continue;
        bool of_word = off >= word.off && off <= word.off + word.len;
        *at = hop_span(r);
        if (of_word || (off >= at->off && off < at->off + at->len))
            return r;
    }
    return NULL;
}

uint32_t where_name_count(const struct whereabouts *w)
{
    return w->names.n;
}

const struct where_name *where_name_by_id(const struct whereabouts *w, uint32_t id)
{
    return w->names.at[id];
}

struct where_spans where_definitions(struct arena *arena, const struct where_name *name)
{
    struct where_spans found = {0};
    for (uint32_t i = 0; i < name->statements.n; i++)
        *vec_push(arena, &found.spans) = name_span(name->statements.at[i], name->sort);
    if (!found.spans.n && name->sort == MENTION_FILE) {
        struct source *file = (struct source *)(uintptr_t)name->things.at[0];
        *vec_push(arena, &found.spans) = (struct span){file, 0, 0};
    } else if (!found.spans.n && name->sort == MENTION_LEG && name->places.n) {
        *vec_push(arena, &found.spans) = name->places.at[0].span; /* it is declared nowhere */
    }
    return found;
}

const char *where_sort_words(enum mention_sort sort)
{
    static const char *const words[MENTION_SORTS] = {
        [MENTION_LEVEL] = "level",
        [MENTION_ROOM] = "room",
        [MENTION_WALL] = "wall",
        [MENTION_ISLAND] = "island",
        [MENTION_BOX] = "box",
        [MENTION_PANEL] = "panel",
        [MENTION_CIRCUIT] = "circuit",
        [MENTION_LEG] = "leg",
        [MENTION_LOW_VOLTAGE] = "low-voltage cables",
        [MENTION_RUN] = "run",
        [MENTION_COIL] = "coil",
        [MENTION_UNIT] = "unit",
        [MENTION_BUILDING] = "building",
        [MENTION_GIVEN] = "given value",
        [MENTION_DEVICE] = "device",
        [MENTION_PART] = "part of a device",
        [MENTION_TERMINAL] = "terminal",
        [MENTION_CABLE] = "cable",
        [MENTION_RACEWAY] = "raceway",
        [MENTION_BOX_TYPE] = "box type",
        [MENTION_KIND] = "kind of room",
        [MENTION_EDITION] = "edition",
        [MENTION_LUMBER] = "lumber",
        [MENTION_TABLE] = "table",
        [MENTION_FIGURE] = "figure",
        [MENTION_RULE] = "rule",
        [MENTION_FILE] = "file",
    };
    return words[sort];
}
