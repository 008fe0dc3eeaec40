#include "emit/unchecked.h"

#include "diag/diag.h"
#include "model/address.h"
#include "model/model.h"
#include "prove/prove.h"

static void part(struct buf *b, const char *words)
{
    buf_printf(b, "%s%s", b->n ? "; " : "", words);
}

const char *unchecked_spot_words(struct arena *arena, const struct blind_spot *spot,
                                 const char *thing)
{
    return arena_printf(arena, "%s %s%s%s", spot->before, thing, *spot->after ? " " : "",
                        spot->after);
}

/* "the shelves of closet", "the shelves of closet and 2 more". */
static void add_spots(struct arena *arena, const struct diag *diag, struct buf *b)
{
    for (uint32_t i = 0; i < blind_spot_count; i++) {
        blind_things things = diag_blind_things(diag, blind_spot_list[i]);
        if (things.n)
            part(b, unchecked_spot_words(arena, blind_spot_list[i],
                                         things.n == 1 ? things.at[0]
                                                       : arena_printf(arena, "%s and %u more",
                                                                      things.at[0], things.n - 1)));
    }
}

/* What a proof was too large for. */
static void add_unproven(struct arena *arena, const struct verdict *v, struct buf *b)
{
    const struct proven_circuit *first = NULL;
    uint32_t n = 0;
    for (uint32_t i = 0; i < v->circuit_count; i++)
        if (v->circuits[i].beyond_limit && !n++)
            first = &v->circuits[i];
    if (!n)
        return;
    const char *more = n == 1 ? "" : arena_printf(arena, " and %u more", n - 1);
    part(b, arena_printf(arena, "the make-up of circuit %s: %s%s",
                         address_called_as_written(arena, first->circuit, true), first->left_out,
                         more));
}

const char *unchecked_words(struct arena *arena, const struct diag *diag,
                            const struct verdict *verdict)
{
    struct buf b = {0};
    add_spots(arena, diag, &b);
    add_unproven(arena, verdict, &b);
    if (!b.n)
        part(&b, "what is fixed or stored in the rooms later");
    const char *words = arena_printf(
        arena,
        "Not checked, as the plan does not show it: %s.\nOn site only: how cables and boxes are "
        "fastened, splices and grounds, damage, labels of the makers. The local authority "
        "decides.\n",
        buf_text(&b));
    buf_free(&b);
    return words;
}
