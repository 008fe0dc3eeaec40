/* Findings as text in the GNU form, and as JSON. */
#include "diag/render.h"

#include "base/json.h"
#include "base/map.h"
#include "base/utf8.h"
#include "diag/diag.h"

#include <string.h>

struct text {
    struct diag *diag;
    struct buf *out;
    bool color;
    struct map told; /* rules whose waiver has been shown */
};

static void paint(struct text *t, const char *code)
{
    if (t->color)
        buf_printf(t->out, "\x1b[%sm", code);
}

/* A text on one line, with nothing hidden in it. */
static void one_line(struct buf *out, const char *text)
{
    size_t len = strlen(text), before = out->n;
    buf_reserve(out, UTF8_MASKED(len) + 1);
    out->n = (size_t)(utf8_mask(out->at + before, text, len) - out->at);
    for (size_t i = before; i < out->n; i++)
        out->at[i] = (unsigned char)out->at[i] < 0x20 ? ' ' : out->at[i];
}

static void head(struct text *t, struct span span, const char *word, const char *code)
{
    paint(t, "1");
    if (span.source) {
        struct position p = source_position(t->diag->arena, span.source, span.off);
        one_line(t->out, span.source->path);
        buf_printf(t->out, ":%u:%u: ", p.line, p.cell);
    } else {
        buf_puts(t->out, "studbay: ");
    }
    paint(t, code);
    buf_printf(t->out, "%s: ", word);
    paint(t, "0");
}

/* A line as it is, control characters replaced and tabs made blanks, so that the underline below
 * stays right. `cell` is where it begins. */
static void copy_line(struct buf *out, const char *line, uint32_t len, size_t cell)
{
    for (const char *end = line + len; line < end;) {
        size_t n;
        uint32_t c = utf8_next(line, end, &n);
        if (c == '\t') {
            size_t wide = 8 - cell % 8;
            buf_fill(out, ' ', wide);
            cell += wide;
        } else if (c == UTF8_BAD || utf8_is_hidden(c)) {
            buf_puts(out, "\xef\xbf\xbd");
            cell++;
        } else {
            buf_add(out, line, n);
            cell += utf8_width(c);
        }
        line += n;
    }
}

enum { LONGEST_LINE = 400 };
static const char CUT[] = "...";

/* The part of a line that is shown: of a very long one, what stands round `from`. Cuts fall between
 * characters. */
static void window(const char *line, uint32_t len, uint32_t from, uint32_t *start, uint32_t *end)
{
    *start = 0;
    *end = len;
    if (len <= LONGEST_LINE)
        return;
    if (from > LONGEST_LINE / 2)
        *start = from - LONGEST_LINE / 2;
    if (len - *start > LONGEST_LINE)
        *end = *start + LONGEST_LINE;
    while (*start < from && ((unsigned char)line[*start] & 0xc0) == 0x80)
        ++*start;
    while (*end<len && * end> from && ((unsigned char)line[*end] & 0xc0) == 0x80)
        --*end;
}

static void underline(struct text *t, const struct finding *f, size_t before, size_t cells)
{
    buf_puts(t->out, "\n      | ");
    buf_fill(t->out, ' ', before);
    paint(t, "1;32");
    buf_putc(t->out, '^');
    buf_fill(t->out, '~', cells > 1 ? cells - 1 : 0);
    paint(t, "0");
    buf_printf(t->out, " [%s]%s%s\n", f->rule->name, f->article ? " " : "",
               f->article ? f->article : "");
}

static void excerpt(struct text *t, const struct finding *f)
{
    struct source *s = f->span.source;
    uint32_t len, number = source_line_number(t->diag->arena, s, f->span.off);
    const char *line = source_line(t->diag->arena, s, number, &len), *at = s->bytes + f->span.off;
    uint32_t from = at < line ? 0 : (uint32_t)(at - line), start, end;
    if (from > len)
        from = len;
    window(line, len, from, &start, &end);
    size_t lead = start ? strlen(CUT) : 0;
    buf_printf(t->out, "%5u | %s", number, start ? CUT : "");
    copy_line(t->out, line + start, end - start, lead);
    buf_puts(t->out, end < len ? CUT : "");
    size_t before = lead + utf8_cells(line + start, from - start, lead);
    uint32_t under = f->span.len < end - from ? f->span.len : end - from;
    underline(t, f, before, utf8_cells(line + from, under, before));
}

