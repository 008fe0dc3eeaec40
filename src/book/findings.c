/* What the check found, what was let stand, what was not looked at, and what the author notes. */
#include "book/work.h"

#include "diag/diag.h"
#include "diag/render.h"
#include "emit/unchecked.h"
#include "emit/words/circuits.h"

#include <string.h>

/* "studio.bay, line 12": folders of the machine that it was made on are nobody's matter. */
static const char *place_words(const struct book *b, struct span span)
{
    if (!span.source)
        return NULL;
    const char *slash = strrchr(span.source->path, '/'),
               *name = slash ? slash + 1 : span.source->path;
    return arena_printf(b->arena, "%s, line %u", name,
                        source_line_number(b->arena, span.source, span.off));
}

static void put_finding(struct book *b, const struct finding *f)
{
    static const char *const marks[] = {[ERROR] = "! ", [WARNING] = "", [NOTE] = ""};
    const char *place = place_words(b, f->span);
    html_put(b->out,
             "<li class=\"finding %t\"><p><b>%t%t</b> %a</p>\n<p class=\"small\">%t%t%t%t%t</p>\n",
             diag_severity_word(f->severity), marks[f->severity], diag_severity_word(f->severity),
             f->message, f->rule->name, place ? " \u00b7 " : "", place,
             f->article ? " \u00b7 " : "", f->article);
    if (f->mend)
        html_put(b->out, "<p class=\"small\">To mend it: %a</p>\n", f->mend);
    html_put(b->out, "</li>\n");
}

static void put_severity(struct book *b, enum severity severity, const char *heading)
{
    const struct diag *d = b->r->diag;
    if (!d->counts[severity])
        return;
    html_put(b->out, "<h3>%t</h3>\n<ul class=\"findings\">\n", heading);
    for (uint32_t i = 0; i < d->findings.n; i++)
        if (d->findings.at[i].severity == severity && !d->findings.at[i].waived)
            put_finding(b, &d->findings.at[i]);
    html_put(b->out, "</ul>\n");
}

static void put_waived(struct book *b)
{
    const struct diag *d = b->r->diag;
    if (!d->waived)
        return;
    html_put(b->out, "<h3>Let stand</h3>\n<ul class=\"findings\">\n");
    for (uint32_t i = 0; i < d->findings.n; i++) {
        const struct finding *f = &d->findings.at[i];
        struct buf why = {0};
        if (!f->waived)
            continue;
        finding_waiver(f, &why);
        const char *subject = words_subject(b->r, f);
        html_put(b->out,
                 "<li class=\"finding waived\"><p><b>W waived</b> %a</p>\n"
                 "<p class=\"small\">%t%t%t; because %a</p></li>\n",
                 f->message, f->rule->name, subject ? " \u00b7 " : "", subject, buf_text(&why));
        buf_free(&why);
    }
    html_put(b->out, "</ul>\n");
}

/* --- what a report says under it ---------------------------------------------------------- */

static bool was_put(struct book *b, struct map *seen, const char *text)
{
    const char *name = names_of(b->r->model->names, text);
    void **at = map_at(b->arena, seen, 0, (uintptr_t)name);
    bool before = *at != NULL;
    *at = (void *)name;
    return before;
}

/* Amendments, and what was not compared with a book; waivers stand above. */
static void put_exceptions(struct book *b, struct map *seen, const struct report *report)
{
    for (uint32_t i = 0; i < report->exceptions.n; i++) {
        const char *text = report->exceptions.at[i];
        if (strncmp(text, "waived: ", strlen("waived: ")) && !was_put(b, seen, text))
            html_put(b->out, "<p>%a</p>\n", text);
    }
}

static void put_report_remarks(struct book *b, struct map *seen, const struct report *report)
{
    for (uint32_t i = 0; i < report->notes.n; i++)
        if (!was_put(b, seen, report->notes.at[i]))
            html_put(b->out, "<p>%a</p>\n", report->notes.at[i]);
    put_exceptions(b, seen, report);
    if (!was_put(b, seen, report->def->caution))
        html_put(b->out, "<p>%t</p>\n", report->def->caution);
}

/* What the book holds of these reports, so what stands under them stands here. */
static void put_remarks(struct book *b)
{
    static const char *const others[] = {"makeup", "runs", "panel"};
    struct map seen = {0};
    html_put(b->out, "<h3>How to read this book, and what it rests on</h3>\n");
    put_report_remarks(b, &seen, &b->places);
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        struct report report = {.def = report_named(others[i])};
        report_make(b->r, &report);
        put_report_remarks(b, &seen, &report);
    }
    put_report_remarks(b, &seen, &b->todo);
}

static void put_unchecked(struct book *b)
{
    const char *words = unchecked_words(b->arena, b->r->diag, b->r->verdict);
    html_put(b->out, "<h3>Not looked at</h3>\n");
    while (*words) {
        size_t len = strcspn(words, "\n");
        html_put(b->out, "<p>%a</p>\n", arena_copy(b->arena, words, len));
        words += len + (words[len] == '\n');
    }
}

static void put_notes(struct book *b)
{
    const struct model *m = b->r->model;
    if (!m->notes.n)
        return;
    html_put(b->out, "<h3>Notes of the plan</h3>\n<ul class=\"findings\">\n");
    for (uint32_t i = 0; i < m->notes.n; i++)
        html_put(b->out, "<li class=\"finding\"><p>%a</p></li>\n", m->notes.at[i]);
    html_put(b->out, "</ul>\n");
}

void book_put_findings(struct book *b)
{
    struct buf summary = {0};
    diag_summary(b->r->diag, &summary);
    html_put(b->out,
             "<section id=\"~findings\">\n"
             "<h2>Findings and notes</h2>\n<p class=\"says\">%t</p>\n%m",
             buf_text(&summary), b->band);
    buf_free(&summary);
    put_severity(b, ERROR, "Errors: to be mended before anything is built");
    put_severity(b, WARNING, "Warnings");
    put_severity(b, NOTE, "Remarks");
    put_waived(b);
    put_notes(b);
    put_unchecked(b);
    put_remarks(b);
    html_put(b->out, "</section>\n");
}
