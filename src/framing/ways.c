#include "framing/ways.h"

#include "facts/closed.h"
#include "framing/bulks.h"
#include "framing/frame.h"
#include "framing/search.h"
#include "framing/search_work.h"

#include <stdlib.h>
#include <string.h>

/* Bytes that were met, with their number. */
struct met_text {
    struct met_text *next; /* of the same hash */
    const char *bytes;
    size_t size;
    uint64_t number;
};

struct known_way {
    struct known_way *next; /* of the same hash */
    const char *asked;
    size_t asked_size;
    bool found;
    length cost, path;
    uint32_t line_count, hop_count;
    uint32_t line_a, line_b;  /* of both ends, by place in `lines`; NO_INDEX: none */
    const uint64_t *lines;    /* numbers of those that the search came to, in the order of the
                                 frame */
    const struct hop *hops;   /* their lines by place in `lines` */
    const uint32_t *space_of; /* by hop: the number of its space; NO_INDEX: none */
};

/* --- what is compared --------------------------------------------------------------------- */

#define PUT(b, value) buf_add((b), &(value), sizeof(value))

static void put_flag(struct buf *b, bool flag)
{
    buf_putc(b, flag);
}

static void put_point(struct buf *b, struct point p)
{
    PUT(b, p.x);
    PUT(b, p.y);
}

static void put_place(struct buf *b, struct place3 p)
{
    PUT(b, p.x);
    PUT(b, p.y);
    PUT(b, p.z);
}

static void put_openings(struct buf *b, const struct skeleton *f, const struct line *l)
{
    PUT(b, l->opening_count);
    for (uint32_t i = 0; i < l->opening_count; i++) {
        const struct rough_opening *r = &f->openings[l->first_opening + i];
        PUT(b, r->lo);
        PUT(b, r->hi);
        PUT(b, r->sill);
        PUT(b, r->head);
        PUT(b, r->clear_left);
        PUT(b, r->clear_right);
    }
}

static void put_studs(struct buf *b, const struct skeleton *f, const struct line *l)
{
    PUT(b, l->stud_count);
    for (uint32_t i = 0; i < l->stud_count; i++) {
        const struct upright *u = &f->studs[l->first_stud + i];
        length half = frame_half_stud(u);
        PUT(b, u->at);
        PUT(b, half);
    }
}

/* In the order of their rooms: of a place the first counts. */
static void put_faces(struct buf *b, const struct skeleton *f, const struct line *l)
{
    PUT(b, l->face_count);
    for (uint32_t i = 0; i < l->face_count; i++) {
        const struct face *face = f->sorted[l->first_face + i];
        const struct level *level = face->room->level;
        uint32_t closed = facts_wall_closed_from(frame_wall_of(face));
        PUT(b, face->lo);
        PUT(b, face->hi);
        PUT(b, level->floor);
        PUT(b, level->bore);
        PUT(b, closed);
        put_flag(b, level->slab);
        put_flag(b, face->room->existing);
    }
}

static void put_joints(struct buf *b, const struct skeleton *f, const struct line *l)
{
    PUT(b, l->joint_count);
    for (uint32_t i = 0; i < l->joint_count; i++) {
        const struct turn *j = &f->joints[l->first_joint + i];
        PUT(b, j->at);
        PUT(b, j->studs);
        PUT(b, j->under);
        PUT(b, j->closed_from);
        put_flag(b, j->open);
        put_flag(b, j->but_bulks);
        put_flag(b, j->bay);
    }
}

/* A line by itself. */
static void put_line(struct buf *b, const struct skeleton *f, const struct line *l)
{
    PUT(b, l->storey);
    PUT(b, l->ux);
    PUT(b, l->uy);
    PUT(b, l->off);
    PUT(b, l->middle);
    PUT(b, l->lo);
    PUT(b, l->hi);
    put_flag(b, l->bare);
    put_faces(b, f, l);
    put_openings(b, f, l);
    put_studs(b, f, l);
    put_joints(b, f, l);
}

/* The joints of other lines that those of a line lead to; `alone`: numbers of the lines by
 * themselves. False where one of these is not told apart. */
