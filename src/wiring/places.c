#include "wiring/places.h"

#include <string.h>

static const struct room *room_of(struct end e)
{
    return e.box ? e.box->room : e.panel ? e.panel->room : NULL;
}

static bool in_list(struct model *m, const struct room *r, enum book_table list)
{
    for (uint8_t i = 0; r && i < r->kind_count; i++)
        if (code_list_has_kind(&m->code, list, r->kinds[i]))
            return true;
    return false;
}

/* Whether a run lies in a place of the list. */
static bool lies_in(struct model *m, const struct run *r, enum book_table list)
{
    bool from = in_list(m, room_of(r->from), list), to = in_list(m, room_of(r->to), list);
    return (from && to) || (r->exposed && (from || to));
}

static void ask(struct places *p, const char *word, const char *why)
{
    p->word[p->count] = word;
    p->why[p->count++] = why;
}

struct places run_places(struct model *m, const struct run *r)
{
    struct places p = {0};
    if (r->underground)
        ask(&p, "underground", "laid underground");
    if (lies_in(m, r, LIST_WET_LOCATIONS))
        ask(&p, "wet", "in a wet place");
    else if (lies_in(m, r, LIST_DAMP_LOCATIONS))
        ask(&p, "damp", "in a damp place");
    if (r->exposed)
        ask(&p, "exposed", "exposed");
    return p;
}

bool cable_suits(const struct cable_def *cable, const char *word)
{
    for (uint8_t i = 0; i < cable->suits_count; i++)
        if (!strcmp(cable->suits[i], word))
            return true;
    return false;
}

bool cable_suits_all(const struct cable_def *cable, const struct places *places)
{
    for (uint8_t i = 0; i < places->count; i++)
        if (!cable_suits(cable, places->word[i]))
            return false;
    return true;
}

const struct cable_def *suited_cable(struct model *m, const struct run *r,
                                     const struct cable_def *cable)
{
    struct places places = run_places(m, r);
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        const struct cable_def *other = m->lib->cable_list.at[i];
        bool like = other->power && other->size && other->gauge == cable->gauge &&
                    other->metal == cable->metal && other->conductors == cable->conductors;
        if (like && other->whites == cable->whites && cable_suits_all(other, &places))
            return other;
    }
    return NULL;
}
