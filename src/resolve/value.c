#include "base/length.h"
#include "base/utf8.h"
#include "diag/diag.h"
#include "resolve/node.h"
#include "resolve/value_reader.h"
#include "syntax/tree.h"

#include <stdlib.h>
#include <string.h>

static const struct unit {
    const char *name;
    enum dimension dimension;
    double scale;
} units[] = {
#define UNIT(name, dimension, scale) {name, dimension, scale},
#define LENGTH_UNIT(name, length)
#include "resolve/units.def"
#undef UNIT
#undef LENGTH_UNIT
};

/* The dimension of a unit and the millionths of the dimension's unit in one of it; D_NONE where the
 * word is no unit. */
static enum dimension unit_named(const char *name, size_t len, double *scale)
{
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (*units[i].name == *name && !strncmp(units[i].name, name, len) && !units[i].name[len]) {
            *scale = units[i].scale;
            return units[i].dimension;
        }
    }
    return D_NONE;
}

const char *value_dimension_words(enum dimension d)
{
    static const char *const words[] = {
        "a plain number", "a length",     "a current",          "a voltage", "a load",
        "a volume",       "an area",      "a cross-section",    "a share",   "a weight",
        "a temperature",  "a resistance", "a load for an area", "a time"};
    return words[d];
}

static const struct source_token *token_at(const struct value_reader *r, uint32_t token)
{
    return &r->source->tokens[token];
}

static const char *bytes_of(const struct value_reader *r, uint32_t token)
{
    return r->source->bytes + token_at(r, token)->off;
}

enum token_kind item_sign(const struct value_reader *r, uint32_t at)
{
    if (at >= r->count || r->items[at].kind != ITEM_TOKEN)
        return T_EOF;
    return (enum token_kind)token_at(r, r->items[at].first)->kind;
}

static const char *interned(const struct value_reader *r, uint32_t token)
{
    return names_intern(r->names, bytes_of(r, token), token_at(r, token)->len);
}

const char *item_word(const struct value_reader *r, uint32_t at)
{
    if (at >= r->count || r->items[at].kind != ITEM_REF || r->items[at].first != r->items[at].last)
        return NULL;
    if (!r->words)
        return interned(r, r->items[at].first);
    if (!r->words[at])
        r->words[at] = interned(r, r->items[at].first);
    return r->words[at];
}

struct span item_span(const struct value_reader *r, uint32_t at)
{
    if (at < r->count)
        return token_span(r->source, r->items[at].first, r->items[at].last);
    struct span end =
        token_span(r->source, r->items[r->count - 1].last, r->items[r->count - 1].last);
    return (struct span){end.source, end.off + end.len, 0};
}

const char *item_text(const struct value_reader *r, uint32_t at)
{
    if (at >= r->count)
        return "the end of the line";
    struct span s = item_span(r, at);
    if (s.len > 40)
        return token_words((enum token_kind)token_at(r, r->items[at].first)->kind);
    return arena_printf(r->diag->arena, "'%.*s'", (int)s.len, s.source->bytes + s.off);
}

/* --- numbers ------------------------------------------------------------------------------ */

/* Digits with a point to millionths; false where it has more than nine digits before the point or
 * six behind it. */
static bool millionths(const char *p, size_t len, int64_t *out)
{
    const char *end = p + len;
    bool negative = p < end && *p == '-';
    p += negative;
    int64_t n = 0, unit = MILLION;
    const char *start = p;
    for (; p < end && *p != '.'; p++)
        n = p - start < 9 ? n * 10 + (*p - '0') : -1;
    if (p - start > 9)
        return false;
    n *= MILLION;
    for (p += p < end; p < end; p++) {
        if (unit == 1 && *p != '0')
            return false;
        unit /= unit == 1 ? 1 : 10;
        n += (*p - '0') * unit;
    }
    *out = negative ? -n : n;
    return true;
}

static bool fault(struct value_reader *r, const struct rule *rule, struct span span,
                  const char *format, ...) __attribute__((format(printf, 4, 5)));

static bool fault(struct value_reader *r, const struct rule *rule, struct span span,
                  const char *format, ...)
{
    if (r->quiet)
        return false;
    va_list args;
    va_start(args, format);
    const char *message = arena_vprintf(r->diag->arena, format, args);
    va_end(args);
    diag_syntax(r->diag, rule, span, "%s", message);
    return false;
}

/* --- lengths ------------------------------------------------------------------------------ */

