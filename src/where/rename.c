/* A name becomes another one: what changes, why it may not, and whether the plan then says the
 * same.
 */
#include "log/log.h"
#include "model/power.h"
#include "model/site.h"
#include "syntax/lexer.h"
#include "syntax/token.h"
#include "where/work.h"

#include <stdlib.h>
#include <string.h>

/* --- what cannot be renamed --------------------------------------------------------------- */

static bool is_number(const char *text)
{
    return *text && strspn(text, "0123456789") == strlen(text);
}

static const char *line_words(const struct whereabouts *w, struct span at)
{
    if (!at.source)
        return "the plan";
    return arena_printf(w->arena, "%s:%u", at.source->path,
                        source_line_number(w->arena, at.source, at.off));
}

const char *where_fixed(const struct whereabouts *w, const struct where_name *name)
{
    struct arena *a = w->arena;
    if (name->sort == MENTION_FILE)
        return "a file is renamed where it lies";
    if (name->sort == MENTION_RULE)
        return arena_printf(a, "'%s' is a rule; its name is the program's", name->text);
    if (name->of_library)
        return arena_printf(a, "%s '%s' stands in the library", where_sort_words(name->sort),
                            name->text);
    if (name->sort == MENTION_CIRCUIT && is_number(name->text))
        return arena_printf(a,
                            "circuit %s is called by the space of its breaker; it has another "
                            "number where it sits in another space",
                            name->text);
    for (uint32_t i = 0; i < name->places.n; i++)
        if (name->places.at[i].in_row)
            return arena_printf(a, "'%s' is one of a row, whose names are counted out at %s",
                                name->text, line_words(w, name->places.at[i].span));
    return NULL;
}

/* Whether something of the name stands in the tag of a run. */
static bool in_tag(const struct whereabouts *w, const struct where_name *name, const struct run *r)
{
    const struct circuit *c = r->circuit;
    const struct end ends[2] = {r->from, r->to};
    bool found = where_name_of(w, r) == name || (c && where_name_of(w, c) == name);
    const struct panel *panels[] = {c ? c->panel : NULL, r->from.panel, r->to.panel};
    for (size_t i = 0; i < sizeof panels / sizeof *panels; i++)
        found |= panels[i] && where_name_of(w, panels[i]) == name;
    for (int i = 0; i < 2; i++) {
        const struct box *x = ends[i].box;
        found |= x && (where_name_of(w, x) == name || where_name_of(w, x->room) == name ||
                       (x->room->unit && where_name_of(w, x->room->unit) == name));
    }
    return found;
}

/* A label is on its cable, and its words are made of names. */
static const char *why_labelled(const struct whereabouts *w, const struct where_name *name)
{
    for (uint32_t i = 0; i < w->unread.n; i++) {
        const struct log_event *e = w->unread.at[i];
        bool of_it = strstr(e->subject, name->text) != NULL;
        for (uint32_t k = 0; k < e->about.runs.n; k++)
            of_it |= in_tag(w, name, e->about.runs.at[k]);
        if (of_it)
            return arena_printf(w->arena,
                                "%s names a cable by its label, which has words of '%s' on it",
                                line_words(w, e->span), name->text);
    }
    return NULL;
}

/* --- the new name ------------------------------------------------------------------------- */

static bool may_have_slash(enum mention_sort sort)
{
    return sort == MENTION_CABLE || sort == MENTION_RACEWAY;
}

/* Whether a text is one token of a sort that can be this name. */
static bool is_name(const struct where_name *name, const char *to)
{
    struct arena scratch = {0};
    struct diag diag = {.arena = &scratch};
    struct source s = {.path = "", .bytes = to, .size = (uint32_t)strlen(to)};
    bool whole = *to && lex(&diag, &s) && !diag.said && s.token_count == 2 &&
                 s.tokens[0].off == 0 && s.tokens[0].len == s.size;
    enum token_kind kind = whole ? (enum token_kind)s.tokens[0].kind : T_EOF;
    arena_free(&scratch);
    return kind == T_WORD || (kind == T_SLASHED && may_have_slash(name->sort));
}

/* A panel's handle parts figures from figures: "Q1-14". */
static const char *text_at(const struct whereabouts *w, const struct where_place *place,
                           const char *to)
{
    char last = to[strlen(to) - 1];
    bool figure = last >= '0' && last <= '9';
    return place->handle && figure ? arena_printf(w->arena, "%s-", to) : to;
}

struct where_edits where_rename(const struct whereabouts *w, const struct where_name *name,
                                const char *to)
{
    struct where_edits e = {.refused = where_fixed(w, name)};
    if (!e.refused && !is_name(name, to))
        e.refused = arena_printf(w->arena,
                                 "'%s' is no name: letters, figures and '-', a letter "
                                 "first",
                                 to);
    if (!e.refused)
        e.refused = why_labelled(w, name);
    if (e.refused || !strcmp(to, name->text))
        return e;
    to = arena_copy(w->arena, to, strlen(to));
    for (uint32_t i = 0; i < name->places.n; i++)
        *vec_push(w->arena, &e.edits) =
            (struct where_edit){name->places.at[i].span, text_at(w, &name->places.at[i], to)};
    return e;
}

