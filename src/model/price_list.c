/* The price list beside a plan: `prices.csv`, comma-separated with a header (RFC 4180). Of its
 * columns `part` and `price` are read, the others are the shop's. A shop lists far more than a plan
 * buys, so a part that nobody asks for is no fault. */
#include "base/utf8.h"
#include "diag/diag.h"
#include "model/model.h"
#include "model/orders.h"

#include <ctype.h>
#include <string.h>

RULE(price_unreadable, "price-unreadable", WARNING, FIRM,
     "every line of the price list names one part and one price");

/* A field of the list: its text with quotes taken off, and where it stands. */
struct field {
    const char *text;
    struct span at;
    bool open; /* its quote does not end */
};

struct reader {
    struct model *m;
    struct diag *diag;
    struct source *list;
    const char *at, *end;
    VEC(struct field) fields; /* of the line at hand */
    uint32_t part, price;     /* columns */
};

static struct span span_of(const struct reader *r, const char *from, const char *to)
{
    return (struct span){r->list, (uint32_t)(from - r->list->bytes), (uint32_t)(to - from)};
}

/* Where the quote ends; NULL where it does not on its line, so that one slip costs one line. */
static const char *end_of_quoted(const struct reader *r, const char *p)
{
    for (; p < r->end && *p != '\n'; p++) {
        if (*p != '"')
            continue;
        if (p + 1 >= r->end || p[1] != '"')
            return p;
        p++;
    }
    return NULL;
}

static void take_field(struct reader *r)
{
    const char *start = r->at;
    while (r->at < r->end && (*r->at == ' ' || *r->at == '\t'))
        r->at++;
    const char *from = r->at, *quoted = r->at < r->end && *r->at == '"' ? r->at + 1 : NULL,
               *close = quoted ? end_of_quoted(r, quoted) : NULL;
    char *out = arena_alloc(r->m->arena, 1), *to;
    if (close) {
        to = out = arena_alloc(r->m->arena, (size_t)(close - quoted) + 1);
        for (const char *p = quoted; p < close; p++) {
            *to++ = *p;
            p += *p == '"';
        }
        *to = 0;
        r->at = close + 1;
    }
    while (r->at < r->end && *r->at != ',' && *r->at != '\n')
        r->at++;
    const char *stop = r->at;
    if (stop > from && stop[-1] == '\r')
        stop--;
    if (!close)
        out = (char *)arena_copy(r->m->arena, from, (size_t)(stop - from));
    *vec_push(r->m->arena, &r->fields) =
        (struct field){out, span_of(r, start, stop), quoted && !close};
}

/* The fields of the next line; false at the end. */
static bool take_line(struct reader *r)
{
    r->fields.n = 0;
    if (r->at >= r->end)
        return false;
    for (;;) {
        take_field(r);
        if (r->at >= r->end || *r->at == '\n')
            break;
        r->at++;
    }
    r->at += r->at < r->end;
    return true;
}

/* Words as a price statement has them: one blank between, none around. */
static const char *one_blank(struct arena *a, const char *text)
{
    char *out = arena_alloc(a, strlen(text) + 1), *to = out;
    for (; *text; text++)
        if (!isspace((unsigned char)*text))
            *to++ = *text;
        else if (to > out && to[-1] != ' ')
            *to++ = ' ';
    if (to > out && to[-1] == ' ')
        to--;
    *to = 0;
    return out;
}

enum { MOST_SHOWN = 40 }; /* bytes of what is written, in a finding */

/* As a finding may show it. */
static const char *shown(struct arena *a, const char *text)
{
    size_t n = strlen(text);
    bool cut = n > MOST_SHOWN;
    for (n = cut ? MOST_SHOWN : n; cut && n && ((unsigned char)text[n] & 0xc0) == 0x80;)
        n--;
    char *out = arena_alloc(a, UTF8_MASKED(n) + sizeof "...");
    strcpy(utf8_mask(out, text, n), cut ? "..." : "");
    return out;
}

static struct finding *say(const struct reader *r, struct span at, const char *words)
{
    return diag_add(r->diag, &rule_price_unreadable, at, "the price list: %s", words);
}

/* --- the header --------------------------------------------------------------------------- */

static uint32_t column_called(const struct reader *r, const char *name)
{
    uint32_t i = 0;
    while (i < r->fields.n && strcasecmp(one_blank(r->m->arena, r->fields.at[i].text), name) != 0)
        i++;
    return i;
}

static bool read_header(struct reader *r)
{
    if (!take_line(r))
        return false;
    r->part = column_called(r, "part");
    r->price = column_called(r, "price");
    if (r->part < r->fields.n && r->price < r->fields.n)
        return true;
    struct span at = r->fields.at[0].at, last = r->fields.at[r->fields.n - 1].at;
    at.len = last.off + last.len - at.off;
    const char *lacks = r->part < r->fields.n ? "price" : r->price < r->fields.n ? "part" : NULL;
    struct finding *f =
        say(r, at,
            lacks ? arena_printf(r->m->arena, "its first line names no column '%s'", lacks)
                  : "its first line names no columns 'part' and 'price'");
    diag_mend(r->diag, f, "name the columns in the first line, with a comma between: part,price");
    return false;
}

/* --- lines -------------------------------------------------------------------------------- */

/* Digits with at most one point among them, as a price statement takes them. */
static bool is_price(const char *text, size_t *whole, size_t *behind)
{
    *whole = strspn(text, "0123456789");
    const char *p = text + *whole;
    *behind = *p == '.' ? strspn(p + 1, "0123456789") : 0;
    return !p[*behind + (*p == '.')] && *whole + *behind;
}