struct measure {
    const char *p, *end;
    bool inexact;
};

/* A run of digits with an optional fraction part as `unit` times the number; notes what is no whole
 * number of the smallest unit. */
static length decimal(struct measure *m, length unit)
{
    int64_t whole = 0, scale = 1, n = 0;
    for (; m->p < m->end && *m->p >= '0' && *m->p <= '9'; m->p++)
        whole = whole < 100000000 ? whole * 10 + (*m->p - '0') : whole;
    if (m->p < m->end && *m->p == '.') {
        for (m->p++; m->p < m->end && *m->p >= '0' && *m->p <= '9'; m->p++) {
            if (scale >= 1000000000) {
                m->inexact |= *m->p != '0';
                continue;
            }
            n = n * 10 + (*m->p - '0');
            scale *= 10;
        }
    }
    while (scale > 1 && n % 10 == 0) {
        n /= 10;
        scale /= 10;
    }
    __int128 part = (__int128)n * unit;
    m->inexact |= part % scale != 0;
    return whole * unit + (length)(part / scale);
}

static void skip_blanks(struct measure *m)
{
    while (m->p < m->end && (*m->p == ' ' || *m->p == '\t' || *m->p == '-'))
        m->p++;
}

static bool feet_mark(struct measure *m)
{
    size_t left = (size_t)(m->end - m->p);
    size_t n = left && *m->p == '\'' ? 1
               : left >= 3 && (!memcmp(m->p, "\xe2\x80\xb2", 3) || !memcmp(m->p, "\xe2\x80\x99", 3))
                   ? 3
                   : 0;
    m->p += n;
    return n > 0;
}

/* Inches, with or without a fraction. */
static length inches(struct measure *m, bool *fraction_fault)
{
    length l = 0;
    for (;;) {
        const char *start = m->p;
        length n = decimal(m, INCH);
        if (m->p < m->end && *m->p == '/') {
            int64_t over = n / INCH;
            m->p++;
            int64_t under = decimal(m, 1);
            if (under != 2 && under != 4 && under != 8 && under != 16 && under != 32 &&
                under != 64) {
                *fraction_fault = true;
                return 0;
            }
            return l + over * INCH / under;
        }
        l += n;
        skip_blanks(m);
        if (m->p == start || m->p >= m->end || *m->p < '0' || *m->p > '9')
            return l;
    }
}

/* The value of a measure that was read; refused where it could not be held, or is no length of a
 * house. */
static bool keep_length(struct value_reader *r, uint32_t item, const struct measure *m, length l,
                        struct value *v)
{
    const length longest = 100000 * FOOT;
    if (m->inexact)
        return fault(r, &rule_syntax, item_span(r, item),
                     "this length cannot be held exactly; write at most thousandths");
    if (l > longest || l < -longest)
        return fault(r, &rule_limit, item_span(r, item),
                     "no length in a house is as large as this");
    v->kind = V_LENGTH;
    v->dimension = D_LENGTH;
    v->n = l;
    return true;
}

static bool read_length_token(struct value_reader *r, uint32_t item, struct value *v)
{
    uint32_t token = r->items[item].first;
    struct measure m = {bytes_of(r, token), bytes_of(r, token) + token_at(r, token)->len, false};
    bool negative = *m.p == '-', fraction_fault = false;
    m.p += negative;
    struct measure start = m;
    length l = decimal(&m, FOOT);
    if (feet_mark(&m)) {
        skip_blanks(&m);
        length more = m.p < m.end ? inches(&m, &fraction_fault) : 0;
        if (more >= FOOT)
            return fault(r, &rule_syntax, item_span(r, item),
                         "the inches of a length in feet and inches are below 12");
        l += more;
    } else {
        m = start;
        l = inches(&m, &fraction_fault);
    }
    if (fraction_fault)
        return fault(r, &rule_syntax, item_span(r, item),
                     "fractions of an inch are halves, quarters, eighths, 16ths, 32nds or 64ths");
    return keep_length(r, item, &m, negative ? -l : l, v);
}

static length metric_unit(const char *word)
{
    static const struct {
        const char *name;
        length length;
    } lengths[] = {
#define UNIT(name, dimension, scale)
#define LENGTH_UNIT(name, length) {name, length},
#include "resolve/units.def"
#undef UNIT
#undef LENGTH_UNIT
    };
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
        if (!strcmp(word, lengths[i].name))
            return lengths[i].length;
    return 0;
}

