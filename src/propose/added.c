#include "propose/added.h"

#include "model/model.h"
#include "model/site.h"
#include "resolve/node.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

static const char *height_words(struct arena *arena, const struct place *p, bool usual)
{
    return usual ? "" : arena_printf(arena, " up %s", length_inch_words(arena, p->up));
}

const char *added_where(struct arena *arena, const struct room *r, const struct place *p,
                        bool usual_height)
{
    if (p->where != ON_WALL)
        return arena_printf(arena, "%s at %s, %s", p->where == OVERHEAD ? "overhead" : "floor",
                            length_words(arena, p->at.x - r->low.x),
                            length_words(arena, p->at.y - r->low.y));
    const struct wall *w = &r->walls[p->wall];
    length at = w->mirrored ? w->length - p->from_left : p->from_left;
    return arena_printf(arena, "%s at %s%s", w->written, length_words(arena, at),
                        height_words(arena, p, usual_height));
}

/* --- names -------------------------------------------------------------------------------- */

/* How long the letters of a name like "R12" are; 0 where it is none. */
static size_t letters_of(const char *name)
{
    size_t n = strlen(name), end = n;
    while (n && isdigit((unsigned char)name[n - 1]))
        n--;
    return n < end ? n : 0;
}

static bool is_same_place(const struct node *a, const struct node *b)
{
    return a->source == b->source && a->first == b->first;
}

/* Whether a room has the text, or is based on it. */
static bool is_of_text(const struct room *r, const struct node *text)
{
    for (const struct node *n = r->node; n; n = n->base)
        if (is_same_place(n, text))
            return true;
    return false;
}

bool added_shares_text(const struct room *a, const struct room *b)
{
    return is_of_text(a, b->node) || is_of_text(b, a->node);
}

/* The number of a name with these letters; 0 where it has others. */
static unsigned long number_of(const char *name, const char *letters)
{
    size_t n = strlen(letters);
    return letters_of(name) == n && !strncmp(name, letters, n) ? strtoul(name + n, NULL, 10) : 0;
}

/* The letters that most of these boxes have; of two as many the first by the alphabet. */
static const char *usual_letters(struct arena *arena, const struct room *r, alike_fn *alike,
                                 const char *else_)
{
    const char *best = NULL;
    uint32_t most = 0;
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct box *b = r->boxes.at[i];
        size_t len = letters_of(b->name);
        uint32_t n = 0;
        if (!alike(b) || !len)
            continue;
        const char *own = arena_copy(arena, b->name, len);
        for (uint32_t k = 0; k < r->boxes.n; k++)
            n += alike(r->boxes.at[k]) && number_of(r->boxes.at[k]->name, own) > 0;
        if (n > most || (n == most && best && strcmp(own, best) < 0)) {
            best = own;
            most = n;
        }
    }
    return best ? best : else_;
}

const char *added_name(struct arena *arena, const struct compilation *c, const struct room *r,
                       const added_list *list, alike_fn *alike, const char *letters)
{
    const struct model *m = c->model;
    unsigned long last = 0;
    letters = usual_letters(arena, r, alike, letters);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (uint32_t k = 0; is_of_text(m->rooms.at[i], r->node) && k < m->rooms.at[i]->boxes.n;
             k++) {
            unsigned long n = number_of(m->rooms.at[i]->boxes.at[k]->name, letters);
            last = n > last ? n : last;
        }
    for (uint32_t i = 0; i < list->n; i++) {
        const struct room *other = m->rooms.at[list->at[i].room];
        unsigned long n = added_shares_text(other, r) ? number_of(list->at[i].name, letters) : 0;
        last = n > last ? n : last;
    }
    return arena_printf(arena, "%s%lu", letters, last + 1);
}

/* --- statements --------------------------------------------------------------------------- */

bool added_is_first(const struct model *m, const struct room *r)
{
    if (r->node->base)
        return false;
    for (uint32_t i = 0; i < r->id; i++)
        if (is_same_place(m->rooms.at[i]->node, r->node))
            return false;
    return true;
}

/* The last box of a room in its own text that is alike; NULL: none. */
static const struct node *last_alike(const struct room *r, alike_fn *alike)
{
    const struct node *last = NULL;
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct node *n = r->boxes.at[i]->node;
        if (alike(r->boxes.at[i]) && n->form == F_BOX && n->parent &&
            is_same_place(n->parent, r->node) && (!last || n->first > last->first))
            last = n;
    }
    return last;
}

void added_write(struct editing e, const struct compilation *c, const added_list *list,
                 alike_fn *alike)
{
    for (uint32_t i = 0; i < list->n; i++) {
        const struct added *a = &list->at[i];
        const struct room *r = c->model->rooms.at[a->room];
        const struct node *behind = last_alike(r, alike);
        const char *text = arena_printf(e.arena, "box %s %s { %s }", a->name, a->where, a->holds);
        if (behind)
            edit_behind(e, behind, text);
        else
            edit_in_block(e, r->node, text);
    }
}
