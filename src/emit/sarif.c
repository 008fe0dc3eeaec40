#include "emit/sarif.h"

#include "base/json.h"
#include "diag/diag.h"
#include "diag/render.h"
#include "emit/rule_page.h"

#include <ctype.h>
#include <string.h>
#include <unistd.h>

enum { HELP_WIDTH = 1 << 20 }; /* a host breaks lines itself */

struct writer {
    struct diag *diag;
    struct json *json;
    uint32_t *index; /* place among the rules of the run + 1; 0: not found in this plan */
    struct map seen; /* fingerprint -> how often it came already */
};

static void text_member(struct json *j, const char *name, const char *text)
{
    json_key(j, name);
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "text", text);
    json_end(j);
}

/* --- rules -------------------------------------------------------------------------------- */

/* Links lead nowhere on a host: what they are called is left. */
static void write_unlinked(struct json *j, struct rule_page page)
{
    struct buf b = {0};
    const char *end = page.text + page.size;
    for (const char *p = page.text; p < end; p++) {
        const char *close = *p == '[' ? memchr(p, ']', (size_t)(end - p)) : NULL,
                   *last = close && close + 1 < end && close[1] == '('
                               ? memchr(close, ')', (size_t)(end - close))
                               : NULL;
        if (last) {
            buf_add(&b, p + 1, (size_t)(close - p - 1));
            p = last;
        } else {
            buf_putc(&b, *p);
        }
    }
    json_string_member(j, "markdown", buf_text(&b));
    buf_free(&b);
}

static void write_help(struct writer *w, const struct rule *rule)
{
    struct rule_page page = rule_page_words(rule_page_of(rule->name));
    struct buf plain = {0};
    if (page.text)
        rule_page_plain(&plain, page, HELP_WIDTH);
    json_key(w->json, "help");
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "text", page.text ? buf_text(&plain) : rule->asks);
    if (page.text)
        write_unlinked(w->json, page);
    json_end(w->json);
    buf_free(&plain);
}

static void write_rule(struct writer *w, const struct rule *rule)
{
    static const char *const levels[] = {"error", "warning", "note"};
    struct json *j = w->json;
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "id", rule->name);
    json_string_member(j, "name", rule->name);
    text_member(j, "shortDescription", rule->asks);
    text_member(
        j, "fullDescription",
        arena_printf(w->diag->arena, "%s. studbay explain %s tells more.", rule->asks, rule->name));
    json_break(j);
    write_help(w, rule);
    json_break(j);
    json_key(j, "defaultConfiguration");
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "level", levels[rule->severity]);
    json_end(j);
    json_end(j);
}

static void write_rules(struct writer *w)
{
    uint32_t count = 0;
    w->index = arena_array(w->diag->arena, uint32_t, rule_count);
    for (uint32_t i = 0; i < w->diag->findings.n; i++)
        w->index[*w->diag->findings.at[i].rule->place] = 1;
    json_key(w->json, "rules");
    json_begin_array(w->json, JSON_LINES);
    for (uint32_t i = 0; i < rule_count; i++) {
        if (!w->index[i])
            continue;
        write_rule(w, rule_list[i]);
        w->index[i] = ++count;
    }
    json_end(w->json);
}

/* --- places ------------------------------------------------------------------------------- */

/* An absolute path without "." and "..". */
static const char *tidy_path(struct arena *a, const char *path)
{
    struct buf b = {0};
    while (*path) {
        size_t n = strcspn(path + 1, "/");
        if (n == 2 && !memcmp(path + 1, "..", 2)) {
            while (b.n && b.at[--b.n] != '/')
                continue;
        } else if (n && !(n == 1 && path[1] == '.')) {
            buf_add(&b, path, n + 1);
        }
        path += n + 1;
    }
    const char *tidy = arena_copy(a, buf_text(&b), b.n);
    buf_free(&b);
    return tidy;
}

/* A path as a host finds it: from the folder in which the check was begun, which is the top of what
 * it checked out; a file elsewhere by the scheme `file`. What is no letter, digit or mark of a path
 * is written by its bytes. */
static void write_uri(struct writer *w, const char *path)
{
    char folder[4096];
    const char *top = getcwd(folder, sizeof folder) ? folder : "";
    size_t n = strlen(top);
    path = tidy_path(w->diag->arena,
                     *path == '/' ? path : arena_printf(w->diag->arena, "%s/%s", top, path));
    if (n && !strncmp(path, top, n) && path[n] == '/')
        path += n + 1;
    struct buf uri = {0};
    buf_puts(&uri, *path == '/' ? "file://" : "");
    for (; *path; path++) {
        unsigned char c = (unsigned char)*path;
        if (isalnum(c) || strchr("-._~/", c))
            buf_putc(&uri, (char)c);
        else
            buf_printf(&uri, "%%%02X", c);
    }
    json_string_member(w->json, "uri", buf_text(&uri));
    buf_free(&uri);
}