/* 4ft, 16 in, 2.4m, 450 mm */
static bool read_metric(struct value_reader *r, uint32_t item, length unit, struct value *v)
{
    uint32_t token = r->items[item].first;
    struct measure m = {bytes_of(r, token), bytes_of(r, token) + token_at(r, token)->len, false};
    bool negative = *m.p == '-';
    m.p += negative;
    length l = decimal(&m, unit);
    return keep_length(r, item, &m, negative ? -l : l, v);
}

/* --- any measure -------------------------------------------------------------------------- */

/* The unit that stands behind a number on its line, or D_NONE. */
static enum dimension unit_behind(const struct value_reader *r, uint32_t at, double *scale,
                                  length *metric)
{
    *metric = 0;
    if (at >= r->count)
        return D_NONE;
    uint32_t token = r->items[at].first;
    if (token_at(r, token)->flags & TOKEN_NEWLINE || r->items[at].first != r->items[at].last ||
        r->items[at].kind == ITEM_GIVEN)
        return D_NONE;
    const char *word = item_word(r, at);
    if (r->counting && word && !strcmp(word, "in") &&
        (item_word(r, at + 1) || item_sign(r, at + 1) == T_SLASHED))
        return D_NONE; /* "for circuits 3, 5 in emt-3/4" */
    if (word && (*metric = metric_unit(word)))
        return D_LENGTH;
    return unit_named(bytes_of(r, token), token_at(r, token)->len, scale);
}

static int64_t scaled(int64_t n, double scale)
{
    double x = (double)n / MILLION * scale;
    return (int64_t)(x < 0 ? x - 0.5 : x + 0.5);
}

static bool read_number(struct value_reader *r, uint32_t *at, struct value *v)
{
    uint32_t item = *at, token = r->items[item].first;
    int64_t n;
    double scale = 1;
    length metric;
    enum dimension d = unit_behind(r, item + 1, &scale, &metric);
    *at = item + 1 + (d != D_NONE);
    v->last = r->items[*at - 1].last;
    if (metric)
        return read_metric(r, item, metric, v);
    if (!millionths(bytes_of(r, token), token_at(r, token)->len, &n))
        return fault(r, &rule_limit, item_span(r, item),
                     "a number has at most nine digits, and six behind the point");
    v->kind = d == D_NONE ? (n % MILLION ? V_NUMBER : V_INTEGER) : V_QUANTITY;
    v->dimension = (uint8_t)d;
    v->n = d == D_NONE ? (n % MILLION ? n : n / MILLION) : scaled(n, scale);
    if (d == D_TEMPERATURE && *bytes_of(r, r->items[item + 1].first) == 'F')
        v->n = scaled(n - 32 * MILLION, 5e6 / 9);
    return true;
}

/* 120/240 V: the second figure counts, the first is kept. */
static bool read_slashed(struct value_reader *r, uint32_t *at, struct value *v)
{
    uint32_t token = r->items[*at].first;
    double scale;
    length metric;
    v->kind = V_SLASHED;
    v->name = interned(r, token);
    const char *slash = strchr(v->name, '/');
    int64_t high;
    if (unit_behind(r, *at + 1, &scale, &metric) == D_VOLTAGE &&
        millionths(slash + 1, strlen(slash + 1), &high) && slash - v->name < 5) {
        int64_t low;
        millionths(v->name, (size_t)(slash - v->name), &low);
        v->kind = V_QUANTITY;
        v->dimension = D_VOLTAGE;
        v->low = (uint16_t)(low / MILLION);
        v->n = high;
        v->last = r->items[++*at].last;
    }
    ++*at;
    return true;
}

static void read_ref(struct value_reader *r, uint32_t at, struct value *v)
{
    const struct item *item = &r->items[at];
    if (item->first == item->last) {
        v->kind = V_NAME;
        v->name = item_word(r, at);
        return;
    }
    struct ref *ref = arena_new(r->arena, struct ref);
    for (uint32_t t = item->first; t <= item->last; t += 2)
        if (ref->count < 4)
            ref->part[ref->count++] = interned(r, t);
    v->kind = V_REF;
    v->ref = ref;
}

