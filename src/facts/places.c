#include "facts/places.h"

#include "facts/rooms.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

#include <string.h>

/* Under a roof a place that would be wet is damp. */
static enum answer in_list(struct model *m, const struct room *r, struct use use,
                           enum book_table list)
{
    bool roofed = r->covered && facts_use_in_list(m, use, LIST_WET_LOCATIONS);
    if (roofed ? list == LIST_DAMP_LOCATIONS : facts_use_in_list(m, use, list))
        return ANSWER_YES;
    return facts_known(r, ITS_KINDS) ? ANSWER_NO : ANSWER_UNKNOWN;
}

enum answer facts_is_wet(struct model *m, const struct box *b)
{
    return in_list(m, b->room, facts_use_of_box(b), LIST_WET_LOCATIONS);
}

enum answer facts_gets_damp(struct model *m, const struct box *b)
{
    struct use use = facts_use_of_box(b);
    for (uint32_t i = 0; i < use.count; i++)
        if (use.kinds[i]->wet)
            return ANSWER_YES;
    return in_list(m, b->room, use, LIST_DAMP_LOCATIONS);
}

enum answer facts_is_weathered(struct model *m, const struct box *b)
{
    enum answer wet = facts_is_wet(m, b);
    return wet == ANSWER_NO ? in_list(m, b->room, facts_use_of_box(b), LIST_DAMP_LOCATIONS) : wet;
}

static bool end_lies_in(struct model *m, struct end e, enum book_table list)
{
    const struct room *r = e.panel ? e.panel->room : NULL;
    if (e.box)
        return in_list(m, e.box->room, facts_use_of_box(e.box), list) == ANSWER_YES;
    return r && in_list(m, r, facts_use_of_panel(e.panel), list) == ANSWER_YES;
}

/* Whether a run lies in a place of the list. */
static bool lies_in(struct model *m, const struct run *r, enum book_table list)
{
    bool from = end_lies_in(m, r->from, list), to = end_lies_in(m, r->to, list);
    return (from && to) || (r->exposed && (from || to));
}

static void ask(struct places *p, const char *word, const char *why)
{
    p->word[p->count] = word;
    p->why[p->count++] = why;
}

struct places facts_run_places(struct model *m, const struct run *r)
{
    struct places p = {0};
    if (r->underground)
        ask(&p, "underground", "laid underground");
    if (r->strung)
        ask(&p, "overhead", "strung overhead");
    if (lies_in(m, r, LIST_WET_LOCATIONS))
        ask(&p, "wet", "in a wet place");
    else if (lies_in(m, r, LIST_DAMP_LOCATIONS))
        ask(&p, "damp", "in a damp place");
    if (r->exposed)
        ask(&p, "exposed", "exposed");
    if (!p.count)
        ask(&p, "dry", "laid indoors");
    return p;
}

/* What says nothing of where it may lie is taken for indoors. */
bool facts_cable_suits(const struct cable_def *cable, const char *word)
{
    if (!cable->suits_count)
        return !strcmp(word, "dry");
    for (uint8_t i = 0; i < cable->suits_count; i++)
        if (!strcmp(cable->suits[i], word))
            return true;
    return false;
}

bool facts_cable_suits_all(const struct cable_def *cable, const struct places *places)
{
    for (uint8_t i = 0; i < places->count; i++)
        if (!facts_cable_suits(cable, places->word[i]))
            return false;
    return true;
}

const struct cable_def *facts_suited_cable(struct model *m, const struct run *r,
                                           const struct cable_def *cable)
{
    struct places places = facts_run_places(m, r);
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        const struct cable_def *other = m->lib->cable_list.at[i];
        bool like = other->power && other->size && other->gauge == cable->gauge &&
                    other->metal == cable->metal && other->conductors == cable->conductors;
        if (like && other->whites == cable->whites && facts_cable_suits_all(other, &places))
            return other;
    }
    return NULL;
}
