/* The way that current takes, for a person who has to find the place: from box to box, by which
 * conductor. Made only when something failed. */
#include "prove/proof.h"

#include <string.h>

/* A way from one element to another of a joint: by being in it, along a conductor, through a
 * contact or link. */
struct hop {
    uint32_t to, next; /* next: index + 1 */
    uint32_t wire;     /* NO_ELEMENT: no conductor */
};

/* Made once for a proof, since what fails once mostly fails at several places. */
struct path_finder {
    const struct proof *p;
    uint32_t *first; /* by knot: hop + 1 */
    VEC(struct hop)
    hops; /* in pairs, there and back: by wire and by link in every position, behind them by contact
             in the one that is asked for */
    const struct joint **joint; /* by knot: the joint that it is, or NULL */
    const char **joint_words;   /* by knot, and by wire: what was told of it before, or NULL */
    const char **wire_words;
};

static void add_hop(struct path_finder *f, uint32_t a, uint32_t b, uint32_t wire)
{
    uint32_t ends[2] = {f->p->g->knot[a], f->p->g->knot[b]};
    for (int i = 0; i < 2; i++) {
        *vec_push(f->p->arena, &f->hops) = (struct hop){ends[!i], f->first[ends[i]], wire};
        f->first[ends[i]] = f->hops.n;
    }
}

static void take_back_hops(struct path_finder *f, uint32_t count)
{
    while (f->hops.n > count) {
        const struct hop *h = &f->hops.at[--f->hops.n], *back = &f->hops.at[f->hops.n ^ 1];
        f->first[back->to] = h->next;
    }
}

static struct path_finder *finder_of(struct proof *p)
{
    const struct graph *g = p->g;
    if (p->finder)
        return p->finder;
    struct path_finder *f = p->finder = arena_new(p->arena, struct path_finder);
    *f = (struct path_finder){.p = p};
    f->first = arena_array(p->arena, uint32_t, g->knot_count + 1);
    f->joint = arena_array(p->arena, const struct joint *, g->knot_count + 1);
    f->joint_words = arena_array(p->arena, const char *, g->knot_count + 1);
    f->wire_words = arena_array(p->arena, const char *, g->wire_count + 1);
    for (uint32_t w = 0; w < g->wire_count; w++)
        add_hop(f, graph_end_element(g, w, false), graph_end_element(g, w, true), w);
    for (uint32_t i = 0; i < g->links.n; i++)
        add_hop(f, g->links.at[i].in, g->links.at[i].out, NO_ELEMENT);
    for (uint32_t j = 0; j < g->k->joints.n; j++)
        f->joint[g->knot[j]] = &g->k->joints.at[j];
    return f;
}

static void add_contacts(struct path_finder *f, const uint8_t *at)
{
    const struct graph *g = f->p->g;
    for (uint32_t i = 0; at && i < g->switches.n; i++) {
        const uint32_t *contact = g->switches.at[i].contacts[at[i]];
        for (int c = 0; c < 4; c += 2)
            if (contact[c] != NO_ELEMENT)
                add_hop(f, contact[c], contact[c + 1], NO_ELEMENT);
    }
}

static const char *joint_words(const struct path_finder *f, uint32_t knot)
{
    static const char *const kinds[] = {[JOINT_SPLICE] = "splice",
                                        [JOINT_LANDING] = "landing",
                                        [JOINT_CAP] = "cap",
                                        [JOINT_PASS] = "uncut conductor",
                                        [JOINT_PANEL] = "end"};
    const struct joint *j = f->joint[knot];
    if (!j)
        return "loose end";
    if (f->joint_words[knot])
        return f->joint_words[knot];
    const char *where = j->box     ? address_of_box(f->p->arena, j->box, false)
                        : j->panel ? address_of_panel(f->p->arena, j->panel, false)
                                   : "a panel";
    return f->joint_words[knot] = arena_printf(f->p->arena, "%s in %s", kinds[j->kind], where);
}

static const char *hop_words(const struct path_finder *f, const struct hop *h)
{
    const struct graph *g = f->p->g;
    if (h->wire == NO_ELEMENT)
        return "through its device";
    if (f->wire_words[h->wire])
        return f->wire_words[h->wire];
    const struct wire *w = &g->wires[h->wire];
    const char *color = graph_wire_color(g, w);
    return f->wire_words[h->wire] = arena_printf(f->p->arena, "%s of run %s", color,
                                                 address_of_run(f->p->arena, w->run, false));
}

typedef VEC(const char *) word_list;

/* The words with commas between, the last first. */
static const char *join_backwards(struct arena *a, const word_list *words)
{
    size_t len = 0;
    for (uint32_t i = 0; i < words->n; i++)
        len += strlen(words->at[i]) + 2;
    char *text = arena_alloc(a, len + 1), *at = text;
    for (uint32_t i = words->n; i--;) {
        at = stpcpy(at, words->at[i]);
        if (i)
            at = stpcpy(at, ", ");
    }
    return text;
}

/* The hops from the start to `end`, told in order. */
static const char *tell(const struct path_finder *f, const uint32_t *came, uint32_t start,
                        uint32_t end)
{
    word_list words = {0};
    *vec_push(f->p->arena, &words) = joint_words(f, end);
    while (end != start) {
        const struct hop *h = &f->hops.at[came[end] - 1];
        const struct hop *back = &f->hops.at[(came[end] - 1) ^ 1];
        end = back->to;
        *vec_push(f->p->arena, &words) = hop_words(f, h);
        *vec_push(f->p->arena, &words) = joint_words(f, end);
    }
    return join_backwards(f->p->arena, &words);
}

const char *path_words(struct proof *p, uint32_t from, uint32_t to, const uint8_t *at)
{
    if (p->v->failures.n >= MOST_FAILURES)
        return NULL;
    struct path_finder *f = finder_of(p);
    uint32_t knots = p->g->knot_count, head = 0, n = 0, lasting = f->hops.n;
    add_contacts(f, at);
    uint32_t *came = arena_array(p->arena, uint32_t, knots + 1),
             *queue = arena_array(p->arena, uint32_t, knots + 1);
    bool *seen = arena_array(p->arena, bool, knots + 1);
    uint32_t start = p->g->knot[from], goal = to == NO_ELEMENT ? NO_ELEMENT : p->g->knot[to];
    seen[start] = true;
    queue[n++] = start;
    for (; head < n && queue[head] != goal; head++)
        for (uint32_t i = f->first[queue[head]]; i; i = f->hops.at[i - 1].next) {
            uint32_t next = f->hops.at[i - 1].to;
            if (seen[next])
                continue;
            seen[next] = true;
            came[next] = i;
            queue[n++] = next;
        }
    bool arrived = goal == NO_ELEMENT || head < n;
    const char *words =
        arrived ? tell(f, came, start, goal != NO_ELEMENT ? goal : queue[n - 1]) : NULL;
    take_back_hops(f, lasting);
    return words;
}