/* The text without its quotes; \" \\ and \n replaced. */
static void read_text(struct value_reader *r, uint32_t token, struct value *v)
{
    const char *p = bytes_of(r, token) + 1, *end = bytes_of(r, token) + token_at(r, token)->len;
    if (end > p && end[-1] == '"' && !(token_at(r, token)->flags & TOKEN_BAD && end[-2] == '\\'))
        end--;
    if (token_at(r, token)->flags & TOKEN_BAD) { /* no output prints what is hidden in it */
        char *masked = arena_alloc(r->arena, UTF8_MASKED(end - p) + 1);
        end = utf8_mask(masked, p, (size_t)(end - p));
        p = masked;
    }
    char *out = arena_alloc(r->arena, (size_t)(end - p) + 1), *q = out;
    for (; p < end; p++) {
        if (*p == '\\' && p + 1 < end)
            *q++ = *++p == 'n' ? '\n' : *p;
        else
            *q++ = *p;
    }
    v->kind = V_TEXT;
    v->name = out;
}

/* Whatever stands at the item, by its own sort. */
static bool read_any(struct value_reader *r, uint32_t *at, struct value *v)
{
    const struct item *item = &r->items[*at];
    v->first = item->first;
    v->last = item->last;
    if (item->kind == ITEM_GIVEN) {
        v->kind = V_GIVEN;
        v->name = interned(r, item->first + 1);
    } else if (item->kind == ITEM_REF) {
        read_ref(r, *at, v);
    } else {
        switch (token_at(r, item->first)->kind) {
        case T_NUMBER:
            return read_number(r, at, v);
        case T_SLASHED:
            return read_slashed(r, at, v);
        case T_LENGTH: {
            bool ok = read_length_token(r, *at, v);
            ++*at;
            return ok;
        }
        case T_LUMBER:
            v->kind = V_LUMBER;
            v->name = interned(r, item->first);
            break;
        case T_TEXT:
            read_text(r, item->first, v);
            break;
        default:
            return false;
        }
    }
    ++*at;
    return true;
}

static enum dimension dimension_of(enum capture c)
{
    switch (c) {
    case C_LEN:
    case C_LENGTH:
    case C_EXTENT:
        return D_LENGTH;
    case C_AMP:
        return D_CURRENT;
    case C_VOLT:
        return D_VOLTAGE;
    case C_LOAD:
        return D_LOAD;
    case C_AREA:
        return D_AREA;
    case C_VOLUME:
        return D_VOLUME;
    case C_SECTION:
        return D_SECTION;
    case C_PERCENT:
        return D_PERCENT;
    case C_WEIGHT:
        return D_WEIGHT;
    case C_TEMP:
        return D_TEMPERATURE;
    case C_TIME:
        return D_TIME;
    default:
        return D_NONE;
    }
}

bool value_serves(enum capture wanted, struct value *v)
{
    enum dimension d = dimension_of(wanted);
    if (d == D_LENGTH && v->kind == V_INTEGER && v->n == 0) {
        v->kind = V_LENGTH;
        v->dimension = D_LENGTH;
    }
    if (d != D_NONE)
        return (v->kind == V_QUANTITY || v->kind == V_LENGTH) && v->dimension == d;
    switch (wanted) {
    case C_NAME:
        return v->kind == V_NAME;
    case C_REF:
        return v->kind == V_NAME || v->kind == V_REF || v->kind == V_INTEGER;
    case C_NUM:
        return v->kind == V_INTEGER;
    case C_NUMBER:
        return v->kind == V_INTEGER || v->kind == V_NUMBER;
    case C_TEXT:
        return v->kind == V_TEXT;
    case C_CABLE:
        return v->kind == V_SLASHED || v->kind == V_NAME;
    case C_LUMBER:
        return v->kind == V_LUMBER || v->kind == V_NAME;
    case C_SIZE:
        return v->kind == V_INTEGER || v->kind == V_SLASHED;
    default:
        return true;
    }
}

const char *value_out_of_bounds(enum capture wanted, const struct value *v)
{
    if (wanted == C_EXTENT && v->kind == V_LENGTH && v->n <= 0)
        return "this length is more than 0";
    if (wanted == C_LENGTH && v->kind == V_LENGTH && v->n < 0)
        return "this length is not below 0";
    if (wanted == C_NUMBER && (v->kind == V_INTEGER || v->kind == V_NUMBER) && v->n < 0)
        return "this number is not below 0";
    if (v->kind != V_QUANTITY || wanted == C_TEMP)
        return NULL;
    if (wanted == C_AMP)
        return v->n <= 0 ? "a current is more than 0" : NULL;
    return v->n < 0 ? "this measure is not below 0" : NULL;
}

enum { MOST_SHOWN = 40 }; /* bytes of what is written, in a finding */

