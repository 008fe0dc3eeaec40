#include "diag/diag.h"

#include <stdlib.h>
#include <string.h>

const struct rule rule_table[RULE_COUNT] = {
#define RULE(id, name, severity, waivable, doc) {name, severity, waivable, doc},
#include "diag/rules.def"
#undef RULE
};

const char *severity_word(enum severity s)
{
    static const char *const words[] = {"error", "warning", "note"};
    return words[s];
}

enum rule_id rule_named(const char *name)
{
    int id = 0;
    while (id < RULE_COUNT && strcmp(rule_table[id].name, name))
        id++;
    return (enum rule_id)id;
}

static bool is_name_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

/* Names may be as long as the builder likes; what is said of them is not: of more than LONGEST letters the first are shown. In place. */
static const char *shortened(char *text)
{
    enum { LONGEST = 64 };
    char *to = text;
    for (const char *p = text; *p;) {
        size_t len = 0;
        while (is_name_letter(p[len]))
            len++;
        size_t kept = len > LONGEST ? LONGEST - 3 : len ? len : 1;
        memmove(to, p, kept);
        to += kept;
        if (len > LONGEST) {
            memcpy(to, "...", 3);
            to += 3;
        }
        p += len ? len : 1;
    }
    *to = 0;
    return text;
}

static struct finding *record(struct diag *d, enum rule_id rule, struct span span, const char *format, va_list args)
{
    struct finding *f = vec_push(d->arena, &d->findings);
    memset(f, 0, sizeof *f);
    f->rule = rule;
    f->severity = rule_table[rule].severity;
    f->span = span;
    f->order = d->findings.n;
    f->message = shortened(arena_vprintf(d->arena, format, args));
    return f;
}

struct finding *diag_add(struct diag *d, enum rule_id rule, struct span span, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    struct finding *f = record(d, rule, span, format, args);
    va_end(args);
    return f;
}

struct finding *diag_syntax(struct diag *d, enum rule_id rule, struct span span, const char *format, ...)
{
    void **seen = map_at(d->arena, &d->syntax_lines, (uintptr_t)span.source, source_line_number(d->arena, span.source, span.off));
    if (*seen)
        return NULL;
    *seen = span.source;
    va_list args;
    va_start(args, format);
    struct finding *f = record(d, rule, span, format, args);
    va_end(args);
    return f;
}

void diag_note(struct diag *d, struct finding *f, struct span span, const char *format, ...)
{
    if (!f)
        return;
    bool full = !(f->related_count & (f->related_count - 1)); /* its room is the next power of two: a finding may have a place in every unit */
    if (full) {
        struct related *more = arena_array(d->arena, struct related, f->related_count ? 2 * (size_t)f->related_count : 1);
        if (f->related_count)
            memcpy(more, f->related, f->related_count * sizeof *more);
        f->related = more;
    }
    va_list args;
    va_start(args, format);
    f->related[f->related_count++] = (struct related){span, shortened(arena_vprintf(d->arena, format, args))};
    va_end(args);
}

void diag_mend(struct diag *d, struct finding *f, const char *format, ...)
{
    if (!f)
        return;
    va_list args;
    va_start(args, format);
    f->mend = shortened(arena_vprintf(d->arena, format, args));
    va_end(args);
}

static int compare(const void *left, const void *right)
{
    const struct finding *a = left, *b = right;
    uint32_t file_a = a->span.source ? a->span.source->order + 1 : 0, file_b = b->span.source ? b->span.source->order + 1 : 0;
    if (file_a != file_b)
        return file_a < file_b ? -1 : 1;
    if (a->span.off != b->span.off)
        return a->span.off < b->span.off ? -1 : 1;
    if (a->rule != b->rule)
        return a->rule < b->rule ? -1 : 1;
    int words = strcmp(a->message, b->message); /* so that what is said of several copies comes together */
    return words ? words : a->order < b->order ? -1 : 1;
}

/* Findings of copies fall together: one finding, every copy a related place. */
static void take_related(struct diag *d, struct finding *kept, const struct finding *more)
{
    for (uint32_t i = 0; i < more->related_count; i++) {
        const struct related *r = &more->related[i];
        bool known = false;
        for (uint32_t k = kept->related_count; k-- > 0 && !known && kept->related_count - k < 8;)
            known = kept->related[k].span.source == r->span.source && kept->related[k].span.off == r->span.off;
        if (!known)
            diag_note(d, kept, r->span, "%s", r->message);
    }
}

static bool same(const struct finding *a, const struct finding *b)
{
    return a->rule == b->rule && a->span.source == b->span.source && a->span.off == b->span.off && !a->waived == !b->waived && !strcmp(a->message, b->message);
}

void diag_finish(struct diag *d)
{
    finding_list *list = &d->findings;
    if (list->n > 1)
        qsort(list->at, list->n, sizeof *list->at, compare);
    uint32_t kept = 0;
    for (uint32_t i = 0; i < list->n; i++) {
        if (kept && same(&list->at[kept - 1], &list->at[i]))
            take_related(d, &list->at[kept - 1], &list->at[i]);
        else
            list->at[kept++] = list->at[i];
    }
    list->n = kept;
    memset(d->counts, 0, sizeof d->counts);
    d->waived = 0;
    for (uint32_t i = 0; i < list->n; i++) {
        if (list->at[i].waived)
            d->waived++;
        else
            d->counts[list->at[i].severity]++;
    }
}