static void write_place(struct writer *w, struct span s)
{
    struct json *j = w->json;
    struct position from = source_position(w->diag->arena, s.source, s.off),
                    to = source_position(w->diag->arena, s.source, s.off + s.len);
    json_key(j, "physicalLocation");
    json_begin_object(j, JSON_ROW);
    json_key(j, "artifactLocation");
    json_begin_object(j, JSON_ROW);
    write_uri(w, s.source->path);
    json_end(j);
    json_key(j, "region");
    json_begin_object(j, JSON_ROW);
    json_integer_member(j, "startLine", from.line);
    json_integer_member(j, "startColumn", from.column);
    json_integer_member(j, "endLine", to.line);
    json_integer_member(j, "endColumn",
                        to.line == from.line && to.column == from.column ? to.column + 1
                                                                         : to.column);
    json_end(j);
    json_end(j);
}

static void write_related(struct writer *w, const struct finding *f)
{
    bool any = false;
    for (uint32_t i = 0; i < f->related_count; i++) {
        if (!f->related[i].span.source)
            continue;
        if (!any) {
            json_break(w->json);
            json_key(w->json, "relatedLocations");
            json_begin_array(w->json, JSON_ROW);
        }
        json_begin_object(w->json, JSON_ROW);
        json_integer_member(w->json, "id", i + 1);
        write_place(w, f->related[i].span);
        text_member(w->json, "message", f->related[i].message);
        json_end(w->json);
        any = true;
    }
    if (any)
        json_end(w->json);
}

/* What others keep beside a finding to know it again: this way of hashing (FNV-1a, and one mixing)
 * stays as it is from version to version. */
static uint64_t fingerprint(const struct buf *b)
{
    uint64_t h = 0xcbf29ce484222325u;
    for (size_t i = 0; i < b->n; i++)
        h = (h ^ (unsigned char)b->at[i]) * 0x100000001b3u;
    return h ^ h >> 29;
}

/* The rule, what it is about and the words of its line, not the line's number: a finding keeps its
 * fingerprint while other lines come and go. */
static void write_fingerprint(struct writer *w, const struct finding *f)
{
    struct buf b = {0};
    buf_printf(&b, "%s\n%s\n", f->rule->name, f->subject ? f->subject : "");
    uint32_t len;
    struct position p = source_position(w->diag->arena, f->span.source, f->span.off);
    const char *line = source_line(w->diag->arena, f->span.source, p.line, &len);
    for (uint32_t i = 0; i < len; i++)
        if (!isspace((unsigned char)line[i]))
            buf_putc(&b, line[i]);
    uint64_t hash = fingerprint(&b);
    buf_free(&b);
    void **count = map_at(w->diag->arena, &w->seen, (uintptr_t)hash, 1);
    *count = (void *)((uintptr_t)*count + 1);
    json_break(w->json);
    json_key(w->json, "partialFingerprints");
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "primaryLocationLineHash",
                       arena_printf(w->diag->arena, "%016llx:%llu", (unsigned long long)hash,
                                    (unsigned long long)(uintptr_t)*count));
    json_end(w->json);
}

/* --- fixes -------------------------------------------------------------------------------- */

/* What is put in has an empty region. */
static void write_replacement(struct writer *w, const struct edit *e)
{
    struct json *j = w->json;
    struct position from = source_position(w->diag->arena, e->source, e->off),
                    to = source_position(w->diag->arena, e->source, e->off + e->gone);
    json_begin_object(j, JSON_ROW);
    json_key(j, "deletedRegion");
    json_begin_object(j, JSON_ROW);
    json_integer_member(j, "startLine", from.line);
    json_integer_member(j, "startColumn", from.column);
    json_integer_member(j, "endLine", to.line);
    json_integer_member(j, "endColumn", to.column);
    json_end(j);
    text_member(j, "insertedContent", e->text);
    json_end(j);
}

/* The edits from `i` on that are of one file; gives the first behind them. */
static uint32_t write_artifact_change(struct writer *w, const edit_list *edits, uint32_t i)
{
    struct json *j = w->json;
    const struct source *source = edits->at[i].source;
    json_begin_object(j, JSON_ROW);
    json_key(j, "artifactLocation");
    json_begin_object(j, JSON_ROW);
    write_uri(w, source->path);
    json_end(j);
    json_key(j, "replacements");
    json_begin_array(j, JSON_ROW);
    for (; i < edits->n && edits->at[i].source == source; i++)
        write_replacement(w, &edits->at[i]);
    json_end(j);
    json_end(j);
    return i;
}

