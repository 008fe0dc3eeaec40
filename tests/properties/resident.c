/* A plan that is changed word by word and compiled again each time with what the compilations
 * before came to (framing/ways.h): it comes to what it comes to without, in findings, ways, holes
 * and every report. */
#include "properties.h"
#include "random.h"

#include "base/file.h"
#include "diag/render.h"
#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "framing/routes.h"
#include "model/power.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

property_function property_resident;

enum { CHANGES = 24 };

/* --- changes ------------------------------------------------------------------------------ */

/* Puts `size` bytes in the place of `gone` ones. */
static void put(struct buf *text, size_t at, size_t gone, const char *bytes, size_t size)
{
    struct buf is = {0};
    buf_add(&is, text->at, at);
    buf_add(&is, bytes, size);
    buf_add(&is, text->at + at + gone, text->n - at - gone);
    buf_text(&is);
    buf_free(text);
    *text = is;
}

/* Another digit in the place of one: a thing moves, grows or has another number. */
static void change_digit(struct buf *text, uint64_t *random)
{
    for (int tries = 0; tries < 200; tries++) {
        size_t at = pick(random, (unsigned)text->n);
        if (!isdigit((unsigned char)text->at[at]))
            continue;
        char digit = (char)('1' + pick(random, 9));
        put(text, at, 1, &digit, 1);
        return;
    }
}

static size_t line_from(const struct buf *text, size_t at)
{
    while (at && text->at[at - 1] != '\n')
        at--;
    return at;
}

static size_t line_size(const struct buf *text, size_t at)
{
    const char *end = memchr(text->at + at, '\n', text->n - at);
    return end ? (size_t)(end + 1 - text->at) - at : text->n - at;
}

/* A line goes, or stands once more where another is; names come twice then, or are missed. */
static void move_line(struct buf *text, uint64_t *random, bool leave)
{
    size_t from = line_from(text, pick(random, (unsigned)text->n)), size = line_size(text, from),
           to = line_from(text, pick(random, (unsigned)text->n));
    char *line = malloc(size + 1);
    memcpy(line, text->at + from, size);
    put(text, from, size, "", 0);
    if (!leave)
        put(text, to < from ? to : to >= from + size ? to - size : from, 0, line, size);
    free(line);
}

static void change_text(struct buf *text, uint64_t *random)
{
    if (chance(random, 70))
        change_digit(text, random);
    else if (chance(random, 70))
        move_line(text, random, false);
    else
        move_line(text, random, true);
}

/* --- what comes of it --------------------------------------------------------------------- */

static void tell_place(struct buf *out, struct place3 p)
{
    buf_printf(out, " %lld,%lld,%lld", (long long)p.x, (long long)p.y, (long long)p.z);
}

static void tell_routes(struct buf *out, const struct compilation *c)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct route *r = &c->routes->of_run[i];
        buf_printf(out, "run %u: %d %lld %lld %lld", i, r->known + 2 * r->measured + 4 * r->blocked,
                   (long long)r->path, (long long)r->cut, (long long)r->electrical);
        buf_printf(out, " %u %u %u %u\n", r->bores, r->notches, r->supports, r->plates);
        for (uint32_t k = 0; k < r->segment_count; k++) {
            const struct segment *s = &r->segments[k];
            buf_printf(out, "  %d %u", s->kind, s->room ? s->wall : 0);
            tell_place(out, s->from);
            tell_place(out, s->to);
            buf_printf(out, " %lld %u+%u\n", (long long)s->length, s->first, s->count);
        }
        for (uint32_t k = 0; k < r->passed_count; k++) {
            struct passed p = route_member(c->routes->frame, r, k);
            buf_printf(out, "  through %d", p.member);
            tell_place(out, p.at);
            buf_putc(out, '\n');
        }
    }
}

static void tell_all(struct buf *out, struct compilation *c)
{
    struct results r;
    diag_text(&c->diag, out, (struct diag_style){0});
    if (c->model)
        tell_routes(out, c);
    if (c->model && cmd_results(c, &r))
        for (uint32_t i = 0; i < report_count; i++)
            report_write(&report_table[i], &r, REPORT_JSON, out);
}

static void come_to(struct buf *out, const char *path, struct resident *known)
{
    struct compilation c;
    compile(
        &c, path,
        (struct compile_options){.library = plan_library(), .mentions = true, .resident = known});
    tell_all(out, &c);
    compile_free(&c);
}

static bool same_by_both(const char *path, struct resident *known, struct buf *why)
{
    struct buf by_known = {0}, alone = {0};
    come_to(&by_known, path, known);
    come_to(&alone, path, NULL);
    bool same = by_known.n == alone.n && !memcmp(by_known.at, alone.at, alone.n);
    size_t at = 0;
    while (!same && at < by_known.n && at < alone.n && by_known.at[at] == alone.at[at])
        at++;
    if (!same)
        buf_printf(why, "compiled with what was known: '%.40s'; without: '%.40s'",
                   buf_text(&by_known) + at, buf_text(&alone) + at);
    buf_free(&by_known);
    buf_free(&alone);
    return same;
}

/* Every so often the text is what it was before: what was known then may be known still. */
bool property_resident(const struct subject *s, struct buf *why)
{
    char path[256];
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    if (!plan_write(s->text, s->scratch))
        return true;
    struct resident known = {0};
    uint64_t random = s->seed;
    struct buf text = {0}, before = {0};
    buf_add(&text, s->text->plan.at, s->text->plan.n);
    bool holds = same_by_both(path, &known, why);
    for (int i = 0; holds && i < CHANGES && text.n; i++) {
        bool back = before.n && chance(&random, 40);
        struct buf was = {0};
        buf_add(&was, text.at, text.n);
        if (back)
            put(&text, 0, text.n, before.at, before.n);
        else
            change_text(&text, &random);
        buf_free(&before);
        before = was;
        holds = file_write(&text, path) && same_by_both(path, &known, why);
    }
    buf_free(&text);
    buf_free(&before);
    compile_resident_free(&known);
    return holds;
}
