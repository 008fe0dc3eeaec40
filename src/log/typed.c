/* What is typed on site, with cold fingers: beginnings of names stand for the one name that has
 * them, and a slip of one letter for the name that it can only be. What is written into the log is
 * always the whole name. */
#include "log/entry.h"

#include "log/log.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

/* Whether the parts of a name are parted here: "studio.S1 -> L1" has three. */
static bool parts(const char *p)
{
    return *p == ' ' || *p == '.' || *p == '"' || *p == '>' || (p[0] == '-' && p[1] == '>');
}

/* The next part, its length in `len`; 0: there is none. */
static const char *next_part(const char *p, size_t *len)
{
    while (*p && parts(p))
        p++;
    for (*len = 0; p[*len] && !parts(p + *len);)
        ++*len;
    return p;
}

static bool is_figure(char c)
{
    return c >= '0' && c <= '9';
}

/* How a part is typed: all of it, its beginning (S1 is none of S10), with a slip of one letter, or
 * as another name. */
enum likeness { OTHER, SLIPPED, BEGUN, WHOLE };

static enum likeness part_likeness(const char *typed, size_t n, const char *name, size_t len)
{
    enum { LONGEST = 1 << 6 };
    char a[LONGEST], b[LONGEST];
    if (n <= len && !strncasecmp(typed, name, n))
        return n == len ? WHOLE : is_figure(typed[n - 1]) && is_figure(name[n]) ? OTHER : BEGUN;
    if (n >= LONGEST || len >= LONGEST)
        return OTHER;
    snprintf(a, sizeof a, "%.*s", (int)n, typed);
    snprintf(b, sizeof b, "%.*s", (int)len, name);
    return near_is_slip(a, b) ? SLIPPED : OTHER;
}

/* The same of a name with as many parts: the least of them, where one at most is a slip. */
static enum likeness likeness(const char *typed_text, const char *name_text)
{
    const char *typed = typed_text, *name = name_text;
    enum likeness least = WHOLE;
    unsigned slips = 0;
    size_t n, len;
    for (typed = next_part(typed, &n), name = next_part(name, &len); n && len;
         typed = next_part(typed + n, &n), name = next_part(name + len, &len)) {
        enum likeness part = part_likeness(typed, n, name, len);
        slips += part == SLIPPED;
        least = part < least ? part : least;
    }
    bool both_runs =
        !strstr(typed_text, "->") == !strstr(name_text, "->"); /* a label has no arrow */
    return n || len || slips > 1 || !both_runs ? OTHER : least;
}

/* The names that are most like what is typed. */
struct typed {
    enum likeness best;
    uint32_t count;
    const char *one, *other; /* the first two of them */
};

static void try_name(struct typed *t, const char *text, const char *name)
{
    enum likeness how = likeness(text, name);
    if (how == OTHER || how < t->best || (t->count && how == t->best && !strcmp(t->one, name)))
        return;
    if (how > t->best)
        *t = (struct typed){.best = how};
    *(t->count ? &t->other : &t->one) = name;
    t->count++;
}

const char *typed_for(struct arena *arena, const char *text, near_list *const *lists,
                      uint32_t count, const char **why)
{
    struct typed t = {0};
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = 0; k < lists[i]->names.n; k++)
            try_name(&t, text, lists[i]->names.at[k].text);
    if (t.count > 1)
        *why = arena_printf(arena, "'%s' may be '%s', '%s'%s: type more of it", text, t.one,
                            t.other, t.count > 2 ? " or another" : "");
    return t.count == 1 ? t.one : NULL;
}
