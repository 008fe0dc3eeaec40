#include "draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const char *plan_sort_word(enum plan_sort sort)
{
    static const char *const words[PLAN_SORT_COUNT] = {"clean", "bold", "damaged"};
    return words[sort];
}

static void free_draft(struct draft *d)
{
    for (unsigned i = 0; i < d->room_count; i++)
        buf_free(&d->rooms[i].words);
    for (unsigned i = 0; i < d->box_count; i++) {
        buf_free(&d->boxes[i].words);
        buf_free(&d->boxes[i].devices);
    }
    for (unsigned i = 0; i < d->circuit_count; i++)
        buf_free(&d->circuits[i].words);
    for (unsigned i = 0; i < d->panel_count; i++)
        buf_free(&d->panels[i].words);
    struct buf *const all[] = {&d->plan,        &d->level_words, &d->definitions, &d->legs_said,
                               &d->low_voltage, &d->ends,        &d->log,         &d->more_rooms};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        buf_free(all[i]);
    free(d);
}

/* Most plans are small: they are many in the same time, and what fails in them is soon read. */
static unsigned size_by_seed(uint64_t *state)
{
    unsigned share = pick(state, 100);
    return share < 70   ? 1 + pick(state, 12)
           : share < 95 ? 10 + pick(state, 40)
                        : 1 + pick(state, 300);
}

enum { DWELLINGS = 4 }; /* whole houses among the plans, in percent: they are large */

void plan_make(struct plan_text *out, enum plan_sort sort, uint64_t seed, unsigned boxes)
{
    struct draft *d = calloc(1, sizeof *d);
    d->state = seed * PLAN_SORT_COUNT + sort;
    d->bold = sort == PLAN_BOLD || (sort == PLAN_DAMAGED && chance(&d->state, 30));
    if (!boxes && !d->bold && chance(&d->state, DWELLINGS)) {
        draft_dwelling(d, &out->plan);
    } else {
        boxes = boxes ? boxes : size_by_seed(&d->state);
        draft_draw_up(d, boxes < MOST_PLAN_BOXES ? boxes : MOST_PLAN_BOXES);
        draft_write(d, out);
    }
    if (sort == PLAN_DAMAGED)
        plan_damage(&out->plan, random_number(&d->state));
    free_draft(d);
}

static bool write_one(const char *folder, const char *name, const struct buf *text)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    if (!text->n) {
        unlink(path);
        return true;
    }
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    bool whole = fwrite(text->at, 1, text->n, f) == text->n;
    return fclose(f) == 0 && whole;
}

bool plan_write(const struct plan_text *t, const char *folder)
{
    return write_one(folder, "plan.bay", &t->plan) && write_one(folder, "more.bay", &t->include) &&
           write_one(folder, "plan.log", &t->log);
}

void plan_free(struct plan_text *t)
{
    buf_free(&t->plan);
    buf_free(&t->include);
    buf_free(&t->log);
}
