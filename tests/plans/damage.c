/* Slips of the pen, in the text of a plan: in its words, and in its lines. */
#include "forms.h"
#include "plans.h"
#include "random.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* --- pieces of a text ----------------------------------------------------------------------- */

struct piece {
    size_t at, n;
};

static bool in_word(char c)
{
    return isalnum((unsigned char)c) || strchr("-_.'\"/%", c);
}

/* The word, number or sign that stands at or behind a place; of no length at the end. */
static struct piece piece_from(const struct buf *t, size_t at)
{
    while (at < t->n && isspace((unsigned char)t->at[at]))
        at++;
    struct piece p = {at, at < t->n};
    while (at < t->n && in_word(t->at[at]) && p.at + p.n < t->n && in_word(t->at[p.at + p.n]))
        p.n++;
    return p;
}

static struct piece any_piece(const struct buf *t, uint64_t *s)
{
    size_t at = t->n ? pick(s, (unsigned)t->n) : 0;
    while (at && in_word(t->at[at]) && in_word(t->at[at - 1]))
        at--;
    return piece_from(t, at);
}

static struct piece line_at(const struct buf *t, size_t at)
{
    while (at && t->at[at - 1] != '\n')
        at--;
    struct piece p = {at, 0};
    while (p.at + p.n < t->n && t->at[p.at + p.n] != '\n')
        p.n++;
    return p;
}

static struct piece any_line(const struct buf *t, uint64_t *s)
{
    return line_at(t, t->n ? pick(s, (unsigned)t->n) : 0);
}

/* Puts other bytes where the piece is. */
static void put_instead(struct buf *t, struct piece p, const char *bytes, size_t n)
{
    struct buf out = {0};
    buf_add(&out, t->at, p.at);
    buf_add(&out, bytes, n);
    buf_add(&out, t->at + p.at + p.n, t->n - p.at - p.n);
    buf_free(t);
    *t = out;
}

/* --- slips in words ------------------------------------------------------------------------- */

static void misspell(struct buf *t, uint64_t *s)
{
    struct piece p = any_piece(t, s);
    if (!p.n)
        return;
    size_t at = p.at + pick(s, (unsigned)p.n);
    char c = (char)('a' + pick(s, 26));
    if (chance(s, 30))
        put_instead(t, (struct piece){at, 1}, "", 0);
    else
        put_instead(t, (struct piece){at, chance(s, 50)}, &c, 1);
}

static void drop_word(struct buf *t, uint64_t *s)
{
    put_instead(t, any_piece(t, s), "", 0);
}

static void double_word(struct buf *t, uint64_t *s)
{
    struct piece p = any_piece(t, s);
    struct buf twice = {0};
    buf_printf(&twice, "%.*s %.*s", (int)p.n, t->at + p.at, (int)p.n, t->at + p.at);
    put_instead(t, p, twice.at, twice.n);
    buf_free(&twice);
}

/* A word in the place of another one, which stays where it is. */
static void copy_word(struct buf *t, uint64_t *s)
{
    struct piece from = any_piece(t, s), to = any_piece(t, s);
    char *word = strndup(t->at + from.at, from.n);
    put_instead(t, to, word, from.n);
    free(word);
}

/* Two words of one sort that stand near each other change places: names with names, numbers with
 * numbers. */
static void swap_words(struct buf *t, uint64_t *s)
{
    struct piece a = any_piece(t, s), b = piece_from(t, a.at + a.n);
    for (unsigned i = pick(s, 12); i; i--)
        b = piece_from(t, b.at + b.n);
    if (!a.n || !b.n)
        return;
    struct buf out = {0};
    buf_add(&out, t->at + b.at, b.n);
    buf_add(&out, t->at + a.at + a.n, b.at - a.at - a.n);
    buf_add(&out, t->at + a.at, a.n);
    put_instead(t, (struct piece){a.at, b.at + b.n - a.at}, out.at, out.n);
    buf_free(&out);
}

static void change_number(struct buf *t, uint64_t *s)
{
    static const char *const numbers[] = {"0",  "1",   "2",    "3",     "7",          "13",
                                          "42", "255", "-1",   "65536", "4294967296", "1000000",
                                          "16", "0.5", "1001", "99999"};
    for (unsigned tries = 0; tries < 20; tries++) {
        struct piece p = any_piece(t, s);
        if (!p.n || !isdigit((unsigned char)t->at[p.at]))
            continue;
        size_t digits = 0;
        while (digits < p.n && isdigit((unsigned char)t->at[p.at + digits]))
            digits++;
        const char *other = numbers[pick(s, sizeof numbers / sizeof *numbers)];
        put_instead(t, (struct piece){p.at, digits}, other, strlen(other));
        return;
    }
}

/* --- slips in lines ------------------------------------------------------------------------- */

static void drop_line(struct buf *t, uint64_t *s)
{
    put_instead(t, any_line(t, s), "", 0);
}

/* A line once more, behind itself or somewhere else. */
static void double_line(struct buf *t, uint64_t *s)
{
    struct piece from = any_line(t, s);
    struct piece to = chance(s, 50) ? from : any_line(t, s);
    struct buf line = {0};
    buf_printf(&line, "%.*s\n", (int)from.n, t->at + from.at);
    put_instead(t, (struct piece){to.at, 0}, line.at, line.n);
    buf_free(&line);
}

static void move_line(struct buf *t, uint64_t *s)
{
    struct piece from = any_line(t, s);
    struct buf line = {0};
    buf_printf(&line, "%.*s\n", (int)from.n, t->at + from.at);
    put_instead(t, from, "", 0);
    put_instead(t, (struct piece){any_line(t, s).at, 0}, line.at, line.n);
    buf_free(&line);
}

/* A statement or clause of the language put into one that takes it, its values made up. */
static void put_form(struct buf *t, uint64_t *s)
{
    struct piece line = any_line(t, s), word = piece_from(t, line.at);
    bool opens = line.n && t->at[line.at + line.n - 1] == '{', on_line = !opens || chance(s, 40);
    char owner[40];
    size_t n = word.n < sizeof owner ? word.n : sizeof owner - 1;
    memcpy(owner, t->at + word.at, n);
    owner[n] = 0;
    unsigned first = pick(s, plan_form_count);
    for (unsigned i = 0; i < plan_form_count; i++) {
        const struct plan_form *f = &plan_forms[(first + i) % plan_form_count];
        if (!plan_form_fits(f, owner, on_line))
            continue;
        struct buf text = {0};
        buf_puts(&text, on_line ? " " : "\n  ");
        plan_form_write(f, s, &text);
        put_instead(t, (struct piece){line.at + line.n - (opens && on_line ? 2 : 0), 0},
                    buf_text(&text), text.n);
        buf_free(&text);
        return;
    }
}

void plan_damage(struct buf *text, uint64_t seed)
{
    static void (*const slips[])(struct buf *, uint64_t *) = {
        misspell,      drop_word, double_word, copy_word, swap_words, change_number,
        change_number, drop_line, double_line, move_line, put_form,   put_form};
    uint64_t s = seed;
    for (unsigned i = 1 + pick(&s, 3); i && text->n; i--)
        slips[pick(&s, sizeof slips / sizeof *slips)](text, &s);
}
