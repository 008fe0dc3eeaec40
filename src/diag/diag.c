#include "diag/diag.h"

#include "diag/render.h"

#include <stdlib.h>
#include <string.h>

RULE(limit, "limit", ERROR, FIRM, "a plan keeps within what the compiler takes in");
RULE(syntax, "syntax", ERROR, FIRM, "a statement has the form that the language gives it");

const char *diag_severity_word(enum severity s)
{
    static const char *const words[] = {"error", "warning", "note"};
    return words[s];
}

static int against_rule(const void *name, const void *rule)
{
    return strcmp(name, (*(const struct rule *const *)rule)->name);
}

const struct rule *rule_named(const char *name)
{
    const struct rule *const *found =
        bsearch(name, rules_by_name, rule_count, sizeof *rules_by_name, against_rule);
    return found ? *found : NULL;
}

static bool is_name_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-';
}

/* Names may be as long as the builder likes; what is said of them is not: of more than LONGEST
 * letters the first are shown. In place. */
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

/* --- what is kept ------------------------------------------------------------------------- */

static enum share_id share_of(const struct diag *d, const struct rule *rule)
{
    if (d->only && !strcmp(d->only, rule->name))
        return SHARE_ONLY;
    return rule->severity == ERROR ? SHARE_ERRORS : SHARE_OTHERS;
}

bool diag_is_full(const struct diag *d, const struct rule *rule)
{
    return d->shares[share_of(d, rule)].full;
}

/* Who recorded it may have changed its severity since. */
static void count_spare(struct diag *d)
{
    if (d->spare_of && d->spare.severity < d->spare_of->worst)
        d->spare_of->worst = d->spare.severity;
    d->spare_of = NULL;
}

static struct finding *leave_out(struct diag *d, struct share *share, const struct rule *rule)
{
    if (!share->full)
        share->worst = NOTE;
    share->full = true;
    d->spare = (struct finding){.rule = rule, .severity = rule->severity};
    d->spare_of = share;
    return &d->spare;
}

/* Whether none like it was recorded yet: copies fall together in the end. */
static bool is_new(struct diag *d, const struct rule *rule, struct span span, const char *message)
{
    uint64_t place[2] = {*rule->place, span.off};
    void **at = map_at(
        d->arena, &d->kept,
        (uintptr_t)(map_hash_bytes(message, strlen(message)) ^ map_hash_bytes(place, sizeof place)),
        (uintptr_t)span.source);
    if (*at)
        return false;
    *at = d;
    return true;
}

static struct finding *record(struct diag *d, const struct rule *rule, struct span span,
                              const char *format, va_list args)
{
    struct share *share = &d->shares[share_of(d, rule)];
    count_spare(d);
    d->said++;
    if (share->full)
        return leave_out(d, share, rule);
    const char *message = shortened(arena_vprintf(d->arena, format, args));
    bool differs = is_new(d, rule, span, message);
    if (share->recorded == MOST_RECORDED || (differs && share->differ == MOST_FINDINGS))
        return leave_out(d, share, rule);
    share->recorded++;
    share->differ += differs;
    struct finding *f = vec_push(d->arena, &d->findings);
    *f = (struct finding){.rule = rule,
                          .severity = rule->severity,
                          .span = span,
                          .message = message,
                          .order = d->findings.n};
    return f;
}

struct finding *diag_add(struct diag *d, const struct rule *rule, struct span span,
                         const char *format, ...)
{
    va_list args;
    va_start(args, format);
    struct finding *f = record(d, rule, span, format, args);
    va_end(args);
    return f;
}

struct finding *diag_syntax(struct diag *d, const struct rule *rule, struct span span,
                            const char *format, ...)
{
    struct share *share = &d->shares[share_of(d, rule)];
    if (share->full) {
        count_spare(d);
        d->said++;
        leave_out(d, share, rule);
        return NULL;
    }
    void **seen = map_at(d->arena, &d->syntax_lines, (uintptr_t)span.source,
                         source_line_number(d->arena, span.source, span.off));
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
    if (f == &d->spare) {
        f->related_count++;
        return;
    }
    bool full =
        !(f->related_count &
          (f->related_count -
           1)); /* its room is the next power of two: a finding may have a place in every unit */
    if (full) {
        struct related *more = arena_array(d->arena, struct related,
                                           f->related_count ? 2 * (size_t)f->related_count : 1);
        if (f->related_count)
            memcpy(more, f->related, f->related_count * sizeof *more);
        f->related = more;
    }
    va_list args;
    va_start(args, format);
    f->related[f->related_count++] =
        (struct related){span, shortened(arena_vprintf(d->arena, format, args))};
    va_end(args);
}

void diag_mend(struct diag *d, struct finding *f, const char *format, ...)
{
    if (!f || f == &d->spare)
        return;
    va_list args;
    va_start(args, format);
    f->mend = shortened(arena_vprintf(d->arena, format, args));
    f->mends.n = 0;
    va_end(args);
}

void diag_mend_nearest(struct diag *d, struct finding *f, const struct nearest *n)
{
    bool one;
    const char *words = nearest_in_words(d->arena, n, &one);
    if (!words || !f || f == &d->spare)
        return;
    if (one) {
        diag_mend_name(d, f, n->written.text, n->found);
        return;
    }
    struct span at = diag_name_in(f->span, n->written.text);
    diag_mend(d, f, "write %s", words);
    for (uint8_t i = 0; i < n->as_near_count && at.source; i++)
        diag_replace(d, f, false, at, n->as_near[i]);
}

void diag_mend_words(struct diag *d, struct finding *f, const char *format, ...)
{
    if (!f || f == &d->spare)
        return;
    va_list args;
    va_start(args, format);
    f->mend = shortened(arena_vprintf(d->arena, format, args));
    va_end(args);
}