static bool put_partners(struct buf *b, const struct skeleton *f, const struct line *l,
                         const uint64_t *alone)
{
    bool told = true;
    for (uint32_t i = 0; i < l->joint_count; i++) {
        uint32_t partner = f->joints[l->first_joint + i].partner;
        uint64_t other[2] = {0};
        if (partner != NO_INDEX) {
            uint32_t line = f->joints[partner].line;
            other[0] = alone[line];
            other[1] = partner - f->lines[line].first_joint;
            told &= alone[line] != 0;
        }
        PUT(b, other);
    }
    return told;
}

static void put_common(struct buf *b, const struct skeleton *f)
{
    PUT(b, f->figures.least_bay);
    PUT(b, f->figures.clear);
    put_flag(b, f->slanted);
    put_flag(b, f->any_closed);
    put_flag(b, f->bulks != NULL);
    if (!f->bulks)
        return;
    put_point(b, f->low);
    put_point(b, f->high);
    bulks_describe(f->bulks, b);
}

static void put_spot(struct buf *b, const struct spot *s)
{
    int where = (int)s->where;
    put_place(b, s->at);
    PUT(b, s->storey);
    PUT(b, where);
    PUT(b, s->t);
    PUT(b, s->room->drop);
    put_flag(b, s->board);
    put_flag(b, s->line != NO_INDEX);
}

static void put_space(struct buf *b, const struct space *s)
{
    PUT(b, s->joists.lumber.thickness);
    PUT(b, s->joists.lumber.depth);
    PUT(b, s->joists.spacing);
    put_point(b, s->corner);
    PUT(b, s->face);
    PUT(b, s->z);
    put_flag(b, s->joists.lumber.engineered);
    put_flag(b, s->joists.lumber.open);
    put_flag(b, s->joists.running_north);
    put_flag(b, s->slab);
}

static void put_question(struct buf *b, const struct known_ways *k, const struct question *q)
{
    const struct prices *p = &q->prices;
    PUT(b, k->common);
    put_spot(b, &q->a);
    put_spot(b, &q->b);
    PUT(b, p->hole);
    PUT(b, p->plate);
    PUT(b, p->engineered);
    PUT(b, p->closed);
    PUT(b, p->hung_by);
    PUT(b, q->world);
    PUT(b, q->clear);
    PUT(b, q->first_space);
    put_space(b, &q->spaces[q->first_space]);
    put_flag(b, q->walls);
    put_flag(b, q->across);
    put_flag(b, q->surface);
    put_flag(b, q->through);
    put_flag(b, q->bend_at_b);
}

/* --- numbers ------------------------------------------------------------------------------ */

static struct met_text *text_met(const struct ways_met *in, uint64_t hash, const struct buf *b)
{
    struct met_text *t = map_get(&in->texts, hash, 1);
    while (t && (t->size != b->n || memcmp(t->bytes, b->at, b->n) != 0))
        t = t->next;
    return t;
}

/* The number of the bytes at hand: equal for equal bytes. */
static uint64_t number_text(struct known_ways *k)
{
    uint64_t hash = map_hash_bytes(k->text.at, k->text.n);
    struct met_text *now = text_met(&k->now, hash, &k->text);
    if (now)
        return now->number;
    const struct met_text *before = text_met(&k->before, hash, &k->text);
    now = arena_new(&k->now.arena, struct met_text);
    now->bytes = arena_copy(&k->now.arena, k->text.at, k->text.n);
    now->size = k->text.n;
    now->number = before ? before->number : ++k->numbers;
    void **first = map_at(&k->now.arena, &k->now.texts, hash, 1);
    now->next = *first;
    *first = now;
    return now->number;
}

/* Takes the number from lines that have one together. */
static void take_doubles(struct known_ways *k, struct arena *scratch, uint64_t *numbers)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < k->frame->line_count; i++) {
        if (!numbers[i])
            continue;
        void **at = map_at(scratch, &seen, numbers[i], 1);
        uint32_t first = (uint32_t)(uintptr_t)*at;
        if (first)
            numbers[i] = numbers[first - 1] = 0;
        else
            *at = (void *)(uintptr_t)(i + 1);
    }
}

