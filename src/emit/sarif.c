#include "emit/sarif.h"

#include "emit/rule_page.h"

#include <ctype.h>
#include <string.h>
#include <unistd.h>

enum { HELP_WIDTH = 1 << 20 }; /* a host breaks lines itself */

struct writer {
    struct diag *diag;
    struct buf *out;
    uint32_t *index; /* place among the rules of the run + 1; 0: not found in this plan */
    struct map seen; /* fingerprint -> how often it came already */
};

static void text_member(struct buf *out, const char *name, const char *text)
{
    buf_printf(out, "\"%s\": {\"text\": ", name);
    buf_json(out, text);
    buf_putc(out, '}');
}

/* --- rules -------------------------------------------------------------------------------- */

/* Links lead nowhere on a host: what they are called is left. */
static void write_unlinked(struct writer *w, struct rule_page page)
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
    buf_json(w->out, buf_text(&b));
    buf_free(&b);
}

static void write_help(struct writer *w, const struct rule *rule)
{
    struct rule_page page = rule_page_words(rule_page_of(rule->name));
    struct buf plain = {0};
    if (page.text)
        rule_page_plain(&plain, page, HELP_WIDTH);
    buf_puts(w->out, "\"help\": {\"text\": ");
    buf_json(w->out, page.text ? buf_text(&plain) : rule->asks);
    if (page.text) {
        buf_puts(w->out, ", \"markdown\": ");
        write_unlinked(w, page);
    }
    buf_putc(w->out, '}');
    buf_free(&plain);
}

static void write_rule(struct writer *w, const struct rule *rule, bool first)
{
    static const char *const levels[] = {"error", "warning", "note"};
    buf_printf(w->out, "%s\n            {\"id\": \"%s\", \"name\": \"%s\", ", first ? "" : ",",
               rule->name, rule->name);
    text_member(w->out, "shortDescription", rule->asks);
    buf_puts(w->out, ", ");
    text_member(
        w->out, "fullDescription",
        arena_printf(w->diag->arena, "%s. studbay explain %s tells more.", rule->asks, rule->name));
    buf_puts(w->out, ",\n             ");
    write_help(w, rule);
    buf_printf(w->out, ",\n             \"defaultConfiguration\": {\"level\": \"%s\"}}",
               levels[rule->severity]);
}

static void write_rules(struct writer *w)
{
    uint32_t count = 0;
    w->index = arena_array(w->diag->arena, uint32_t, rule_count);
    for (uint32_t i = 0; i < w->diag->findings.n; i++)
        w->index[*w->diag->findings.at[i].rule->place] = 1;
    buf_puts(w->out, "\"rules\": [");
    for (uint32_t i = 0; i < rule_count; i++) {
        if (!w->index[i])
            continue;
        write_rule(w, rule_list[i], !count);
        w->index[i] = ++count;
    }
    buf_puts(w->out, count ? "\n          ]" : "]");
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
    buf_printf(w->out, "\"%s", *path == '/' ? "file://" : "");
    for (; *path; path++) {
        unsigned char c = (unsigned char)*path;
        if (isalnum(c) || strchr("-._~/", c))
            buf_putc(w->out, (char)c);
        else
            buf_printf(w->out, "%%%02X", c);
    }
    buf_putc(w->out, '"');
}

static void write_place(struct writer *w, struct span s)
{
    struct position from = source_position(w->diag->arena, s.source, s.off),
                    to = source_position(w->diag->arena, s.source, s.off + s.len);
    buf_puts(w->out, "\"physicalLocation\": {\"artifactLocation\": {\"uri\": ");
    write_uri(w, s.source->path);
    buf_printf(w->out,
               "}, \"region\": {\"startLine\": %u, \"startColumn\": %u, \"endLine\": %u, "
               "\"endColumn\": %u}}",
               from.line, from.column, to.line,
               to.line == from.line && to.column == from.column ? to.column + 1 : to.column);
}

static void write_related(struct writer *w, const struct finding *f)
{
    bool any = false;
    for (uint32_t i = 0; i < f->related_count; i++) {
        if (!f->related[i].span.source)
            continue;
        buf_printf(w->out, "%s{\"id\": %u, ", any ? ", " : ",\n         \"relatedLocations\": [",
                   i + 1);
        write_place(w, f->related[i].span);
        buf_puts(w->out, ", ");
        text_member(w->out, "message", f->related[i].message);
        buf_putc(w->out, '}');
        any = true;
    }
    buf_puts(w->out, any ? "]" : "");
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
    buf_printf(
        w->out,
        ",\n         \"partialFingerprints\": {\"primaryLocationLineHash\": \"%016llx:%llu\"}",
        (unsigned long long)hash, (unsigned long long)(uintptr_t)*count);
}

/* --- findings ----------------------------------------------------------------------------- */

static void write_finding(struct writer *w, const struct finding *f, bool first)
{
    struct arena *a = w->diag->arena;
    const char *text = f->article ? arena_printf(a, "%s (%s)", f->message, f->article) : f->message;
    if (f->mend)
        text = arena_printf(a, "%s. To mend it: %s", text, f->mend);
    buf_printf(
        w->out, "%s\n        {\"ruleId\": \"%s\", \"ruleIndex\": %u, \"level\": \"%s\",\n         ",
        first ? "" : ",", f->rule->name, w->index[*f->rule->place] - 1, severity_word(f->severity));
    text_member(w->out, "message", text);
    if (f->span.source) {
        buf_puts(w->out, ",\n         \"locations\": [{");
        write_place(w, f->span);
        buf_puts(w->out, "}]");
        write_related(w, f);
        write_fingerprint(w, f);
    }
    if (f->waived) {
        buf_puts(w->out, ",\n         \"suppressions\": [{\"kind\": \"inSource\", \"status\": "
                         "\"underReview\", \"justification\": ");
        struct buf why = {0};
        finding_waiver(f, &why);
        buf_json(w->out, buf_text(&why));
        buf_free(&why);
        buf_puts(w->out, "}]");
    }
    buf_putc(w->out, '}');
}

void sarif_write(struct diag *d, const char *version, struct buf *out)
{
    struct writer writer = {.diag = d, .out = out}, *w = &writer;
    buf_puts(out, "{\n  \"$schema\": "
                  "\"https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/"
                  "sarif-schema-2.1.0.json\",\n  \"version\": \"2.1.0\",\n"
                  "  \"runs\": [\n    {\n      \"tool\": {\n        \"driver\": {\n          "
                  "\"name\": \"studbay\",\n          \"version\": ");
    buf_json(out, version);
    buf_puts(out, ",\n          ");
    write_rules(w);
    buf_puts(out, "\n        }\n      },\n      \"columnKind\": \"unicodeCodePoints\",\n      "
                  "\"results\": [");
    for (uint32_t i = 0; i < d->findings.n; i++)
        write_finding(w, &d->findings.at[i], !i);
    buf_puts(out, d->findings.n ? "\n      ]\n    }\n  ]\n}\n" : "]\n    }\n  ]\n}\n");
}
