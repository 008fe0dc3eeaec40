/* What a panel's spaces are called, and which are free. */
#include "base/buf.h"
#include "loads/panel.h"
#include "model/address.h"
#include "model/model.h"

const char *panel_circuit_called(struct arena *arena, const struct panels *panels,
                                 const struct circuit *c, bool short_form)
{
    const struct circuit_space *s = &panels->of_circuit[c->id];
    return address_called(arena, c, (struct seat){s->space, s->half}, short_form);
}

uint8_t *panel_used_spaces(struct arena *arena, const struct panels *panels, const struct panel *p)
{
    uint8_t *used = arena_array(arena, uint8_t, (size_t)p->spaces + 1);
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit_space *s = &panels->of_circuit[p->circuits.at[i]->id];
        for (uint32_t k = 0; s->space && k < s->poles && s->space + 2 * k <= p->spaces; k++)
            used[s->space + 2 * k] |= panel_half(s->half, k);
    }
    for (uint32_t i = 0; i < p->taken.n; i++)
        for (uint32_t n = p->taken.at[i].first; n <= p->taken.at[i].last && n <= p->spaces; n++)
            used[n] = WHOLE_SPACE;
    return used;
}

static bool fits(const struct panel *p, const uint8_t *used, uint32_t space, uint8_t poles,
                 enum half half)
{
    for (uint32_t k = 0; k < poles; k++)
        if (space + 2 * k > p->spaces || used[space + 2 * k] & panel_half(half, k))
            return false;
    return true;
}

enum { PAIRS_NAMED = 6 };

/* "5/7, 6/8 and others": pairs overlap, so that ranges of them would say little. */
static void name_pairs(struct buf *b, const struct panel *p, const uint8_t *used, enum half half)
{
    uint32_t count = 0;
    for (uint32_t n = 1; n <= p->spaces; n++) {
        if (!fits(p, used, n, 2, half))
            continue;
        if (count < PAIRS_NAMED)
            buf_printf(b, "%s%u/%u", count ? ", " : "", n, n + 2);
        count++;
    }
    if (count > PAIRS_NAMED)
        buf_puts(b, " and others");
}

static void name_singles(struct buf *b, const struct panel *p, const uint8_t *used, enum half half)
{
    for (uint32_t n = 1; n <= p->spaces; n++) {
        uint32_t last = n;
        if (!fits(p, used, n, 1, half))
            continue;
        while (fits(p, used, last + 1, 1, half))
            last++;
        buf_printf(b, "%s%u", b->n ? ", " : "", n);
        if (last > n)
            buf_printf(b, " to %u", last);
        n = last;
    }
}

const char *panel_free_words(struct arena *arena, const struct panels *panels,
                             const struct panel *p, uint8_t poles, enum half half)
{
    const uint8_t *used = panel_used_spaces(arena, panels, p);
    struct buf b = {0};
    if (poles == 2)
        name_pairs(&b, p, used, half);
    else
        name_singles(&b, p, used, half);
    const char *words = b.n ? arena_copy(arena, buf_text(&b), b.n) : NULL;
    buf_free(&b);
    return words;
}
