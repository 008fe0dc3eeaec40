/* The text of a plan: laid out, and with what was worked out written into it. */
#include "libstudbay/handle.h"

#include "fmt/fmt.h"
#include "settle/settle.h"

#include <string.h>

/* A fault of its form is one finding more. */
static enum studbay_status write_formatted(struct studbay_plan *plan, const void *with,
                                           struct buf *out)
{
    (void)with;
    struct diag *d = &plan->c.diag;
    if (!plan->form)
        return STUDBAY_NOTHING;
    bool whole = fmt_source(d, &plan->c.arena, plan->form, out);
    diag_finish(d);
    plan->findings = (struct handle_list){0};
    handle_count(plan);
    return whole ? STUDBAY_DONE : STUDBAY_NOT_LAID_OUT;
}

enum studbay_status studbay_write_formatted(struct studbay_plan *plan, struct studbay_writer writer)
{
    return handle_call(plan, write_formatted, NULL, &writer);
}

/* --- settling ----------------------------------------------------------------------------- */

struct asked {
    const char *sorts; /* NULL: the usual ones */
    size_t source;
};

/* The sorts that are named, parted by commas; 0, with the reason, where one is none. */
static unsigned read_sorts(struct studbay_plan *plan, const char *named)
{
    if (!named)
        return SETTLE_USUAL;
    unsigned sorts = 0;
    for (const char *at = named, *end; at; at = *end ? end + 1 : NULL) {
        end = at + strcspn(at, ",");
        const char *word = arena_copy(&plan->c.arena, at, (size_t)(end - at));
        uint32_t sort = 0;
        while (sort < SETTLE_SORTS && strcmp(settle_words[sort], word) != 0)
            sort++;
        if (sort == SETTLE_SORTS) {
            handle_refuse_unknown(plan, "sort of thing to be settled", word, settle_words,
                                  SETTLE_SORTS);
            return 0;
        }
        sorts |= 1u << sort;
    }
    return sorts;
}

static enum studbay_status write_settled(struct studbay_plan *plan, const void *with,
                                         struct buf *out)
{
    const struct asked *asked = with;
    struct compilation *c = &plan->c;
    struct results *r;
    enum studbay_status status;
    unsigned sorts = read_sorts(plan, asked->sorts);
    if (!sorts)
        return STUDBAY_NO_SUCH;
    if (!handle_proven(plan, false, &r, &status))
        return status;
    if (c->diag.counts[ERROR] || asked->source >= c->source_count)
        return STUDBAY_NOTHING;
    const struct settled *s =
        settle(&c->arena, c->model, c->routes, c->wiring, c->panels, c->log, sorts);
    settle_write(s, c->sources[asked->source], out);
    return STUDBAY_DONE;
}

enum studbay_status studbay_write_settled(struct studbay_plan *plan, const char *sorts,
                                          size_t source, struct studbay_writer writer)
{
    struct asked asked = {sorts, source};
    return handle_call(plan, write_settled, &asked, &writer);
}
