/* A mend that can be written does what it says: its finding goes, no other comes, comments stay,
 * and a text that was laid out is so again. */
#include "mended.h"

#include "diag/edits.h"
#include "fmt/fit.h"
#include "fmt/fmt.h"
#include "plans.h"
#include "properties.h"
#include "random.h"
#include "syntax/lexer.h"
#include "syntax/token.h"
#include "syntax/tree.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* --- texts -------------------------------------------------------------------------------- */

struct new_texts {
    char (*real)[PATH_MAX];
    struct buf *text;
    uint32_t count;
};

static const char *new_text(const void *of, const char *real, size_t *size)
{
    const struct new_texts *t = of;
    for (uint32_t i = 0; i < t->count; i++)
        if (!strcmp(t->real[i], real)) {
            *size = t->text[i].n;
            return buf_text(&t->text[i]);
        }
    return NULL;
}

static struct new_texts write_texts(struct compilation *c, const edit_list *edits)
{
    struct new_texts t = {calloc(c->source_count, sizeof *t.real),
                          calloc(c->source_count, sizeof *t.text), c->source_count};
    for (uint32_t i = 0; i < t.count; i++) {
        if (!realpath(c->sources[i]->path, t.real[i]))
            abort();
        edits_apply(edits, c->sources[i], &t.text[i]);
    }
    return t;
}

static void free_texts(struct new_texts *t)
{
    for (uint32_t i = 0; i < t->count; i++)
        buf_free(&t->text[i]);
    free(t->text);
    free(t->real);
}

/* Appends every comment of a text, each on a line; the lexer wants a NUL behind it. */
static void list_comments(struct arena *arena, const char *bytes, size_t size, struct buf *out)
{
    struct diag nobody = {.arena = arena};
    bytes = arena_copy(arena, bytes, size);
    struct source s = {.path = "", .bytes = bytes, .size = (uint32_t)size};
    lex(&nobody, &s);
    for (uint32_t i = 0; i < s.token_count; i++) {
        const char *at = bytes + (i ? s.tokens[i - 1].off + s.tokens[i - 1].len : 0),
                   *end = bytes + s.tokens[i].off;
        while (at < end && (at = memchr(at, '#', (size_t)(end - at)))) {
            size_t len = strcspn(at, "\r\n");
            buf_printf(out, "%.*s\n", (int)len, at);
            at += len;
        }
    }
}

static bool same_comments(const struct source *s, const struct buf *text)
{
    struct arena arena = {0};
    struct buf before = {0}, after = {0};
    list_comments(&arena, s->bytes, s->size, &before);
    list_comments(&arena, text->at, text->n, &after);
    bool same = !strcmp(buf_text(&before), buf_text(&after));
    buf_free(&before);
    buf_free(&after);
    arena_free(&arena);
    return same;
}

/* Whether a text is what the formatter makes of it. */
static bool is_laid_out(const char *bytes, size_t size)
{
    struct arena arena = {0};
    struct diag nobody = {.arena = &arena};
    struct source s = {.path = "", .bytes = bytes, .size = (uint32_t)size};
    struct buf text = {0};
    bool same = lex(&nobody, &s) && layout(&nobody, &arena, &s) &&
                fmt_source(&nobody, &arena, &s, &text) && text.n == size &&
                !memcmp(buf_text(&text), bytes, size);
    buf_free(&text);
    arena_free(&arena);
    return same;
}

/* --- findings ----------------------------------------------------------------------------- */

/* A finding without what a mend may move: the figures of its message. */
static bool same_but_for_figures(const char *a, const char *b)
{
    while (*a && *b) {
        a += strspn(a, "0123456789");
        b += strspn(b, "0123456789");
        if (*a != *b)
            return false;
        a += *a != 0;
        b += *b != 0;
    }
    return !*a && !*b;
}

static uint32_t count_like(const struct compilation *c, const struct finding *f, bool figures)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *g = &c->diag.findings.at[i];
        n += g->rule == f->rule && !g->waived &&
             (figures ? same_but_for_figures(g->message, f->message)
                      : !strcmp(g->message, f->message) &&
                            !strcmp(g->subject ? g->subject : "", f->subject ? f->subject : ""));
    }
    return n;
}

/* What served nothing but what was mended is left over then. */
static bool follows(const char *rule)
{
    return !strcmp(rule, "unused-definition") || !strcmp(rule, "stale-waiver");
}

static const struct finding *first_new(const struct compilation *c, const struct compilation *after)
{
    for (uint32_t i = 0; i < after->diag.findings.n; i++) {
        const struct finding *f = &after->diag.findings.at[i];
        if (f->severity != NOTE && !f->waived && !follows(f->rule->name) &&
            count_like(after, f, true) > count_like(c, f, true))
            return f;
    }
    return NULL;
}

struct mended mended_by(struct compilation *c, const char *path, const char *log,
                        const struct finding *f, struct mend *way, struct buf *why)
{
    struct mended m = {.comments = true, .laid_out = true};
    struct fit fit = {.arena = &c->arena};
    fit_mend(&fit, way);
    struct new_texts t = write_texts(c, &way->edits);
    for (uint32_t i = 0; i < t.count; i++) {
        const struct source *s = c->sources[i];
        m.comments = m.comments && same_comments(s, &t.text[i]);
        m.laid_out = m.laid_out && (!is_laid_out(s->bytes, s->size) ||
                                    is_laid_out(buf_text(&t.text[i]), t.text[i].n));
    }
    struct compilation after;
    compile(
        &after, path,
        (struct compile_options){.library = plan_library(), .log = log, .unsaved = {new_text, &t}});
    m.gone = count_like(&after, f, false) < count_like(c, f, false);
    const struct finding *other = first_new(c, &after);
    m.no_other = !other;
    buf_printf(why, "%s, mended by \"%s\"%s%s%s", f->rule->name, way->words,
               m.gone ? "" : ", is still there", m.comments ? "" : ", loses a comment",
               m.laid_out ? "" : ", is not laid out");
    if (other)
        buf_printf(why, ", brings %s: %s", other->rule->name, other->message);
    compile_free(&after);
    free_texts(&t);
    return m;
}

/* --- of any plan -------------------------------------------------------------------------- */

property_function property_mended;

/* One of the mends that can be written. */
bool property_mended(const struct subject *s, struct buf *why)
{
    uint64_t state = s->seed;
    uint32_t n = 0;
    struct finding *f = NULL;
    struct mend *way = NULL;
    for (uint32_t i = 0; i < s->c->diag.findings.n; i++)
        for (uint32_t k = 0; k < s->c->diag.findings.at[i].mends.n; k++)
            if (!s->c->diag.findings.at[i].waived && !pick(&state, ++n)) {
                f = &s->c->diag.findings.at[i];
                way = &f->mends.at[k];
            }
    if (!way)
        return true;
    char log[512];
    snprintf(log, sizeof log, "%.*slog", (int)(strlen(s->path) - strlen("bay")), s->path);
    struct mended m = mended_by(s->c, s->path, s->text->log.n ? log : NULL, f, way, why);
    bool reads = !f->rule->waivable; /* what could not be read may hold anything */
    return m.gone && m.comments && m.laid_out && (m.no_other || reads);
}
