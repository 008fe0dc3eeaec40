/* A plan in which a name became another one says the same up to that name, and becomes the same
 * bytes again when it is given back. */
#include "renamed.h"

#include "base/file.h"
#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "log/log.h"
#include "model/orders.h"
#include "prove/prove.h"
#include "random.h"
#include "where/where.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* A plan with its names. */
struct read_plan {
    struct compilation c;
    struct whereabouts *names;
};

static void read_plan(struct read_plan *p, const char *path, const char *log)
{
    compile(
        &p->c, path,
        (struct compile_options){
            .library = plan_library(), .log = log, .mentions = true, .cut_steps = SOME_CUT_STEPS});
    p->names = p->c.model ? where_make(&p->c.arena, &p->c) : NULL;
}

/* --- the new name ------------------------------------------------------------------------- */

/* "R1" becomes "Rq1", which is shortened like it, and sorted like it among most. */
static const char *fresh_name(struct arena *a, const char *name)
{
    size_t len = strlen(name), stem = len;
    while (stem && name[stem - 1] >= '0' && name[stem - 1] <= '9')
        stem--;
    return arena_printf(a, "%.*sq%s", (int)stem, name, name + stem);
}

/* Whether the new name stands among all others where the old one did, and no other thing was called
 * like this one: what is as good is decided by the alphabet, and what is said of two units alike is
 * said once. */
static bool keeps_order(const struct read_plan *p, const char *name, const char *to)
{
    unsigned alike = 0;
    for (uint32_t i = 0; i < where_name_count(p->names); i++) {
        const char *other = where_name_by_id(p->names, i)->text;
        alike += !strcmp(other, name);
        if (strcmp(other, name) && (strcmp(other, name) < 0) != (strcmp(other, to) < 0))
            return false;
    }
    return alike < 2;
}

static bool is_taken(const struct read_plan *p, const char *name)
{
    for (uint32_t i = 0; i < p->c.source_count; i++)
        if (strstr(p->c.sources[i]->bytes, name))
            return true;
    return false;
}

/* --- the files ---------------------------------------------------------------------------- */

static void make_folders(char *path)
{
    for (char *at = path + 1; (at = strchr(at, '/')); *at++ = '/') {
        *at = 0;
        mkdir(path, 0777);
    }
}

static char *edited_path(struct arena *a, const struct source *first, const struct source *s,
                         const char *folder)
{
    const char *slash = strrchr(first->path, '/');
    size_t skip = slash ? (size_t)(slash + 1 - first->path) : 0;
    return arena_printf(a, "%s/%s", folder, s->path + skip);
}

static const char *write_edited(struct read_plan *p, const struct where_edits *edits,
                                const struct source *s, const char *path)
{
    struct buf text = {0};
    size_t size;
    const char *bytes = where_edited(&p->c.arena, s, edits, &size);
    buf_add(&text, bytes, size);
    if (!file_write(&text, path))
        abort();
    buf_free(&text);
    return path;
}

static const struct source *log_source(const struct read_plan *p)
{
    return p->c.log && p->c.log->events.n ? p->c.log->events.at[0]->span.source : NULL;
}

/* The price lists that lie beside a plan, beside its copy. */
static void copy_prices(struct arena *a, const char *plan, const char *copy)
{
    for (int own = 0; own < 2; own++) {
        size_t size;
        const char *list = file_read_into(a, model_price_list(a, plan, own), 1 << 20, &size);
        struct buf text = {0};
        if (!list)
            continue;
        buf_add(&text, list, size);
        if (!file_write(&text, model_price_list(a, copy, own)))
            abort();
        buf_free(&text);
    }
}

/* Writes the plan with the edits, and its log; gives the path of the plan, and of the log or NULL.
 */
static const char *write_all(struct read_plan *p, const struct where_edits *edits,
                             const char *folder, const char **log)
{
    struct arena *a = &p->c.arena;
    for (uint32_t i = 0; i < p->c.source_count; i++) {
        char *path = edited_path(a, p->c.sources[0], p->c.sources[i], folder);
        make_folders(path);
        write_edited(p, edits, p->c.sources[i], path);
    }
    *log = log_source(p)
               ? write_edited(p, edits, log_source(p), arena_printf(a, "%s/renamed.log", folder))
               : NULL;
    const char *plan = edited_path(a, p->c.sources[0], p->c.sources[0], folder);
    copy_prices(a, p->c.sources[0]->path, plan);
    return plan;
}

/* --- the same up to the name -------------------------------------------------------------- */

/* Every `from` becomes `to`. */
static const char *replaced(struct arena *a, const char *text, const char *from, const char *to)
{
    struct buf b = {0};
    for (const char *at; (at = strstr(text, from)); text = at + strlen(from)) {
        buf_add(&b, text, (size_t)(at - text));
        buf_puts(&b, to);
    }
    buf_puts(&b, text);
    const char *out = arena_copy(a, buf_text(&b), b.n);
    buf_free(&b);
    return out;
}

static int compare_words(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Its words in the order of the alphabet: rows stand by name, and of two pieces as long the one
 * that is named first is cut first. */
static const char *sorted_words(struct arena *a, const char *text)
{
    VEC(const char *) words = {0};
    struct buf b = {0};
    for (const char *end; *text; text = *end ? end + 1 : end) {
        end = text + strcspn(text, "\n ,;");
        *vec_push(a, &words) = arena_copy(a, text, (size_t)(end - text));
    }
    if (words.n)
        qsort(words.at, words.n, sizeof *words.at, compare_words);
    for (uint32_t i = 0; i < words.n; i++)
        buf_printf(&b, "%s\n", words.at[i]);
    const char *out = arena_copy(a, buf_text(&b), b.n);
    buf_free(&b);
    return out;
}

static void tell_findings(struct compilation *c, struct buf *out)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        buf_printf(out, "%s%s: %s\n", f->waived ? "waived " : "", f->rule->name, f->message);
        buf_printf(out, "of %s\n", f->subject ? f->subject : "");
    }
}