/* What was meant by a price with a sign of money before or behind it, or with commas in it; NULL
 * where that is not sure. */
static const char *price_meant(struct arena *a, const char *text)
{
    static const char digits[] = "0123456789";
    const char *first = strpbrk(text, digits), *last = text + strlen(text);
    while (first && last > first && !isdigit((unsigned char)last[-1]))
        last--;
    for (const char *p = text; *p; p++)
        if (iscntrl((unsigned char)*p) || *p == '-')
            return NULL;
    if (!first)
        return NULL;
    char *out = arena_alloc(a, strlen(text) + 1), *to = out;
    const char *point = strchr(first, '.');
    size_t whole, behind;
    for (const char *p = first; p < last; p++) {
        size_t run = strspn(p + 1, digits);
        if (*p != ',')
            *to++ = *p;
        else if (run != sizeof "000" - 1 && !point && p + 1 + run == last)
            *to++ = '.';
        else if (run != sizeof "000" - 1 || (point && point < p))
            return NULL;
    }
    *to = 0;
    return is_price(out, &whole, &behind) ? out : NULL;
}

/* The price of a field; false, with a finding, where it is none. */
static bool read_price(const struct reader *r, const struct field *field, double *price)
{
    enum { MOST_WHOLE = 9, MOST_BEHIND = 6 };
    struct arena *a = r->m->arena;
    const char *text = one_blank(a, field->text);
    size_t whole, behind;
    if (is_price(text, &whole, &behind) && whole <= MOST_WHOLE && behind <= MOST_BEHIND) {
        int64_t n = 0, unit = 1;
        for (const char *p = text; *p; p++) {
            n = *p == '.' ? n : n * 10 + (*p - '0');
            unit *= p > text + whole ? 10 : 1;
        }
        *price = (double)n / (double)unit;
        return true;
    }
    const char *meant = price_meant(a, text);
    struct finding *f = say(r, field->at, arena_printf(a, "'%s' is no price", shown(a, text)));
    if (whole > MOST_WHOLE || behind > MOST_BEHIND)
        diag_mend(r->diag, f, "a price has at most nine digits, and six behind the point");
    else if (meant && strcmp(meant, text))
        diag_mend(r->diag, f, "write the number alone: %s", shown(a, meant));
    else
        diag_mend(r->diag, f,
                  "write a number such as 58.00, or nothing where the price is not known");
    return false;
}

/* What the plan says goes first; of two lines the first. */
static void put_price(const struct reader *r, const char *part, double price, struct span at)
{
    void **known = map_at(r->m->arena, &r->m->prices, 0, (uintptr_t)part);
    if (!*known) {
        struct price *p = *known = arena_new(r->m->arena, struct price);
        *p = (struct price){.what = part, .amount = price, .at = at};
        return;
    }
    const struct price *first = *known;
    if (first->at.source != r->list || first->amount == price)
        return;
    struct finding *f = say(r, at,
                            arena_printf(r->m->arena, "'%s' has another price before; that counts",
                                         shown(r->m->arena, part)));
    diag_note(r->diag, f, first->at, "first priced here");
    diag_mend(r->diag, f, "leave out the line that is wrong");
}

static void read_line(const struct reader *r)
{
    const struct field *first = &r->fields.at[0];
    for (uint32_t i = 0; i < r->fields.n; i++)
        if (r->fields.at[i].open) {
            diag_mend(r->diag, say(r, r->fields.at[i].at, "a quote is open to the end of its line"),
                      "close it; a quote or an inch mark in a quoted text is written twice");
            return;
        }
    if (r->fields.n == 1 && !*one_blank(r->m->arena, first->text))
        return;
    if (r->part >= r->fields.n || r->price >= r->fields.n) {
        struct span at = first->at, last = r->fields.at[r->fields.n - 1].at;
        at.len = last.off + last.len - at.off;
        diag_mend(r->diag, say(r, at, "this line has fewer columns than the first"),
                  "a part and a price, with a comma between");
        return;
    }
    const char *part = one_blank(r->m->arena, r->fields.at[r->part].text);
    const struct field *price = &r->fields.at[r->price];
    double amount;
    if (!*one_blank(r->m->arena, price->text)) /* not asked for yet */
        return;
    if (!*part) {
        diag_mend(r->diag, say(r, first->at, "this line names no part"),
                  "the part as a price of the plan names it");
        return;
    }
    if (read_price(r, price, &amount))
        put_price(r, names_of(r->m->names, part), amount, r->fields.at[r->part].at);
}

void model_read_prices(struct model *m, struct diag *diag, struct source *list)
{
    struct reader r = {
        .m = m, .diag = diag, .list = list, .at = list->bytes, .end = list->bytes + list->size};
    static const char mark[] = "\xef\xbb\xbf"; /* of the byte order */
    if (list->size >= sizeof mark - 1 && !memcmp(r.at, mark, sizeof mark - 1))
        r.at += sizeof mark - 1;
    if (!read_header(&r))
        return;
    while (!diag_is_full(diag, &rule_price_unreadable) && take_line(&r))
        read_line(&r);
}

const char *model_price_list(struct arena *arena, const char *plan, bool own)
{
    if (!strcmp(plan, "-"))
        return NULL;
    size_t len = strlen(plan);
    const char *slash = strrchr(plan, '/');
    static const char ending[] = ".bay";
    const size_t tail = sizeof ending - 1;
    if (own && len > tail && !strcmp(plan + len - tail, ending))
        len -= tail;
    if (!own)
        len = slash ? (size_t)(slash + 1 - plan) : 0;
    return arena_printf(arena, own ? "%.*s.prices.csv" : "%.*sprices.csv", (int)len, plan);
}