void ways_begin_frame(struct known_ways *k, struct arena *scratch, const struct skeleton *f)
{
    uint64_t *alone = arena_array(scratch, uint64_t, f->line_count + 1);
    k->frame = f;
    k->number_of = arena_array(scratch, uint64_t, f->line_count + 1);
    k->line_of = (struct map){0};
    k->text.n = 0;
    put_common(&k->text, f);
    k->common = number_text(k);
    for (uint32_t i = 0; i < f->line_count; i++) {
        k->text.n = 0;
        put_line(&k->text, f, &f->lines[i]);
        alone[i] = number_text(k);
    }
    take_doubles(k, scratch, alone);
    for (uint32_t i = 0; i < f->line_count; i++) {
        k->text.n = 0;
        PUT(&k->text, alone[i]);
        if (put_partners(&k->text, f, &f->lines[i], alone) && alone[i])
            k->number_of[i] = number_text(k);
    }
    for (uint32_t i = 0; i < f->line_count; i++)
        if (k->number_of[i])
            map_put(scratch, &k->line_of, k->number_of[i], 1, (void *)(uintptr_t)(i + 1));
}

/* --- ways --------------------------------------------------------------------------------- */

static uint32_t line_now(const struct known_ways *k, const struct known_way *w, uint32_t place)
{
    return place == NO_INDEX ? NO_INDEX
                             : (uint32_t)(uintptr_t)map_get(&k->line_of, w->lines[place], 1) - 1;
}

/* Whether the lines that the search came to are all there, in their order, with the ends on them.
 */
static bool still_holds(const struct known_ways *k, const struct known_way *w,
                        const struct question *q)
{
    uint32_t before = 0; /* + 1 */
    for (uint32_t i = 0; i < w->line_count; i++) {
        uint32_t line = (uint32_t)(uintptr_t)map_get(&k->line_of, w->lines[i], 1);
        if (line <= before)
            return false;
        before = line;
    }
    return line_now(k, w, w->line_a) == q->a.line && line_now(k, w, w->line_b) == q->b.line;
}

static void add_known(struct ways_met *to, uint64_t hash, struct known_way *w)
{
    void **first = map_at(&to->arena, &to->ways, hash, 1);
    w->next = *first;
    *first = w;
}

static const void *copied(struct arena *a, const void *from, size_t size)
{
    void *to = arena_alloc(a, size ? size : 1);
    if (size)
        memcpy(to, from, size);
    return to;
}

/* One that was known before stays so for the next time. */
static void take_along(struct known_ways *k, uint64_t hash, const struct known_way *from)
{
    struct arena *a = &k->now.arena;
    struct known_way *w = arena_new(a, struct known_way);
    *w = *from;
    w->asked = copied(a, from->asked, from->asked_size);
    w->lines = copied(a, from->lines, from->line_count * sizeof *from->lines);
    w->hops = copied(a, from->hops, from->hop_count * sizeof *from->hops);
    w->space_of = copied(a, from->space_of, from->hop_count * sizeof *from->space_of);
    add_known(&k->now, hash, w);
}

static const struct known_way *way_known(const struct known_ways *k, const struct ways_met *in,
                                         uint64_t hash, const struct question *q)
{
    const struct known_way *w = map_get(&in->ways, hash, 1);
    while (w && (w->asked_size != k->text.n || memcmp(w->asked, k->text.at, k->text.n) != 0 ||
                 !still_holds(k, w, q)))
        w = w->next;
    return w;
}

static void write_known(const struct known_ways *k, struct arena *arena, const struct known_way *w,
                        const struct question *q, struct way *way)
{
    way->found = w->found;
    way->cost = w->cost;
    way->path = w->path;
    way->hops.n = 0;
    for (uint32_t i = 0; i < w->hop_count; i++) {
        struct hop *h = vec_push(arena, &way->hops);
        *h = w->hops[i];
        h->line = line_now(k, w, h->line);
        h->other = h->kind == HOP_CORNER ? line_now(k, w, h->other) : 0;
        h->space = w->space_of[i] == NO_INDEX ? NULL : &q->spaces[w->space_of[i]];
    }
}

/* Whether a question is one that is kept. */
static bool is_plain(const struct question *q)
{
    return !q->across || q->first_space == q->last_space;
}