static bool same_text(struct arena *a, const char *before, const char *after, const char *what,
                      struct buf *why)
{
    before = sorted_words(a, before);
    after = sorted_words(a, after);
    if (!strcmp(before, after))
        return true;
    while (*before == *after)
        before++, after++;
    buf_printf(why, "%s: ...'%.*s' becomes '%.*s'", what, (int)strcspn(before, "\n"), before,
               (int)strcspn(after, "\n"), after);
    return false;
}

static bool says_the_same(struct read_plan *before, struct read_plan *after, const char *name,
                          const char *to, struct buf *why)
{
    struct buf a = {0}, b = {0};
    struct arena *arena = &after->c.arena;
    struct results r, s;
    tell_findings(&before->c, &a);
    tell_findings(&after->c, &b);
    bool same =
        same_text(arena, buf_text(&a), replaced(arena, buf_text(&b), to, name), "findings", why);
    bool printed = same && !before->c.diag.counts[ERROR] && cmd_results(&before->c, &r) &&
                   cmd_results(&after->c, &s);
    for (uint32_t i = 0; printed && same && i < report_count; i++) {
        a.n = b.n = 0;
        report_write(&report_table[i], &r, REPORT_CSV, &a);
        report_write(&report_table[i], &s, REPORT_CSV, &b);
        same = same_text(arena, buf_text(&a), replaced(arena, buf_text(&b), to, name),
                         report_table[i].name, why);
    }
    buf_free(&a);
    buf_free(&b);
    return same;
}

/* --- one name ----------------------------------------------------------------------------- */

/* The name that stands where the first place of `name` was: nothing has changed before it. */
static const struct where_name *name_again(const struct read_plan *before,
                                           const struct read_plan *after,
                                           const struct where_name *name)
{
    struct span first = name->places.at[0].span;
    for (uint32_t i = 0; i < before->c.source_count; i++)
        if (before->c.sources[i] == first.source)
            return where_name_at(after->names, after->c.sources[i], first.off, NULL);
    return NULL;
}

static bool same_bytes(struct read_plan *after, const struct where_edits *back,
                       const struct source *s, const struct source *was)
{
    size_t size;
    const char *bytes = where_edited(&after->c.arena, s, back, &size);
    return size == was->size && !memcmp(bytes, was->bytes, size);
}

static bool gives_back(struct read_plan *before, struct read_plan *after,
                       const struct where_name *name)
{
    const struct where_name *now = name_again(before, after, name);
    if (!now || now->places.n != name->places.n)
        return false;
    struct where_edits back = where_rename(after->names, now, name->text);
    bool same = !back.refused && after->c.source_count == before->c.source_count;
    for (uint32_t i = 0; same && i < after->c.source_count; i++)
        same = same_bytes(after, &back, after->c.sources[i], before->c.sources[i]);
    if (same && log_source(before))
        same = same_bytes(after, &back, log_source(after), log_source(before));
    return same;
}

/* `fresh`: no other has the name, so that it must be given. */
static bool holds_for(struct read_plan *before, const struct where_name *name, const char *to,
                      bool fresh, const char *folder, struct buf *why)
{
    const char *reason = NULL, *log;
    struct where_edits edits = where_rename(before->names, name, to);
    if (edits.refused || !edits.edits.n)
        return true;
    const char *path = write_all(before, &edits, folder, &log);
    struct read_plan after;
    read_plan(&after, path, log);
    bool well = where_renamed_well(before->names, after.names, &edits, &reason),
         held = well || !fresh;
    if (!held)
        buf_puts(why, reason);
    if (well && !(held = gives_back(before, &after, name)))
        buf_puts(why, "its old name given back it is another text");
    if (fresh && keeps_order(before, name->text, to))
        held = held && says_the_same(before, &after, name->text, to, why);
    if (!held)
        buf_printf(why, " (%s '%s' to '%s')", where_sort_words(name->sort), name->text, to);
    compile_free(&after.c);
    return held;
}

bool renamed_is_the_plan(const char *path, const char *log, uint64_t seed, unsigned most,
                         const char *folder, struct buf *why)
{
    struct read_plan before;
    read_plan(&before, path, log);
    bool held = true;
    uint32_t count = before.names ? where_name_count(before.names) : 0;
    uint64_t state = seed;
    for (unsigned i = 0; held && i < most && count; i++) {
        const struct where_name *name = where_name_by_id(before.names, pick(&state, count)),
                                *other = where_name_by_id(before.names, pick(&state, count));
        const char *to = fresh_name(&before.c.arena, name->text);
        bool whole = !before.c.diag.counts[ERROR]; /* else slips hang on which names are near */
        held = (is_taken(&before, to) || holds_for(&before, name, to, whole, folder, why)) &&
               (i || holds_for(&before, name, other->text, false, folder, why));
    }
    compile_free(&before.c);
    return held;
}

bool property_renamed(const struct subject *s, struct buf *why);

bool property_renamed(const struct subject *s, struct buf *why)
{
    char log[512];
    snprintf(log, sizeof log, "%.*slog", (int)(strlen(s->path) - strlen("bay")), s->path);
    return renamed_is_the_plan(s->path, s->text->log.n ? log : NULL, s->seed, 2, s->scratch, why);
}
