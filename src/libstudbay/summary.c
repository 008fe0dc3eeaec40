/* The findings by rule, with how many and where. */
#include "libstudbay/handle.h"

#include "base/utf8.h"
#include "diag/render.h"
#include "emit/table.h"

#include <string.h>

/* In the order in which they are listed; what is waived comes last. */
enum { SORTS = 4, WAIVED = 3 };

static const enum severity order[] = {ERROR, WARNING, NOTE};

/* The findings of one rule and sort. */
struct group {
    const struct rule *rule;
    uint32_t count;
    struct buf where;
};

typedef VEC(struct group *) group_list;

struct summary {
    struct diag *all;
    bool several;     /* they stand in more than one file */
    struct map found; /* (sort + 1, rule) -> its group */
    group_list of[SORTS];
};

static uint32_t sort_of(const struct finding *f)
{
    uint32_t sort = 0;
    while (!f->waived && order[sort] != f->severity)
        sort++;
    return f->waived ? WAIVED : sort;
}

static struct group *group_of(struct summary *s, const struct finding *f)
{
    uint32_t sort = sort_of(f);
    void **at = map_at(s->all->arena, &s->found, sort + 1, (uintptr_t)f->rule);
    if (!*at) {
        struct group *g = arena_new(s->all->arena, struct group);
        g->rule = f->rule;
        *vec_push(s->all->arena, &s->of[sort]) = g;
        *at = g;
    }
    return *at;
}

/* "12 studio.R1", of several files "studio.bay:12 studio.R1". */
static void add_place(const struct summary *s, const struct finding *f, struct buf *where)
{
    struct source *source = f->span.source;
    size_t subject = f->subject ? strcspn(f->subject, "\n") : 0;
    buf_puts(where, where->n ? "; " : "");
    if (source && s->several) {
        utf8_put_masked(where, source->path);
        buf_putc(where, ':');
    }
    if (source)
        buf_printf(where, "%u", source_line_number(s->all->arena, source, f->span.off));
    buf_printf(where, "%s%.*s", source && subject ? " " : "", (int)subject,
               subject ? f->subject : "");
    if (!source && !subject) /* a file that cannot be read */
        utf8_put_masked(where, f->message);
}

static void count_all(struct summary *s)
{
    const finding_list *list = &s->all->findings;
    for (uint32_t i = 1; i < list->n; i++)
        s->several |= list->at[i].span.source != list->at[0].span.source;
    for (uint32_t i = 0; i < list->n; i++) {
        struct group *g = group_of(s, &list->at[i]);
        g->count++;
        add_place(s, &list->at[i], &g->where);
    }
}

void handle_summary(struct diag *all, unsigned width, struct buf *out)
{
    static const struct column columns[] = {
        {"count", "Number", 0, COLUMN_RIGHT | COLUMN_TOP},
        {"severity", "Sort", 0, COLUMN_TOP},
        {"rule", "Rule", 0, COLUMN_TOP},
        {"where", "Line and thing", 0, 0},
    };
    struct summary s = {.all = all};
    struct grid t;
    count_all(&s);
    table_begin(&t, all->arena, columns, sizeof columns / sizeof *columns);
    for (int sort = 0; sort < SORTS; sort++)
        for (uint32_t i = 0; i < s.of[sort].n; i++) {
            struct group *g = s.of[sort].at[i];
            struct cell *row = table_row(&t);
            row[0] = cell_integer(g->count);
            row[1] = cell_text(sort == WAIVED ? "waived" : diag_severity_word(order[sort]));
            row[2] = cell_text(g->rule->name);
            row[3] = cell_text(arena_copy(all->arena, buf_text(&g->where), g->where.n));
            buf_free(&g->where);
        }
    diag_summary(all, out);
    if (!table_rows(&t))
        return;
    buf_putc(out, '\n');
    table_text(&t, out, width);
    buf_putc(out, '\n');
}