bool ways_recall(struct known_ways *k, struct arena *arena, const struct question *q,
                 struct way *way)
{
    if (!is_plain(q))
        return false;
    k->text.n = 0;
    put_question(&k->text, k, q);
    uint64_t hash = map_hash_bytes(k->text.at, k->text.n);
    const struct known_way *w = way_known(k, &k->now, hash, q);
    if (!w) {
        w = way_known(k, &k->before, hash, q);
        if (w)
            take_along(k, hash, w);
    }
    if (w)
        write_known(k, arena, w, q, way);
    return w != NULL;
}

static int by_number(const void *va, const void *vb)
{
    uint32_t a = *(const uint32_t *)va, b = *(const uint32_t *)vb;
    return (a > b) - (a < b);
}

static uint32_t place_of(const uint32_t *lines, uint32_t n, uint32_t line)
{
    uint32_t i = 0;
    while (i < n && lines[i] != line)
        i++;
    return i < n ? i : NO_INDEX;
}

/* The numbers of the lines that the search came to; NULL where one is not told apart. */
static const uint64_t *numbers_of(struct known_ways *k, const uint32_t *lines, uint32_t n)
{
    uint64_t *numbers = arena_array(&k->now.arena, uint64_t, n + 1);
    for (uint32_t i = 0; i < n; i++) {
        numbers[i] = k->number_of[lines[i]];
        if (!numbers[i])
            return NULL;
    }
    return numbers;
}

/* False where a hop lies in a line that is none of them. */
static bool keep_hops(struct known_ways *k, struct known_way *w, const uint32_t *lines,
                      const struct question *q, const struct way *way)
{
    bool all = true;
    struct hop *hops = arena_array(&k->now.arena, struct hop, way->hops.n + 1);
    uint32_t *spaces = arena_array(&k->now.arena, uint32_t, way->hops.n + 1);
    for (uint32_t i = 0; i < way->hops.n; i++) {
        const struct hop *h = &way->hops.at[i];
        hops[i] = *h;
        hops[i].line = h->line == NO_INDEX ? NO_INDEX : place_of(lines, w->line_count, h->line);
        hops[i].other = h->kind == HOP_CORNER ? place_of(lines, w->line_count, h->other) : 0;
        all &= h->line == NO_INDEX || hops[i].line != NO_INDEX;
        all &= hops[i].other != NO_INDEX;
        hops[i].space = NULL;
        spaces[i] = h->space ? (uint32_t)(h->space - q->spaces) : NO_INDEX;
    }
    w->hops = hops;
    w->space_of = spaces;
    w->hop_count = way->hops.n;
    return all;
}

void ways_keep(struct known_ways *k, const struct search *s, const struct question *q,
               const struct way *way)
{
    if (!is_plain(q))
        return;
    uint32_t n = s->lines.n, *lines = s->lines.at;
    if (n > 1)
        qsort(lines, n, sizeof *lines, by_number);
    const uint64_t *numbers = numbers_of(k, lines, n);
    if (!numbers)
        return;
    k->text.n = 0;
    put_question(&k->text, k, q);
    struct known_way *w = arena_new(&k->now.arena, struct known_way);
    *w = (struct known_way){.asked = copied(&k->now.arena, k->text.at, k->text.n),
                            .asked_size = k->text.n,
                            .found = way->found,
                            .cost = way->cost,
                            .path = way->path,
                            .line_count = n,
                            .line_a = place_of(lines, n, q->a.line),
                            .line_b = place_of(lines, n, q->b.line),
                            .lines = numbers};
    if (keep_hops(k, w, lines, q, way))
        add_known(&k->now, map_hash_bytes(k->text.at, k->text.n), w);
}

/* --- from one compilation to the next ----------------------------------------------------- */

void ways_turn(struct known_ways *k, struct arena_way_out *out)
{
    arena_free_into(&k->before.arena, out->pool);
    k->before = k->now;
    k->now = (struct ways_met){.arena = {.out_of_memory = out}};
}

void ways_free(struct known_ways *k)
{
    arena_free(&k->before.arena);
    arena_free(&k->now.arena);
    buf_free(&k->text);
    *k = (struct known_ways){0};
}