/* What is to be written in place of some items; `other`: or this. */
struct instead {
    uint32_t items;
    const char *text, *other;
    bool safe;
};

static const char *set_instead(struct instead *instead, uint32_t items, const char *text)
{
    *instead = (struct instead){.items = items, .text = text, .safe = true};
    return text;
}

static const char *say_instead(const struct value_reader *r, struct instead *instead,
                               uint32_t items, bool safe, const char *text)
{
    *instead = (struct instead){.items = items, .text = text, .safe = safe};
    return arena_printf(r->diag->arena, "write %s", text);
}

/* Slips that deserve a hint of their own, and what would be right, where that is one text. */
static const char *hint(const struct value_reader *r, uint32_t at, enum capture wanted,
                        struct instead *instead)
{
    struct arena *a = r->diag->arena;
    const char *word = item_word(r, at + 1);
    struct span s = item_span(r, at);
    int len = (int)(s.len < MOST_SHOWN ? s.len : MOST_SHOWN);
    const char *text = s.source->bytes + s.off;
    if (wanted == C_TEXT && at < r->count && r->items[at].kind == ITEM_REF)
        return arena_printf(a, "write it in quotes: %s",
                            set_instead(instead, 1, arena_printf(a, "\"%.*s\"", len, text)));
    const char *mark = item_sign(r, at) == T_LUMBER && dimension_of(wanted) == D_LENGTH
                           ? memchr(text, 'x', s.len)
                           : NULL;
    if (mark)
        return say_instead(r, instead, 1, false,
                           arena_printf(a, "%.*s' by %.*s'", (int)(mark - text), text,
                                        (int)(text + s.len - mark - 1), mark + 1));
    if (item_sign(r, at) != T_NUMBER)
        return NULL;
    if (wanted == C_NAME)
        return "a name begins with a letter";
    if (wanted == C_LUMBER && word && !strcmp(word, "x") && item_sign(r, at + 2) == T_NUMBER)
        return arena_printf(a, "lumber is written in one word: %s",
                            set_instead(instead, 3,
                                        arena_printf(a, "%.*sx%.*s", len, text,
                                                     (int)token_at(r, r->items[at + 2].first)->len,
                                                     bytes_of(r, r->items[at + 2].first))));
    if (wanted == C_LUMBER && word && *word == 'X' && word[1] &&
        strspn(word + 1, "0123456789") == strlen(word + 1))
        return arena_printf(
            a, "lumber is written with a small x: %s",
            set_instead(instead, 2, arena_printf(a, "%.*sx%s", len, text, word + 1)));
    if (dimension_of(wanted) == D_LENGTH && word && (!strcmp(word, "x") || !strcmp(word, "by")) &&
        item_sign(r, at + 2) == T_NUMBER)
        return say_instead(r, instead, 3, false,
                           arena_printf(a, "%.*s' by %.*s'", len, text,
                                        (int)token_at(r, r->items[at + 2].first)->len,
                                        bytes_of(r, r->items[at + 2].first)));
    if (dimension_of(wanted) == D_LENGTH && word && !strcmp(word, "cm"))
        return say_instead(r, instead, 2, true,
                           arena_printf(a, "%.9g mm", strtod(text, NULL) * 10));
    if (wanted == C_CABLE && item_sign(r, at + 1) == T_NUMBER &&
        *bytes_of(r, r->items[at + 1].first) == '-')
        return arena_printf(
            a, "a cable is written %s",
            set_instead(instead, 2,
                        arena_printf(a, "%.*s/%.*s", len, text,
                                     (int)token_at(r, r->items[at + 1].first)->len - 1,
                                     bytes_of(r, r->items[at + 1].first) + 1)));
    if (item_sign(r, at + 1) == T_COMMA && item_sign(r, at + 2) == T_NUMBER &&
        dimension_of(wanted) != D_NONE && dimension_of(wanted) != D_LENGTH)
        return arena_printf(a, "a number has no comma in it: %.*s%s%.*s", len, text,
                            token_at(r, r->items[at + 2].first)->len == 3 ? "" : ".",
                            (int)token_at(r, r->items[at + 2].first)->len,
                            bytes_of(r, r->items[at + 2].first));
    static const struct {
        const char *slip, *unit;
    } slips[] = {{"amps", "A"},      {"amp", "A"},      {"Amps", "A"},    {"Amp", "A"},
                 {"a", "A"},         {"AMP", "A"},      {"watts", "W"},   {"watt", "W"},
                 {"Watts", "W"},     {"w", "W"},        {"volts", "V"},   {"v", "V"},
                 {"va", "VA"},       {"kva", "kVA"},    {"kw", "kW"},     {"KW", "kW"},
                 {"feet", "ft"},     {"foot", "ft"},    {"inches", "in"}, {"inch", "in"},
                 {"minutes", "min"}, {"minute", "min"}, {"mins", "min"},  {"hours", "h"},
                 {"hour", "h"},      {"hrs", "h"},      {"hr", "h"}};
    for (size_t i = 0; word && i < sizeof slips / sizeof *slips; i++)
        if (!strcmp(word, slips[i].slip))
            return say_instead(r, instead, 2, true,
                               arena_printf(a, "%.*s %s", len, text, slips[i].unit));
    if (dimension_of(wanted) == D_CURRENT)
        return say_instead(r, instead, 1, true, arena_printf(a, "%.*s A", len, text));
    if (dimension_of(wanted) != D_LENGTH)
        return NULL;
    *instead = (struct instead){.items = 1,
                                .text = arena_printf(a, "%.*s'", len, text),
                                .other = arena_printf(a, "%.*s\"", len, text)};
    return arena_printf(a, "write %s for feet, %s for inches", instead->text, instead->other);
}

