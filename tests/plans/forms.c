#include "forms.h"
#include "random.h"

#include <stdlib.h>
#include <string.h>

const struct plan_form plan_forms[] = {
#define FORM(id, owners, place, word, pattern, flags, doc)                                         \
    {#id, owners, #place, word, pattern, flags},
#include "statements.def"
#undef FORM
};
const unsigned plan_form_count = sizeof plan_forms / sizeof *plan_forms;

/* Whether a list of words parted by blanks has this one. */
static bool has_word(const char *list, const char *word)
{
    size_t n = strlen(word);
    for (const char *at = list; (at = strstr(at, word)); at += n)
        if ((at == list || at[-1] == ' ') && (at[n] == ' ' || !at[n]))
            return true;
    return false;
}

bool plan_form_fits(const struct plan_form *f, const char *owner, bool line)
{
    if (!strchr(f->place, line ? 'L' : 'B'))
        return false;
    for (unsigned i = 0; i < plan_form_count; i++)
        if (!strcmp(plan_forms[i].word, owner) && has_word(f->owners, plan_forms[i].id))
            return true;
    return false;
}

/* --- text that fits a pattern ----------------------------------------------------------------- */

#define ONE(state, ...)                                                                            \
    (((const char *const[]){__VA_ARGS__})[pick(state, sizeof((const char *const[]){__VA_ARGS__}) / \
                                                          sizeof(const char *))])

static const char *name_value(uint64_t *s)
{
    return ONE(s, "R1", "room1", "room2", "P", "l1", "l2", "north", "south", "ceiling", "nec-2026",
               "receptacle", "workshop", "voltage-drop", "level1", "black", "zz-top", "flat");
}

static const char *length_value(uint64_t *s)
{
    return ONE(s, "0'", "1'", "3'-6\"", "16\"", "1/2\"", "30\"", "12'", "2.4m", "-3'", "99999'",
               "1/64\"");
}

/* A value of a capture, by its name without the brackets. */
static const char *value_of(const char *name, uint64_t *s)
{
    if (!strcmp(name, "len") || !strcmp(name, "length") || !strcmp(name, "extent"))
        return length_value(s);
    if (!strcmp(name, "num") || !strcmp(name, "number"))
        return ONE(s, "1", "2", "3", "0", "14", "200", "-1", "2.5", "1000000000");
    if (!strcmp(name, "amp"))
        return ONE(s, "15 A", "20 A", "60 A", "200 A", "0 A", "5000 A");
    if (!strcmp(name, "volt"))
        return ONE(s, "120 V", "120/240 V", "24 V", "240/120 V");
    if (!strcmp(name, "load"))
        return ONE(s, "60 W", "1.5 kVA", "0 W", "3 VA/ft2", "9000 W");
    if (!strcmp(name, "cable"))
        return ONE(s, "14/2", "12/2", "14/3", "12/2-uf", "cat6", "12/2 + 14/3", "6/3");
    if (!strcmp(name, "text"))
        return ONE(s, "\"a word\"", "\"\"", "\"two\\nlines\"", "\"more.bay\"");
    if (!strcmp(name, "ref") || !strcmp(name, "chain") || !strcmp(name, "where"))
        return ONE(s, "room1.R1", "P", "room2", "circuit P.1", "P.1", "room1.S2 -> L1 -> R3",
                   "P -> room1.R1", "outside", "leg l1");
    if (!strcmp(name, "area"))
        return ONE(s, "900 ft2", "20 m2");
    if (!strcmp(name, "volume"))
        return ONE(s, "20 in3", "0 in3");
    if (!strcmp(name, "section"))
        return ONE(s, "1.1 in2", "0 in2", "250 kcmil");
    if (!strcmp(name, "percent"))
        return ONE(s, "3 %", "0 %", "100 %");
    if (!strcmp(name, "weight"))
        return ONE(s, "35 lb", "10 kg");
    if (!strcmp(name, "temp"))
        return ONE(s, "60 C", "120 F");
    if (!strcmp(name, "time"))
        return ONE(s, "1.5 min", "2 h", "0 min", "90000 h");
    if (!strcmp(name, "size"))
        return ONE(s, "14", "12", "1/0");
    if (!strcmp(name, "lumber"))
        return ONE(s, "2x4", "2x10", "truss");
    if (!strcmp(name, "what") || !strcmp(name, "cells"))
        return ONE(s, "receptacle 3", "breaker 20 A 5", "15 A, 3", "a, b");
    return name_value(s);
}

static void put_value(const char *item, size_t n, uint64_t *s, struct buf *out)
{
    char name[24];
    size_t len = strcspn(item + 1, ">");
    if (len >= sizeof name)
        len = sizeof name - 1;
    memcpy(name, item + 1, len);
    name[len] = 0;
    unsigned times = n > 3 && !memcmp(item + n - 3, "...", 3) ? 1 + pick(s, 3) : 1;
    for (unsigned i = 0; i < times; i++)
        buf_printf(out, " %s", value_of(name, s));
}

/* One of the words that a bar parts. */
static void put_choice(const char *item, size_t n, uint64_t *s, struct buf *out)
{
    unsigned bars = 0, which;
    for (size_t i = 0; i < n; i++)
        bars += item[i] == '|';
    which = pick(s, bars + 1);
    const char *at = item, *end = item + n;
    while (which--)
        at = memchr(at, '|', (size_t)(end - at)) + 1;
    const char *bar = memchr(at, '|', (size_t)(end - at));
    buf_printf(out, " %.*s", (int)((bar ? bar : end) - at), at);
}

/* The items of a pattern up to its end; what stands in brackets comes half of the time. */
static void put_pattern(const char *at, const char *end, uint64_t *s, struct buf *out)
{
    bool skip = false;
    while (at < end) {
        size_t n = strcspn(at, " ");
        if (n > (size_t)(end - at))
            n = (size_t)(end - at);
        const char *item = at;
        at += n + 1;
        if (n && *item == '[') {
            skip = chance(s, 50);
            item++;
            n--;
        }
        bool closes = n && item[n - 1] == ']';
        n -= closes;
        if (n && !skip)
            (*item == '<' ? put_value : put_choice)(item, n, s, out);
        if (closes)
            skip = false;
    }
}

void plan_form_write(const struct plan_form *f, uint64_t *state, struct buf *out)
{
    const char *word = !strcmp(f->word, "*") ? name_value(state) : f->word;
    buf_puts(out, word);
    unsigned ways = 1;
    for (const char *at = f->pattern; (at = strstr(at, " / ")); at += 3)
        ways++;
    const char *from = f->pattern;
    for (unsigned way = pick(state, ways); way; way--)
        from = strstr(from, " / ") + 3;
    const char *to = strstr(from, " / ");
    put_pattern(from, to ? to : from + strlen(from), state, out);
    if (strchr(f->flags, 'Y') && chance(state, 20))
        buf_puts(out, " no");
    if (strchr(f->flags, 'T') && chance(state, 20))
        buf_puts(out, " \"a title\"");
    if (strchr(f->flags, 'M') || (strchr(f->flags, 'K') && chance(state, 30)))
        buf_puts(out, " { }");
}
