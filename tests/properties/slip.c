/* One slip of the pen is one error: what follows from it is not said. A plan without an error gets
 * one of the usual slips, and is compiled again, without the site log that names its runs. */
#include "properties.h"

#include "random.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

property_function property_slip;

/* Where on a line, from `line` to `end`, a slip goes: so many bytes are replaced. False where the
 * line has no place for it. */
struct place {
    const char *at;
    size_t n;
};
typedef bool place_fn(const char *line, const char *end, struct place *p);

struct slip {
    place_fn *find;
    const char *put;
};

static bool begins(const char *line, const char *end, const char *word)
{
    while (line < end && *line == ' ')
        line++;
    size_t n = strlen(word);
    return (size_t)(end - line) > n && !memcmp(line, word, n) && line[n] == ' ';
}

static const char *find_in(const char *line, const char *end, const char *what)
{
    size_t n = strlen(what);
    for (; (size_t)(end - line) >= n; line++)
        if (!memcmp(line, what, n))
            return line;
    return NULL;
}

static bool unit_of_breaker(const char *line, const char *end, struct place *p)
{
    const char *at = begins(line, end, "breaker") ? find_in(line, end, " A") : NULL;
    *p = (struct place){at, 2};
    return at && isdigit((unsigned char)at[-1]) && !isalpha((unsigned char)at[2]);
}

static bool two_pole(const char *line, const char *end, struct place *p)
{
    const char *at = begins(line, end, "breaker") ? find_in(line, end, " two-pole") : NULL;
    *p = (struct place){at, strlen(" two-pole")};
    return at;
}

static bool protection(const char *line, const char *end, struct place *p)
{
    const char *at = begins(line, end, "breaker") ? find_in(line, end, " afci") : NULL;
    *p = (struct place){at, strlen(" afci")};
    return at;
}

/* Behind the first letter of the first box that the run goes to. */
static bool box_of_run(const char *line, const char *end, struct place *p)
{
    const char *at = begins(line, end, "run") ? find_in(line, end, "-> ") : NULL;
    if (!at)
        return false;
    const char *name = at += strlen("-> ");
    while (at < end && *at != ' ')
        if (*at++ == '.')
            name = at;
    *p = (struct place){name + 1, 0};
    return name < end && isupper((unsigned char)*name);
}

/* Before the point of the room of that box. */
static bool room_of_run(const char *line, const char *end, struct place *p)
{
    const char *at = begins(line, end, "run") ? find_in(line, end, "-> ") : NULL;
    if (!at)
        return false;
    at += strlen("-> ");
    while (at < end && *at != ' ' && *at != '.')
        at++;
    *p = (struct place){at, 0};
    return at < end && *at == '.';
}

static const struct slip slips[] = {
    {unit_of_breaker, " V"}, {unit_of_breaker, ""}, {two_pole, " 2-pole"},
    {protection, " afi"},    {box_of_run, "Q"},     {room_of_run, "q"},
};

/* The places of a slip in a text: how many, and in `p` the one that is wanted. */
static unsigned places(const struct buf *text, const struct slip *slip, unsigned wanted,
                       struct place *p)
{
    unsigned n = 0;
    for (const char *line = text->at, *last = line + text->n; line && line < last;) {
        const char *end = memchr(line, '\n', (size_t)(last - line));
        struct place here;
        end = end ? end : last;
        if (slip->find(line, end, &here) && n++ == wanted)
            *p = here;
        line = end + (end < last);
    }
    return n;
}

static bool tell(const struct compilation *c, const char *line, const struct slip *slip,
                 struct buf *why)
{
    if (c->diag.counts[ERROR] <= 1)
        return true;
    buf_printf(why, "'%s' in '%.*s' is %u errors:", slip->put, (int)strcspn(line, "\n"), line,
               c->diag.counts[ERROR]);
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        if (f->severity == ERROR && !f->waived)
            buf_printf(why, " %s: '%s';", f->rule->name, f->message);
    }
    return false;
}

bool property_slip(const struct subject *s, struct buf *why)
{
    uint64_t state = s->seed;
    const struct slip *slip = &slips[pick(&state, sizeof slips / sizeof *slips)];
    const struct buf *plan = &s->text->plan;
    struct place p = {0};
    unsigned n = places(plan, slip, 0, &p);
    if (!s->c->model || s->c->diag.counts[ERROR] || !n)
        return true;
    places(plan, slip, pick(&state, n), &p);
    struct plan_text text = {0};
    struct compilation c;
    char path[200];
    buf_add(&text.plan, plan->at, (size_t)(p.at - plan->at));
    buf_puts(&text.plan, slip->put);
    buf_add(&text.plan, p.at + p.n, plan->n - (size_t)(p.at - plan->at) - p.n);
    buf_add(&text.include, s->text->include.at, s->text->include.n);
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    plan_write(&text, s->scratch);
    compile(&c, path, (struct compile_options){.only_findings = true});
    const char *line = p.at;
    while (line > plan->at && line[-1] != '\n')
        line--;
    bool held = tell(&c, line, slip, why);
    compile_free(&c);
    plan_free(&text);
    return held;
}