void finding_waiver(const struct finding *f, struct buf *out)
{
    one_line(out, f->waived);
    buf_puts(out, f->waived_by || f->waived_on ? "; " : "");
    if (f->waived_by) {
        buf_puts(out, "by ");
        one_line(out, f->waived_by);
    }
    buf_puts(out, f->waived_by && f->waived_on ? ", " : "");
    if (f->waived_on)
        one_line(out, f->waived_on);
    if (f->severity == ERROR) /* advice may be left without asking anybody */
        buf_puts(out, " (needs the authority's written consent)");
}

const char *finding_waive_line(struct arena *arena, const struct finding *f)
{
    if (!f->rule->waivable || f->waived)
        return NULL;
    const char *subject = f->subject ? f->subject : "";
    size_t len = strcspn(subject, "\n");
    return arena_printf(arena, "waive %s%s%.*s because \"...\"", f->rule->name, len ? " in " : "",
                        (int)len, subject);
}

static const char *const codes[] = {"1;31", "1;35", "1;36"};

/* The statement that would let a finding stand, once for a rule: those of its other findings are
 * alike but for the place. */
static void show_waive_line(struct text *t, const struct finding *f)
{
    struct arena *arena = t->diag->arena;
    const char *line = finding_waive_line(arena, f);
    if (!line || map_get(&t->told, 0, (uintptr_t)f->rule))
        return;
    map_put(arena, &t->told, 0, (uintptr_t)f->rule, (void *)f->rule);
    head(t, f->span, "note", codes[NOTE]);
    buf_puts(t->out, "to let it stand: ");
    one_line(t->out, line);
    buf_putc(t->out, '\n');
}

static void show(struct text *t, const struct finding *f)
{
    head(t, f->span, f->waived ? "waived" : diag_severity_word(f->severity),
         f->waived ? "1;36" : codes[f->severity]);
    one_line(t->out, f->message);
    if (!f->span.source)
        buf_printf(t->out, " [%s]", f->rule->name);
    buf_putc(t->out, '\n');
    if (f->span.source)
        excerpt(t, f);
    for (uint32_t i = 0; i < f->related_count; i++) {
        head(t, f->related[i].span, "note", codes[NOTE]);
        one_line(t->out, f->related[i].message);
        buf_putc(t->out, '\n');
    }
    if (f->mend) {
        head(t, f->span, "note", codes[NOTE]);
        buf_puts(t->out, "to mend it: ");
        one_line(t->out, f->mend);
        buf_putc(t->out, '\n');
    }
    show_waive_line(t, f);
    if (f->waived) {
        head(t, f->span, "note", codes[NOTE]);
        buf_puts(t->out, "waived because ");
        finding_waiver(f, t->out);
        buf_putc(t->out, '\n');
    }
}

static bool wanted(const struct finding *f, struct diag_style style)
{
    return !style.only || !strcmp(f->rule->name, style.only);
}

void diag_text(struct diag *d, struct buf *out, struct diag_style style)
{
    struct text t = {.diag = d, .out = out, .color = style.color};
    for (uint32_t i = 0; i < d->findings.n; i++)
        if (wanted(&d->findings.at[i], style))
            show(&t, &d->findings.at[i]);
}

void diag_summary(const struct diag *d, struct buf *out)
{
    static const enum severity order[] = {ERROR, WARNING, NOTE};
    bool any = false;
    for (int i = 0; i < 3; i++) {
        uint32_t n = d->counts[order[i]];
        if (!n)
            continue;
        buf_printf(out, "%s%u %s%s", any ? ", " : "", n, diag_severity_word(order[i]),
                   n == 1 ? "" : "s");
        any = true;
    }
    if (!any)
        buf_puts(out, "no findings");
    if (d->waived)
        buf_printf(out, ", %u waived", d->waived);
    buf_putc(out, '\n');
}

