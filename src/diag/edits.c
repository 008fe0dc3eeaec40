#include "diag/edits.h"

#include <string.h>

static int compare(const struct edit *a, const struct edit *b)
{
    if (a->source != b->source)
        return a->source->order != b->source->order ? (a->source->order < b->source->order ? -1 : 1)
               : a->source < b->source              ? -1
                                                    : 1;
    return a->off < b->off ? -1 : a->off > b->off;
}

/* Those of one mend are few. */
static void put_in_order(edit_list *edits)
{
    for (uint32_t i = 1; i < edits->n; i++) {
        struct edit e = edits->at[i];
        uint32_t k = i;
        for (; k && compare(&e, &edits->at[k - 1]) < 0; k--)
            edits->at[k] = edits->at[k - 1];
        edits->at[k] = e;
    }
}

bool edits_sort(edit_list *edits)
{
    put_in_order(edits);
    for (uint32_t i = 1; i < edits->n; i++) {
        const struct edit *a = &edits->at[i - 1], *b = &edits->at[i];
        if (a->source == b->source && a->off + a->gone > b->off)
            return false;
    }
    return true;
}

void edits_join(edit_list *edits)
{
    uint32_t kept = 0;
    put_in_order(edits);
    for (uint32_t i = 0; i < edits->n; i++) {
        struct edit e = edits->at[i], *last = kept ? &edits->at[kept - 1] : NULL;
        bool joins = last && last->source == e.source && !*last->text && !*e.text &&
                     last->off + last->gone > e.off;
        if (!joins)
            edits->at[kept++] = e;
        else if (e.off + e.gone > last->off + last->gone)
            last->gone = e.off + e.gone - last->off;
    }
    edits->n = kept;
}

bool edits_apart(const edit_list *a, const edit_list *b)
{
    for (uint32_t i = 0, k = 0; i < a->n && k < b->n;) {
        const struct edit *x = &a->at[i], *y = &b->at[k];
        if (x->source == y->source && x->off <= y->off + y->gone && y->off <= x->off + x->gone)
            return false;
        if (compare(x, y) < 0)
            i++;
        else
            k++;
    }
    return true;
}

void edits_apply(const edit_list *edits, const struct source *source, struct buf *out)
{
    uint32_t at = 0;
    for (uint32_t i = 0; i < edits->n; i++) {
        const struct edit *e = &edits->at[i];
        if (e->source != source)
            continue;
        buf_add(out, source->bytes + at, e->off - at);
        buf_puts(out, e->text);
        at = e->off + e->gone;
    }
    buf_add(out, source->bytes + at, source->size - at);
}

uint32_t edits_count(const edit_list *edits, const struct source *source)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < edits->n; i++)
        n += edits->at[i].source == source;
    return n;
}