void diag_mend_more(struct diag *d, struct finding *f, const char *format, ...)
{
    if (!f || f == &d->spare)
        return;
    va_list args;
    va_start(args, format);
    const char *more = shortened(arena_vprintf(d->arena, format, args));
    va_end(args);
    f->mend = f->mend ? arena_printf(d->arena, "%s, %s", f->mend, more) : more;
}

struct mend *diag_way(struct diag *d, struct finding *f, bool safe, const char *format, ...)
{
    if (!f || f == &d->spare)
        return NULL;
    va_list args;
    va_start(args, format);
    struct mend *way = vec_push(d->arena, &f->mends);
    *way = (struct mend){.words = shortened(arena_vprintf(d->arena, format, args)), .safe = safe};
    va_end(args);
    return way;
}

void diag_edit(struct diag *d, struct mend *way, struct span span, const char *text)
{
    if (way)
        *vec_push(d->arena, &way->edits) = (struct edit){span.source, span.off, span.len,
                                                         arena_copy(d->arena, text, strlen(text))};
}

void diag_replace(struct diag *d, struct finding *f, bool safe, struct span span, const char *text)
{
    diag_edit(d, diag_way(d, f, safe, "write '%s'", text), span, text);
}

struct span diag_name_in(struct span span, const char *name)
{
    const char *text = span.source ? span.source->bytes + span.off : "";
    size_t len = strlen(name);
    for (uint32_t at = 0; len && at + len <= span.len; at++) {
        bool begins = !at || !is_name_letter(text[at - 1]),
             ends = at + len == span.len || !is_name_letter(text[at + len]);
        if (begins && ends && !memcmp(text + at, name, len))
            return (struct span){span.source, span.off + at, (uint32_t)len};
    }
    return (struct span){0};
}

void diag_mend_name(struct diag *d, struct finding *f, const char *name, const char *meant)
{
    diag_mend(d, f, "write '%s'", meant);
    struct span at = f ? diag_name_in(f->span, name) : (struct span){0};
    if (at.source)
        diag_replace(d, f, near_is_slip(name, meant), at, meant);
}

void diag_mend_word(struct diag *d, struct finding *f, const char *meant)
{
    if (f && f != &d->spare && f->span.source)
        diag_mend_name(d, f, arena_copy(d->arena, f->span.source->bytes + f->span.off, f->span.len),
                       meant);
}

static const uint32_t LAST_OF_ALL = UINT32_MAX; /* order of the finding at the end */

bool finding_tells_limit(const struct finding *f)
{
    return f->order == LAST_OF_ALL;
}

static int compare(const void *left, const void *right)
{
    const struct finding *a = left, *b = right;
    if (finding_tells_limit(a) != finding_tells_limit(b))
        return finding_tells_limit(a) ? 1 : -1;
    uint32_t file_a = a->span.source ? a->span.source->order + 1 : 0,
             file_b = b->span.source ? b->span.source->order + 1 : 0;
    if (file_a != file_b)
        return file_a < file_b ? -1 : 1;
    if (a->span.off != b->span.off)
        return a->span.off < b->span.off ? -1 : 1;
    if (a->rule != b->rule)
        return *a->rule->place < *b->rule->place ? -1 : 1;
    int words =
        strcmp(a->message, b->message); /* so that what is said of several copies comes together */
    return words ? words : a->order < b->order ? -1 : 1;
}

/* Findings of copies fall together: one finding, every copy a related place. */
static void take_related(struct diag *d, struct finding *kept, const struct finding *more)
{
    for (uint32_t i = 0; i < more->related_count; i++) {
        const struct related *r = &more->related[i];
        bool known = false;
        for (uint32_t k = kept->related_count; k-- > 0 && !known && kept->related_count - k < 8;)
            known = kept->related[k].span.source == r->span.source &&
                    kept->related[k].span.off == r->span.off;
        if (!known)
            diag_note(d, kept, r->span, "%s", r->message);
    }
}

static bool same(const struct finding *a, const struct finding *b)
{
    return a->rule == b->rule && a->span.source == b->span.source && a->span.off == b->span.off &&
           !a->waived == !b->waived && !strcmp(a->message, b->message);
}

/* --- the finding at the end --------------------------------------------------------------- */

/* An error where an error was left out. */
static void tell_limit(struct diag *d)
{
    const char *whole[SHARE_COUNT] = {
        "errors", "warnings and notes",
        d->only ? arena_printf(d->arena, "findings of rule %s", d->only) : NULL};
    bool all = !d->only ||
               !strcmp(d->only, rule_limit.name); /* what other rules left out is not asked for */
    const char *words = NULL;
    enum severity worst = WARNING;
    count_spare(d);
    for (int i = all ? 0 : SHARE_ONLY; i < SHARE_COUNT; i++) {
        if (!d->shares[i].full)
            continue;
        words = arena_printf(d->arena, "%s%smore than %d %s", words ? words : "",
                             words ? " and " : "", (int)MOST_FINDINGS, whole[i]);
        worst = d->shares[i].worst == ERROR ? ERROR : worst;
    }
    if (!words || d->limit_told)
        return;
    d->limit_told = true;
    struct finding *f = vec_push(d->arena, &d->findings);
    *f = (struct finding){.rule = &rule_limit,
                          .severity = worst,
                          .order = LAST_OF_ALL,
                          .mend = "mend some of these and check again"};
    f->message = arena_printf(d->arena, "there are %s; those after them are not told", words);
}

void diag_finish(struct diag *d)
{
    finding_list *list = &d->findings;
    tell_limit(d);
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