RULE(wrong_unit, "wrong-unit", ERROR, FIRM, "a measure has the unit that is wanted there");

static bool refuse(struct value_reader *r, enum capture wanted, uint32_t at, const struct value *v)
{
    if (r->quiet)
        return false;
    struct span span =
        v && v->kind != V_NONE ? token_span(r->source, v->first, v->last) : item_span(r, at);
    struct instead instead = {0};
    const char *advice = at < r->count ? hint(r, at, wanted, &instead) : NULL;
    const char *shown =
        arena_printf(r->diag->arena, "'%.*s'", (int)(span.len < MOST_SHOWN ? span.len : MOST_SHOWN),
                     span.source->bytes + span.off);
    const char *by = r->wanted_by && *r->wanted_by ? r->wanted_by : "here";
    bool measure = v && (v->kind == V_INTEGER || v->kind == V_NUMBER || v->kind == V_QUANTITY ||
                         v->kind == V_LENGTH);
    struct finding *f;
    if (measure && (dimension_of(wanted) != D_NONE || v->dimension != D_NONE) && wanted != C_NAME &&
        wanted != C_TEXT)
        f = diag_syntax(r->diag, &rule_wrong_unit, span, "%s is %s; %s wants %s", shown,
                        value_dimension_words((enum dimension)v->dimension), by,
                        resolve_capture_words(wanted));
    else
        f = diag_syntax(r->diag, &rule_syntax, span, "expected %s after %s, not %s",
                        resolve_capture_words(wanted),
                        at ? item_text(r, at - 1) : arena_printf(r->diag->arena, "'%s'", by),
                        item_text(r, at));
    if (advice)
        diag_mend(r->diag, f, "%s", advice);
    if (instead.text && at + instead.items <= r->count && span.len <= MOST_SHOWN) {
        struct span from = item_span(r, at), to = item_span(r, at + instead.items - 1);
        from.len = to.off + to.len - from.off;
        diag_replace(r->diag, f, instead.safe, from, instead.text);
        if (instead.other)
            diag_replace(r->diag, f, false, from, instead.other);
    }
    return false;
}

bool value_read(struct value_reader *r, enum capture wanted, uint32_t *at, struct value *v)
{
    *v = (struct value){0};
    uint32_t start = *at;
    r->counting = wanted == C_REF || wanted == C_NUM;
    if (start >= r->count || !read_any(r, at, v)) {
        bool known =
            start < r->count &&
            item_sign(r, start) == T_LENGTH; /* read_any has said what is wrong with a length */
        *at = start;
        *v = (struct value){0};
        return known ? false : refuse(r, wanted, start, NULL);
    }
    if (v->kind == V_GIVEN || value_serves(wanted, v)) {
        const char *beyond = value_out_of_bounds(wanted, v);
        if (!beyond || r->quiet)
            return !beyond;
        diag_syntax(r->diag, &rule_syntax, token_span(r->source, v->first, v->last), "%s", beyond);
        *at = start;
        *v = (struct value){0};
        return false;
    }
    *at = start;
    refuse(r, wanted, start, v);
    *v = (struct value){0};
    return false;
}

double value_fahrenheit(double celsius)
{
    return celsius * 9 / 5 + 32;
}
