/* Makes a slip in a plan, and holds what is found against the table. */
#include "plans.h"
#include "random.h"
#include "slips.h"

#include <stdio.h>
#include <string.h>

/* One of the places of the slip. */
static uint32_t any_place(const struct slip_text *t, const struct slip *slip, uint64_t *seed)
{
    uint32_t n = 0, chosen = NO_WORD;
    for (uint32_t i = 0; i < t->count; i++)
        if (slip->place(t, i) && !pick(seed, ++n))
            chosen = i;
    return chosen;
}

/* The site log is left out, so that a waiver of what it brings matches nothing. */
static bool counts(const struct finding *f)
{
    bool of_log = !strcmp(f->rule->name, "stale-waiver") && strstr(f->message, "closed-too-early");
    return f->severity != NOTE && !f->waived && !of_log;
}

/* The words of a finding, with what was there before the slip for what was put. */
static bool same_words(const char *now, const char *before, const char *put, const char *was)
{
    size_t n = strlen(put), w = strlen(was);
    while (*now && *now == *before)
        if (n && !strncmp(now, put, n) && !strncmp(before, was, w))
            now += n, before += w;
        else
            now++, before++;
    if (n && !strncmp(now, put, n) && !strncmp(before, was, w))
        return same_words(now + n, before + w, put, was);
    return !*now && !*before;
}

/* Whether the plan had it before the slip, at whatever place. */
static bool was_there(const struct slip_text *t, const struct change *change,
                      const struct finding *f)
{
    char was[100];
    snprintf(was, sizeof was, "%.*s", (int)change->n, t->text->at + change->at);
    for (uint32_t i = 0; i < t->c->diag.findings.n; i++) {
        const struct finding *b = &t->c->diag.findings.at[i];
        if (b->rule == f->rule &&
            (same_words(f->message, b->message, change->put.n ? change->put.at : "", was) ||
             !strcmp(f->message, b->message) ||
             (b->subject && f->subject && !strcmp(b->subject, f->subject))))
            return true;
    }
    return false;
}

static bool among(const char *words, const char *word)
{
    size_t n = strlen(word);
    for (const char *p = words; (p = strstr(p, word)); p += n)
        if ((p == words || p[-1] == ' ') && (!p[n] || p[n] == ' '))
            return true;
    return false;
}

/* Letters that differ, as the search for what was meant counts them. */
static unsigned edits(const char *a, const char *b)
{
    unsigned row[100], n = (unsigned)strlen(b);
    if (n >= 100)
        return n;
    for (unsigned k = 0; k <= n; k++)
        row[k] = k;
    for (unsigned i = 0; a[i]; i++) {
        unsigned corner = row[0]++;
        for (unsigned k = 0; k < n; k++) {
            unsigned put = corner + (a[i] != b[k]), up = row[k + 1], left = row[k];
            corner = up;
            row[k + 1] =
                put < up + 1 ? (put < left + 1 ? put : left + 1) : (up < left ? up + 1 : left + 1);
        }
    }
    return row[n];
}

/* Whether what the mend names is nearer to what was written than what was there before, or as near
 * and one of more than can be named: then nobody can tell which was meant. */
static bool as_near(const char *mend, const char *written, const char *was)
{
    char name[100];
    const char *from = strchr(mend, '\'');
    size_t n = from ? strcspn(from + 1, "'") : 0;
    if (!from || n >= sizeof name)
        return false;
    memcpy(name, from + 1, n);
    name[n] = 0;
    unsigned to_name = edits(name, written), to_was = edits(was, written);
    return to_name < to_was || (to_name == to_was && strstr(mend, "or another like them"));
}

/* Whether the mend holds what it should: the text that was there before, in part where it is long.
 */
static bool mends(const struct slip_text *t, const struct slip *slip, const struct change *change,
                  const struct finding *f)
{
    if (!slip->mend)
        return true;
    char was[100];
    snprintf(was, sizeof was, "%.*s", (int)change->n, t->text->at + change->at);
    const char *wanted = *slip->mend == '=' ? was + strspn(was, " ") : slip->mend;
    return f->mend && (strstr(f->mend, wanted) || as_near(f->mend, change->put.at, wanted));
}

static enum slip_came judge(const struct slip_text *t, const struct slip *slip,
                            const struct change *change, const struct compilation *c)
{
    const struct finding *found = NULL;
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        if (counts(f) && !was_there(t, change, f)) {
            bool copy = found && found->rule == f->rule && found->span.source == f->span.source &&
                        found->span.off == f->span.off; /* each with its own measures */
            n += !copy;
            found = f;
        }
    }
    if (n != 1)
        return n ? SLIP_MANY : SLIP_NONE;
    if (!among(slip->found, found->rule->name))
        return SLIP_OTHER_RULE;
    return mends(t, slip, change, found) ? SLIP_ONE : SLIP_OTHER_MEND;
}

static void tell(const struct slip_text *t, const struct slip *slip, const struct change *change,
                 const struct compilation *c, struct buf *why)
{
    const char *from = t->text->at + change->at, *to = from + change->n;
    while (from > t->text->at && from[-1] != '\n')
        from--;
    buf_printf(why, "%s: '%.*s[%.*s|%s]%.*s'", slip->says, (int)(t->text->at + change->at - from),
               from, (int)change->n, t->text->at + change->at, change->put.n ? change->put.at : "",
               (int)strcspn(to, "\n"), to);
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        if (counts(f) && !was_there(t, change, f))
            buf_printf(why, "\n    %s: '%s' mend '%s'", f->rule->name, f->message,
                       f->mend ? f->mend : "");
    }
}

bool slip_is_well(const struct slip *slip, enum slip_came came)
{
    return came == SLIP_NO_PLACE || came == SLIP_ONE || (came == SLIP_NONE && !slip->sure);
}

enum slip_came slip_try(const struct slip_text *t, const struct buf *include,
                        const struct slip *slip, uint64_t seed, const char *folder, struct buf *why)
{
    struct change change = {0};
    uint32_t at = any_place(t, slip, &seed);
    if (at == NO_WORD || !slip->make(t, at, slip->put, &seed, &change)) {
        buf_free(&change.put);
        return SLIP_NO_PLACE;
    }
    struct plan_text text = {0};
    struct compilation c;
    char path[300];
    buf_add(&text.plan, t->text->at, change.at);
    buf_add(&text.plan, change.put.at, change.put.n);
    buf_add(&text.plan, t->text->at + change.at + change.n, t->text->n - change.at - change.n);
    if (include)
        buf_add(&text.include, include->at, include->n);
    snprintf(path, sizeof path, "%s/plan.bay", folder);
    plan_write(&text, folder);
    compile(&c, path, (struct compile_options){.library = plan_library(), .only_findings = true});
    enum slip_came came = judge(t, slip, &change, &c);
    if (!slip_is_well(slip, came))
        tell(t, slip, &change, &c, why);
    compile_free(&c);
    plan_free(&text);
    buf_free(&change.put);
    return came;
}
