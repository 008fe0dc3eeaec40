#include "lsp/reading.h"

#include "lsp/diagnostics.h"
#include "lsp/documents.h"
#include "lsp/plans.h"

#include <string.h>

bool reading_is_worth(const struct plan *p)
{
    enum { LARGE = 24 << 10 }; /* bytes, of what is checked in a few milliseconds no more */
    uint64_t size = 0;
    for (uint32_t i = 0; p->compiled && i < p->c->source_count; i++)
        size += p->c->sources[i]->size;
    return size > LARGE;
}

/* An error of the text that no waiver lets stand. */
static bool is_of_text(const struct compilation *c, const struct finding *f)
{
    return f->order <= c->read_findings && f->severity == ERROR && !f->rule->waivable;
}

/* Drops all others. */
static void keep_of_text(struct compilation *c)
{
    finding_list *list = &c->diag.findings;
    uint32_t kept = 0;
    for (uint32_t i = 0; i < list->n; i++)
        if (is_of_text(c, &list->at[i]))
            list->at[kept++] = list->at[i];
    list->n = kept;
}

/* Whether the plan had the same errors of the text, in their order, wherever they stood. */
static bool is_known(const struct compilation *was, const struct compilation *is)
{
    uint32_t k = 0;
    for (uint32_t i = 0; i < was->diag.findings.n; i++) {
        const struct finding *a = &was->diag.findings.at[i];
        if (!is_of_text(was, a))
            continue;
        const struct finding *b = k < is->diag.findings.n ? &is->diag.findings.at[k] : NULL;
        if (!b || b->rule != a->rule || strcmp(b->message, a->message) != 0)
            return false;
        k++;
    }
    return k == is->diag.findings.n;
}

/* How a text became another: what stands before and behind the change. */
struct moved {
    struct source *was, *is;
    size_t before, behind;
};

static struct moved how_moved(struct source *was, struct source *is)
{
    struct moved m = {was, is, 0, 0};
    size_t least = was->size < is->size ? was->size : is->size;
    while (m.before < least && was->bytes[m.before] == is->bytes[m.before])
        m.before++;
    while (m.behind < least - m.before &&
           was->bytes[was->size - 1 - m.behind] == is->bytes[is->size - 1 - m.behind])
        m.behind++;
    return m;
}

/* Where a stretch stands now; false where it was changed, or its file is gone. */
static bool move_span(const struct moved *files, uint32_t count, struct span *span)
{
    if (!span->source)
        return true;
    for (uint32_t i = 0; i < count; i++) {
        const struct moved *m = &files[i];
        if (m->was != span->source)
            continue;
        span->source = m->is;
        if (span->off + span->len <= m->before)
            return true;
        bool behind = span->off >= m->was->size - m->behind;
        span->off += behind ? m->is->size - m->was->size : 0;
        return behind;
    }
    return false;
}

static bool move_finding(const struct moved *files, uint32_t count, struct arena *a,
                         struct finding *f)
{
    if (!move_span(files, count, &f->span))
        return false;
    struct related *related = arena_array(a, struct related, f->related_count);
    uint32_t kept = 0;
    for (uint32_t i = 0; i < f->related_count; i++) {
        related[kept] = f->related[i];
        kept += move_span(files, count, &related[kept].span);
    }
    f->related = related;
    f->related_count = kept;
    return true;
}

/* Adds what the last check found besides, moved with the text. */
static void add_checked(const struct compilation *was, struct compilation *is)
{
    struct moved *files = arena_array(&is->arena, struct moved, was->source_count);
    uint32_t count = 0;
    for (uint32_t i = 0; i < was->source_count; i++)
        for (uint32_t k = 0; k < is->source_count; k++)
            if (!strcmp(was->sources[i]->path, is->sources[k]->path))
                files[count++] = how_moved(was->sources[i], is->sources[k]);
    for (uint32_t i = 0; i < was->diag.findings.n; i++) {
        struct finding f = was->diag.findings.at[i];
        if (!is_of_text(was, &f) && move_finding(files, count, &is->arena, &f))
            *vec_push(&is->arena, &is->diag.findings) = f;
    }
}

void reading_tell(struct server *s, struct plan *p)
{
    struct compilation *begun = plan_begin_reading(s, p), found = {0};
    struct plan read = {.path = p->path, .real = p->real, .compiled = true, .c = &found};
    found.sources = begun->sources;
    found.source_count = begun->source_count;
    found.read_findings = begun->read_findings;
    found.diag = compile_read_findings(begun, &found.arena);
    keep_of_text(&found);
    if (!is_known(p->c, &found)) {
        add_checked(p->c, &found);
        plan_note_files(s, &read);
        if (found.diag.findings.n)
            diagnostics_tell_read(s, p, &read);
    }
    arena_free(&found.arena);
}