static void write_fix(struct writer *w, const struct mend *way)
{
    struct json *j = w->json;
    json_begin_object(j, JSON_ROW);
    text_member(j, "description", way->words);
    json_key(j, "artifactChanges");
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < way->edits.n;)
        i = write_artifact_change(w, &way->edits, i);
    json_end(j);
    json_key(j, "properties");
    json_begin_object(j, JSON_ROW);
    json_bool_member(j, "safe", way->safe);
    json_end(j);
    json_end(j);
}

static void write_fixes(struct writer *w, const struct finding *f)
{
    if (!f->mends.n)
        return;
    json_break(w->json);
    json_key(w->json, "fixes");
    json_begin_array(w->json, JSON_ROW);
    for (uint32_t i = 0; i < f->mends.n; i++)
        write_fix(w, &f->mends.at[i]);
    json_end(w->json);
}

/* --- findings ----------------------------------------------------------------------------- */

static void write_waiver(struct json *j, const struct finding *f)
{
    struct buf why = {0};
    finding_waiver(f, &why);
    json_break(j);
    json_key(j, "suppressions");
    json_begin_array(j, JSON_ROW);
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "kind", "inSource");
    json_string_member(j, "status", "underReview");
    json_string_member(j, "justification", buf_text(&why));
    json_end(j);
    json_end(j);
    buf_free(&why);
}

/* How far the book behind a finding can be trusted: the tables of it that were written from memory,
 * and what of the edition no published page told. */
static void write_trust(struct json *j, const struct finding *f)
{
    if (!f->recalled_count && !f->unknown_count)
        return;
    json_break(j);
    json_key(j, "properties");
    json_begin_object(j, JSON_ROW);
    if (f->recalled_count)
        json_texts_member(j, "recalled", f->recalled, f->recalled_count);
    if (f->unknown_count)
        json_texts_member(j, "unknown", f->unknown, f->unknown_count);
    json_end(j);
}

static void write_finding(struct writer *w, const struct finding *f)
{
    struct arena *a = w->diag->arena;
    struct json *j = w->json;
    const char *text = f->article ? arena_printf(a, "%s (%s)", f->message, f->article) : f->message;
    if (f->mend)
        text = arena_printf(a, "%s. To mend it: %s", text, f->mend);
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "ruleId", f->rule->name);
    json_integer_member(j, "ruleIndex", (int64_t)w->index[*f->rule->place] - 1);
    json_string_member(j, "level", diag_severity_word(f->severity));
    json_break(j);
    text_member(j, "message", text);
    if (f->span.source) {
        json_break(j);
        json_key(j, "locations");
        json_begin_array(j, JSON_ROW);
        json_begin_object(j, JSON_ROW);
        write_place(w, f->span);
        json_end(j);
        json_end(j);
        write_related(w, f);
        write_fingerprint(w, f);
    }
    write_fixes(w, f);
    if (f->waived)
        write_waiver(j, f);
    write_trust(j, f);
    json_end(j);
}

static void write_tool(struct writer *w, const char *version)
{
    json_key(w->json, "tool");
    json_begin_object(w->json, JSON_LINES);
    json_key(w->json, "driver");
    json_begin_object(w->json, JSON_LINES);
    json_string_member(w->json, "name", "studbay");
    json_string_member(w->json, "version", version);
    write_rules(w);
    json_end(w->json);
    json_end(w->json);
}

void sarif_write(struct diag *d, const char *version, struct buf *out)
{
    struct json json = json_begin(out), *j = &json;
    struct writer w = {.diag = d, .json = j};
    json_begin_object(j, JSON_LINES);
    json_string_member(j, "$schema",
                       "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/"
                       "sarif-schema-2.1.0.json");
    json_string_member(j, "version", "2.1.0");
    json_key(j, "runs");
    json_begin_array(j, JSON_LINES);
    json_begin_object(j, JSON_LINES);
    write_tool(&w, version);
    json_string_member(j, "columnKind", "unicodeCodePoints");
    json_key(j, "results");
    json_begin_array(j, JSON_LINES);
    for (uint32_t i = 0; i < d->findings.n; i++)
        write_finding(&w, &d->findings.at[i]);
    json_end(j);
    json_end(j);
    json_end(j);
    json_end(j);
    buf_putc(out, '\n');
}