static void json_position(struct json *j, struct diag *d, struct span span, uint32_t off,
                          const char *line, const char *column)
{
    if (!span.source) {
        json_string_member(j, line, NULL);
        json_string_member(j, column, NULL);
        return;
    }
    struct position p = source_position(d->arena, span.source, off);
    json_integer_member(j, line, p.line);
    json_integer_member(j, column, p.column);
}

static void json_place(struct json *j, struct diag *d, struct span span)
{
    json_string_member(j, "file", span.source ? span.source->path : NULL);
    json_position(j, d, span, span.off, "line", "column");
}

void diag_json_consent(struct json *j, const struct finding *f)
{
    json_string_member(j, "because", f->waived);
    json_string_member(j, "by", f->waived_by);
    json_string_member(j, "on", f->waived_on);
}

/* Only where there is one. */
static void json_waiver(struct json *j, const struct finding *f)
{
    if (!f->waived)
        return;
    json_key(j, "waiver");
    json_begin_object(j, JSON_ROW);
    diag_json_consent(j, f);
    json_end(j);
}

static void json_edit(struct json *j, struct diag *d, const struct edit *e)
{
    struct span span = {e->source, e->off, e->gone};
    json_begin_object(j, JSON_ROW);
    json_place(j, d, span);
    json_position(j, d, span, e->off + e->gone, "end_line", "end_column");
    json_string_member(j, "text", e->text);
    json_end(j);
}

/* Only where there are some. */
static void json_fixes(struct json *j, struct diag *d, const struct finding *f)
{
    if (!f->mends.n)
        return;
    json_key(j, "fixes");
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < f->mends.n; i++) {
        const struct mend *way = &f->mends.at[i];
        json_begin_object(j, JSON_ROW);
        json_string_member(j, "words", way->words);
        json_bool_member(j, "safe", way->safe);
        json_key(j, "edits");
        json_begin_array(j, JSON_ROW);
        for (uint32_t k = 0; k < way->edits.n; k++)
            json_edit(j, d, &way->edits.at[k]);
        json_end(j);
        json_end(j);
    }
    json_end(j);
}

static void json_finding(struct json *j, struct diag *d, const struct finding *f)
{
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "rule", f->rule->name);
    json_string_member(j, "severity", diag_severity_word(f->severity));
    json_string_member(j, "message", f->message);
    json_place(j, d, f->span);
    json_position(j, d, f->span, f->span.off + f->span.len, "end_line", "end_column");
    json_string_member(j, "article", f->article);
    if (f->recalled_count)
        json_texts_member(j, "recalled", f->recalled, f->recalled_count);
    if (f->unknown_count)
        json_texts_member(j, "unknown", f->unknown, f->unknown_count);
    json_string_member(j, "mend", f->mend);
    json_fixes(j, d, f);
    if (finding_waive_line(d->arena, f))
        json_string_member(j, "waive", finding_waive_line(d->arena, f));
    json_bool_member(j, "waived", f->waived);
    json_waiver(j, f);
    json_key(j, "related");
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < f->related_count; i++) {
        json_begin_object(j, JSON_ROW);
        json_place(j, d, f->related[i].span);
        json_string_member(j, "message", f->related[i].message);
        json_end(j);
    }
    json_end(j);
    json_end(j);
}

void diag_json(struct diag *d, struct buf *out, struct diag_style style, json_members *more,
               const void *of)
{
    struct json j = json_begin(out);
    json_begin_object(&j, JSON_LINES);
    json_key(&j, "findings");
    json_begin_array(&j, JSON_LINES);
    for (uint32_t i = 0; i < d->findings.n; i++)
        if (wanted(&d->findings.at[i], style))
            json_finding(&j, d, &d->findings.at[i]);
    json_end(&j);
    json_key(&j, "counts");
    json_begin_object(&j, JSON_ROW);
    json_integer_member(&j, "error", d->counts[ERROR]);
    json_integer_member(&j, "warning", d->counts[WARNING]);
    json_integer_member(&j, "note", d->counts[NOTE]);
    json_integer_member(&j, "waived", d->waived);
    json_end(&j);
    if (more)
        more(&j, of);
    json_end(&j);
    buf_putc(out, '\n');
}