const char *where_edited(struct arena *arena, const struct source *source,
                         const struct where_edits *edits, size_t *size)
{
    struct buf b = {0};
    uint32_t at = 0;
    for (uint32_t i = 0; i < edits->edits.n; i++) {
        const struct where_edit *e = &edits->edits.at[i];
        if (e->span.source != source)
            continue;
        buf_add(&b, source->bytes + at, e->span.off - at);
        buf_puts(&b, e->text);
        at = e->span.off + e->span.len;
    }
    buf_add(&b, source->bytes + at, source->size - at);
    *size = b.n;
    const char *text = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return text;
}

/* --- whether it says the same ------------------------------------------------------------- */

struct comparing {
    const struct whereabouts *before, *after;
    const struct where_edits *edits;
    struct map name_of; /* (0, name after) -> name before, and (1, name before) -> name after */
};

static struct source *log_of(const struct compilation *c)
{
    return c->log && c->log->events.n ? c->log->events.at[0]->span.source : NULL;
}

/* The source before of one after: files keep their order. NULL: it is of the library. */
static struct source *source_before(const struct comparing *k, const struct source *s)
{
    const struct compilation *before = k->before->c, *after = k->after->c;
    for (uint32_t i = 0; i < before->source_count && i < after->source_count; i++)
        if (after->sources[i] == s)
            return before->sources[i];
    return s == log_of(after) ? log_of(before) : NULL;
}

/* Where a byte of the edited file was before. */
static uint32_t off_before(const struct comparing *k, const struct source *before, uint32_t off)
{
    int64_t shift = 0;
    for (uint32_t i = 0; i < k->edits->edits.n; i++) {
        const struct where_edit *e = &k->edits->edits.at[i];
        if (e->span.source != before)
            continue;
        if ((int64_t)off <= e->span.off + shift)
            break;
        shift += (int64_t)strlen(e->text) - e->span.len;
    }
    return (uint32_t)((int64_t)off - shift);
}

/* "names no room 'x' any more" */
static bool same_places(struct comparing *k, const char **why)
{
    const struct whereabouts *w = k->after;
    struct source *source = NULL, *last = NULL;
    for (uint32_t i = 0; i < w->spots.n; i++) {
        const struct where_place *p = &w->spots.at[i].place;
        if (p->span.source != last)
            source = source_before(k, last = p->span.source);
        const struct where_place *was = NULL;
        struct where_name *name = w->names.at[w->spots.at[i].name];
        uint32_t off = source ? off_before(k, source, p->span.off) : 0;
        const struct where_name *old = source ? where_name_at(k->before, source, off, &was) : NULL;
        if (p->in_row)
            continue;
        void **to = map_at(w->arena, &k->name_of, 0, (uintptr_t)name),
             **from = map_at(w->arena, &k->name_of, 1, (uintptr_t)old);
        bool same =
            old && was->span.off == off && (!*to || *to == old) && (!*from || *from == name);
        if (!same) {
            *why = arena_printf(w->arena, "'%s' at %s would mean %s", name->text,
                                line_words(w, p->span),
                                old ? "another thing" : "something, and meant nothing");
            return false;
        }
        *to = (void *)old;
        *from = name;
    }
    if (w->spots.n == k->before->spots.n)
        return true;
    *why = "a place that means something now would mean nothing";
    return false;
}

static uint64_t finding_key(const struct comparing *k, const struct finding *f, bool after)
{
    struct source *s = after && f->span.source ? source_before(k, f->span.source) : f->span.source;
    uint32_t off = after && s ? off_before(k, s, f->span.off) : f->span.off;
    const struct {
        const void *rule, *source;
        uint64_t off;
    } key = {f->rule, s, off};
    return map_hash_bytes(&key, sizeof key);
}

/* A finding of one that the other has not, or has less often: that the name is taken, which tells
 * most, else the first. NULL: they find the same. */
static const struct finding *first_other(struct comparing *k, bool after)
{
    struct map count = {0};
    const struct diag *has = after ? &k->before->c->diag : &k->after->c->diag,
                      *asks = after ? &k->after->c->diag : &k->before->c->diag;
    struct arena *a = k->after->arena;
    const struct rule *taken = rule_named("duplicate-name");
    const struct finding *found = NULL;
    for (uint32_t i = 0; i < has->findings.n; i++) {
        void **at = map_at(a, &count, 1, finding_key(k, &has->findings.at[i], !after));
        *at = (char *)*at + 1;
    }
    for (uint32_t i = 0; i < asks->findings.n; i++) {
        const struct finding *f = &asks->findings.at[i];
        void **at = map_at(a, &count, 1, finding_key(k, f, after));
        if (*at)
            *at = (char *)*at - 1;
        else if (!found || f->rule == taken)
            found = f;
    }
    return found;
}

bool where_renamed_well(const struct whereabouts *before, const struct whereabouts *after,
                        const struct where_edits *edits, const char **why)
{
    struct comparing k = {.before = before, .after = after, .edits = edits};
    const struct finding *added = first_other(&k, true),
                         *gone = added ? NULL : first_other(&k, false);
    if (added)
        *why = arena_printf(after->arena, "%s: %s", line_words(after, added->span), added->message);
    else if (gone)
        *why =
            arena_printf(after->arena, "then this would not be found any more: %s", gone->message);
    return !added && !gone && same_places(&k, why);
}
