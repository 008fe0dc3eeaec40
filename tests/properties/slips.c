/* The slips that people make, each with what is to be said of it: one line of the table for each.
 *
 * A slip has its places (a function that knows them among the words of a plan), what is put there
 * (a function, with a word of its own), the rules of which one finds it, whether it must be found,
 * and what its mend names. */
#include "slips.h"

#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "random.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* --- the words of a plan ------------------------------------------------------------------- */

static bool in_name(char c)
{
    return isalnum((unsigned char)c) || c == '_' || c == '-' || c == '/';
}

static bool in_number(char c)
{
    return isalnum((unsigned char)c) || strchr("'\"/.-%", c);
}

static size_t word_length(const char *p, const char *end)
{
    const char *q = p;
    if (*p == '"') {
        for (q++; q < end && *q != '"' && *q != '\n'; q++)
            ;
        return (size_t)(q - p) + (q < end && *q == '"');
    }
    if (isdigit((unsigned char)*p) || (*p == '-' && isdigit((unsigned char)p[1])))
        for (q++; q < end && *q && in_number(*q); q++)
            ;
    else if (isalpha((unsigned char)*p))
        for (q++; q < end && in_name(*q); q++)
            ;
    else
        q += *p == '-' && p[1] == '>' ? 2 : 1;
    return (size_t)(q - p);
}

static bool is(const struct slip_text *t, uint32_t i, const char *word)
{
    return i < t->count && t->words[i].n == strlen(word) &&
           !memcmp(t->text->at + t->words[i].at, word, t->words[i].n);
}

static bool goes_on(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "->") || is(t, i, ",") || is(t, i, "+") || is(t, i, ":");
}

struct reading {
    struct slip_text *t;
    uint32_t stack[64], depth, head;
    bool ended;
};

static void add_word(struct reading *r, size_t at, size_t n)
{
    struct slip_text *t = r->t;
    uint32_t i = t->count++;
    char first = t->text->at[at];
    if (first == '{' && r->depth < 64)
        r->stack[r->depth++] = r->head;
    bool sign = first == '{' || first == '}' || first == ';';
    if (r->ended && !sign)
        r->head = i;
    uint32_t depth = r->depth - (first == '{' && r->depth);
    t->words[i] = (struct slip_word){at, n, r->head, depth ? r->stack[depth - 1] : NO_WORD};
    if (first == '}' && r->depth)
        r->head = r->stack[--r->depth];
    r->ended = sign;
}

void slip_read(struct slip_text *t, const struct buf *text, const struct compilation *c)
{
    *t = (struct slip_text){.text = text, .c = c, .words = calloc(text->n + 1, sizeof *t->words)};
    struct reading r = {.t = t, .ended = true};
    const char *p = text->at, *end = text->at + text->n;
    while (p < end) {
        if (*p == '\n')
            r.ended |= t->count && !goes_on(t, t->count - 1);
        if (*p == '#')
            while (p < end && *p != '\n')
                p++;
        else if (isspace((unsigned char)*p))
            p++;
        else {
            size_t n = word_length(p, end);
            add_word(&r, (size_t)(p - text->at), n);
            p += n;
        }
    }
}

void slip_end(struct slip_text *t)
{
    free(t->words);
}

static char first_of(const struct slip_text *t, uint32_t i)
{
    return i < t->count ? t->text->at[t->words[i].at] : 0;
}

static bool is_name(const struct slip_text *t, uint32_t i)
{
    return isalpha((unsigned char)first_of(t, i));
}

static bool heads(const struct slip_text *t, uint32_t i)
{
    return i < t->count && t->words[i].head == i;
}

static bool same_statement(const struct slip_text *t, uint32_t i, uint32_t k)
{
    return i < t->count && k < t->count && t->words[i].head == t->words[k].head &&
           !strchr("{};", first_of(t, i)) && !strchr("{};", first_of(t, k));
}

static bool headed(const struct slip_text *t, uint32_t i, const char *word)
{
    return is(t, t->words[i].head, word);
}

static bool inside(const struct slip_text *t, uint32_t i, const char *owner)
{
    return t->words[i].owner != NO_WORD && is(t, t->words[i].owner, owner);
}

static bool follows(const struct slip_text *t, uint32_t i, const char *word)
{
    return i && same_statement(t, i, i - 1) && is(t, i - 1, word);
}

static bool same_words(const struct slip_text *t, uint32_t i, uint32_t k)
{
    return t->words[i].n == t->words[k].n &&
           !memcmp(t->text->at + t->words[i].at, t->text->at + t->words[k].at, t->words[i].n);
}

/* --- places -------------------------------------------------------------------------------- */

static bool room_of_run(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "run") && is_name(t, i) && is(t, i + 1, ".") &&
           (follows(t, i, "->") || follows(t, i, "run"));
}

static bool box_of_run(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "run") && is_name(t, i) && follows(t, i, ".");
}

static bool start_of_run(const struct slip_text *t, uint32_t i)
{
    return is_name(t, i) && follows(t, i, "run") && !is(t, i + 1, ".");
}

static bool room_of_door(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "door") && follows(t, i, "to") && is_name(t, i) && !is(t, i, "outside");
}

static bool room_of_panel(const struct slip_text *t, uint32_t i)
{
    return inside(t, i, "panel") && headed(t, i, "in") && follows(t, i, "in");
}

static bool level_of_room(const struct slip_text *t, uint32_t i)
{
    return inside(t, i, "room") && headed(t, i, "on") && follows(t, i, "on");
}

static bool kind_of_room(const struct slip_text *t, uint32_t i)
{
    return inside(t, i, "room") && headed(t, i, "kind") && follows(t, i, "kind");
}

static bool panel_of_circuit(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "circuit") && is_name(t, i) && is(t, i + 1, ".");
}

static bool panel_of_feeder(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "feeder") && follows(t, i, "from");
}

static bool cable_of_run(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "run") && follows(t, i, "cable") && !is(t, i, "unknown");
}

static bool type_of_box(const struct slip_text *t, uint32_t i)
{
    return inside(t, i, "box") && headed(t, i, "type") && follows(t, i, "type") &&
           !is(t, i, "unknown");
}

static bool edition(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "edition") && follows(t, i, "edition");
}

static bool is_device(const struct slip_text *t, uint32_t i)
{
    const struct model *m = t->c->model;
    for (uint32_t k = 0; k < m->devices.n; k++)
        if (is(t, i, m->devices.at[k]->def->name))
            return true;
    return false;
}

static bool device(const struct slip_text *t, uint32_t i)
{
    return heads(t, i) && inside(t, i, "box") && is_name(t, i) && is_device(t, i);
}

static bool leg_of_device(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "leg") && is_device(t, t->words[i].head) && inside(t, i, "box");
}

static bool leg_word(const struct slip_text *t, uint32_t i)
{
    return leg_of_device(t, i + 1);
}

static bool declared_room(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "room") && heads(t, i - 1) && is_name(t, i);
}

static bool declared_box(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "box") && heads(t, i - 1) && is_name(t, i);
}

static bool declared_leg(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "leg") && heads(t, i - 1) && is_name(t, i);
}

static bool declared_panel(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "panel") && heads(t, i - 1) && is_name(t, i);
}

static bool declared_level(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, "level") && heads(t, i - 1) && is_name(t, i);
}

static bool declared_wall(const struct slip_text *t, uint32_t i)
{
    return heads(t, i) && inside(t, i, "outline") && is_name(t, i);
}

static bool number_of_circuit(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "circuit") && follows(t, i, ".") && isdigit((unsigned char)first_of(t, i));
}

/* A word of the language behind the first of its statement. */
static bool inner_word(const struct slip_text *t, uint32_t i)
{
    static const char *const words[] = {"at",      "wide",     "size",     "by",     "from",
                                        "up",      "overhead", "concrete", "furred", "gap",
                                        "running", "cable",    "via",      "leg",    "hinge",
                                        "risers",  "every",    "type",     "to"};
    bool own = false;
    for (size_t k = 0; k < sizeof words / sizeof *words; k++)
        own |= is(t, i, words[k]);
    return own && !heads(t, i);
}

static bool statement_word(const struct slip_text *t, uint32_t i)
{
    return heads(t, i) && is_name(t, i) && !is_device(t, i) && !is(t, i, "language") &&
           !inside(t, i, "outline") && /* a wall's own name */
           !is(t, i, "terminal");      /* there are `terminals` too */
}

static bool open_brace(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "{");
}

static bool close_brace(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "}");
}

static bool quoted(const struct slip_text *t, uint32_t i)
{
    return first_of(t, i) == '"';
}

static bool length_at(const struct slip_text *t, uint32_t i)
{
    return isdigit((unsigned char)first_of(t, i)) && i && same_statement(t, i, i - 1) &&
           (is(t, i - 1, "at") || is(t, i - 1, "up") || is(t, i - 1, "wide")) &&
           strchr("'\"", t->text->at[t->words[i].at + t->words[i].n - 1]) &&
           (headed(t, i, "box") || headed(t, i, "door") || headed(t, i, "window")) &&
           !isdigit((unsigned char)first_of(t, i + 1));
}

static bool height_in_inches(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "box") && follows(t, i, "up") && t->words[i].n == 3 &&
           t->text->at[t->words[i].at + 2] == '"';
}

static bool amps(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "A") && headed(t, i, "breaker") && inside(t, i, "circuit") &&
           isdigit((unsigned char)first_of(t, i - 1));
}

/* Whether the circuit of a word is there already. */
static bool is_old(const struct slip_text *t, uint32_t i)
{
    for (uint32_t k = t->words[i].owner; k < t->count; k++)
        if (t->words[k].owner == t->words[i].owner && is(t, k, "existing"))
            return true;
    return false;
}

static bool two_pole(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "two-pole") && headed(t, i, "breaker") && inside(t, i, "circuit") &&
           !is_old(t, i);
}

/* Of one sort: a dual-function breaker is two protections. */
static bool protection(const struct slip_text *t, uint32_t i)
{
    return headed(t, i, "breaker") && inside(t, i, "circuit") &&
           (is(t, i, "afci") || is(t, i, "gfci"));
}

static bool wall_door(const struct slip_text *t, uint32_t i)
{
    return length_at(t, i) && headed(t, i, "door") && is(t, i - 1, "at");
}

/* At a whole foot. */
static bool foot_door(const struct slip_text *t, uint32_t i)
{
    return wall_door(t, i) && t->text->at[t->words[i].at + t->words[i].n - 1] == '\'';
}

static bool wall_box(const struct slip_text *t, uint32_t i)
{
    return length_at(t, i) && headed(t, i, "box") && is(t, i - 1, "at") &&
           i == t->words[i].head + 4;
}

static bool last_box_of_run(const struct slip_text *t, uint32_t i)
{
    return inside(t, i, "circuit") && box_of_run(t, i) && !same_statement(t, i, i + 1);
}

static bool pole_word(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "pole") && inside(t, i, "box") && !heads(t, i);
}

static bool word_of_device(const struct slip_text *t, uint32_t i, const char *word)
{
    return device(t, i) && is(t, i, word);
}

static bool receptacle(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "receptacle");
}

static bool receptacle_gfci(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "receptacle-gfci");
}

/* That hands its protection on to nothing: else the word that says so is a fault besides. */
static bool gfci_for_itself(const struct slip_text *t, uint32_t i)
{
    for (uint32_t k = i + 1; same_statement(t, i, k); k++)
        if (is(t, k, "onward"))
            return false;
    return receptacle_gfci(t, i);
}

static bool luminaire(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "luminaire");
}

static bool recessed(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "recessed");
}

static bool smoke_alarm(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "smoke-alarm");
}

static bool exhaust_fan(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "exhaust-fan");
}

static bool switch_device(const struct slip_text *t, uint32_t i)
{
    return word_of_device(t, i, "switch");
}

static bool bath_kind(const struct slip_text *t, uint32_t i)
{
    return kind_of_room(t, i) && is(t, i, "bath");
}

static bool cable_12(const struct slip_text *t, uint32_t i)
{
    return cable_of_run(t, i) && is(t, i, "12/2");
}

static bool breaker_15(const struct slip_text *t, uint32_t i)
{
    return is(t, i, "15") && headed(t, i, "breaker") && inside(t, i, "circuit");
}

/* --- what is put there ----------------------------------------------------------------------- */

static bool put_word(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                     struct change *out)
{
    (void)seed;
    *out = (struct change){.at = t->words[i].at, .n = t->words[i].n};
    buf_puts(&out->put, put);
    buf_text(&out->put);
    return true;
}

/* With the blanks before it. */
static bool drop(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                 struct change *out)
{
    (void)seed;
    (void)put;
    size_t at = t->words[i].at, end = at + t->words[i].n;
    while (at && t->text->at[at - 1] == ' ')
        at--;
    *out = (struct change){.at = at, .n = end - at};
    buf_text(&out->put);
    return true;
}

static bool is_word_of_plan(const struct slip_text *t, const struct buf *word)
{
    for (uint32_t i = 0; i < t->count; i++)
        if (t->words[i].n == word->n && !memcmp(t->text->at + t->words[i].at, word->at, word->n))
            return true;
    return false;
}

/* One letter is wrong, doubled, missing, or changes places with the next. What comes of it may be
 * another name of the plan: that is no slip that can be seen. */
static bool misspell(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                     struct change *out)
{
    const char *word = t->text->at + t->words[i].at;
    unsigned n = (unsigned)t->words[i].n, at = pick(seed, n), manner = pick(seed, 4);
    (void)put;
    if (n < 4 && manner > 1)
        manner = 1;
    while (n > 1 && !isalpha((unsigned char)word[at]) && manner)
        manner--;
    *out = (struct change){.at = t->words[i].at, .n = n};
    buf_add(&out->put, word, at);
    if (word[at] == '-')
        at++;
    if (manner == 3 && at + 1 < n && isalnum((unsigned char)word[at + 1]) &&
        word[at] != word[at + 1]) {
        buf_putc(&out->put, word[at + 1]);
        buf_putc(&out->put, word[at]);
        at += 2;
    } else if (manner == 2 && at) {
        at++;
    } else {
        buf_putc(&out->put, manner == 0 ? word[at] : 'q');
        at += manner != 0 && n > 1;
    }
    buf_add(&out->put, word + at, n - at);
    buf_text(&out->put);
    return !is_word_of_plan(t, &out->put) && isalpha((unsigned char)out->put.at[0]);
}

static bool open_quote(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                       struct change *out)
{
    (void)seed;
    *out = (struct change){.at = t->words[i].at, .n = 1};
    buf_puts(&out->put, put);
    buf_text(&out->put);
    return true;
}

static bool close_quote(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                        struct change *out)
{
    (void)seed;
    *out = (struct change){.at = t->words[i].at + t->words[i].n - 1, .n = 1};
    buf_puts(&out->put, put);
    buf_text(&out->put);
    return true;
}

static bool last_byte(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                      struct change *out)
{
    return close_quote(t, i, put, seed, out);
}

static bool behind(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                   struct change *out)
{
    (void)seed;
    *out = (struct change){.at = t->words[i].at + t->words[i].n, .n = 0};
    buf_puts(&out->put, put);
    buf_text(&out->put);
    return true;
}

/* A statement of another place as a line before this one. */
static bool line_before(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                        struct change *out)
{
    (void)seed;
    *out = (struct change){.at = t->words[i].at, .n = 0};
    buf_printf(&out->put, "%s\n", put);
    return true;
}

/* In braces, with what follows in its statement. */
static bool in_braces(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                      struct change *out)
{
    (void)seed;
    (void)put;
    uint32_t last = i;
    while (same_statement(t, i, last + 1))
        last++;
    size_t end = t->words[last].at + t->words[last].n;
    *out = (struct change){.at = t->words[i].at, .n = end - t->words[i].at};
    buf_printf(&out->put, "{ %.*s }", (int)out->n, t->text->at + out->at);
    return true;
}

/* The word of another statement of the same sort, where it is another one. */
static bool as_before(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                      struct change *out)
{
    (void)seed;
    (void)put;
    uint32_t back = i - t->words[i].head;
    for (uint32_t k = t->words[i].head; k-- > 0;) {
        if (!heads(t, k) || !same_words(t, k, t->words[i].head) ||
            t->words[k].owner != t->words[i].owner || k + back >= t->count ||
            !same_statement(t, k, k + back) || isdigit((unsigned char)first_of(t, k + back + 1)) ||
            first_of(t, k + back) != first_of(t, i))
            continue;
        if (same_words(t, k + back, i))
            return false;
        *out = (struct change){.at = t->words[i].at, .n = t->words[i].n};
        buf_add(&out->put, t->text->at + t->words[k + back].at, t->words[k + back].n);
        buf_text(&out->put);
        return true;
    }
    return false;
}

/* The room that is said before a box, with the point: "-> studio.". */
static uint32_t ref_start(const struct slip_text *t, uint32_t i)
{
    return follows(t, i, ".") ? i - 2 : i;
}

static bool drop_hop(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                     struct change *out)
{
    (void)seed;
    (void)put;
    uint32_t from = ref_start(t, i), hops = 0;
    for (uint32_t k = t->words[i].head; k < from; k++)
        hops += is(t, k, "->");
    if (hops < 2 || !is(t, from - 1, "->"))
        return false; /* a run has two ends */
    size_t at = t->words[from - 1].at - 1;
    *out = (struct change){.at = at, .n = t->words[i].at + t->words[i].n - at};
    buf_text(&out->put);
    return true;
}

static bool double_hop(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                       struct change *out)
{
    (void)seed;
    (void)put;
    size_t at = t->words[ref_start(t, i)].at, end = t->words[i].at + t->words[i].n;
    *out = (struct change){.at = end, .n = 0};
    buf_printf(&out->put, " -> %.*s", (int)(end - at), t->text->at + at);
    return true;
}

static bool amps_larger(const struct slip_text *t, uint32_t i, const char *put, uint64_t *seed,
                        struct change *out)
{
    return put_word(t, i, put, seed, out);
}

/* --- the table ------------------------------------------------------------------------------- */

#define SYNTAX "syntax wrong-unit missing-clause"
#define SYN(says, place, make, put)                                                                \
    {                                                                                              \
        says, place, make, put, SYNTAX, true, NULL, NULL                                           \
    }

const struct slip slips[] = {
    /* names where they are used */
    {"a letter of a room in a run", room_of_run, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a box in a run", box_of_run, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a run's first end", start_of_run, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a door's room", room_of_door, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a panel's room", room_of_panel, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a room's level", level_of_room, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a kind", kind_of_room, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a circuit's panel", panel_of_circuit, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a feeder's panel", panel_of_feeder, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a cable", cable_of_run, misspell, 0, "unknown-name syntax", true, NULL, 0},
    {"a letter of a type of box", type_of_box, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of an edition", edition, misspell, 0, "unknown-name", true, "=", 0},
    {"a letter of a device", device, misspell, 0, "unknown-name syntax", true, "=", 0},
    {"a letter of a leg", leg_of_device, misspell, 0,
     "leg-without-switch switch-without-leg leg-without-load unknown-name leg-spans-rooms", false,
     "=", "two lights on a leg: the other has its switch"},
    /* names where they are declared */
    {"a letter of a room's own name", declared_room, misspell, 0, "unknown-name", false, "=",
     "nothing names the room"},
    {"a letter of a box's own name", declared_box, misspell, 0, "unknown-name", false, "=",
     "nothing names the box"},
    {"a letter of a leg's own name", declared_leg, misspell, 0,
     "unused-definition leg-without-load leg-spans-rooms unknown-name", false, "=", "?"},
    {"a letter of a panel's own name", declared_panel, misspell, 0, "unknown-name", false, "=",
     "nothing names the panel"},
    {"a letter of a level's own name", declared_level, misspell, 0, "unknown-name", false, "=",
     "nothing names the level"},
    {"a letter of a wall's own name", declared_wall, misspell, 0, "unknown-name", false, "=",
     "nothing names the wall"},
    {"a letter of a statement's word", statement_word, misspell, 0, "syntax unknown-name", true,
     "=", 0},
    {"a letter of a word in a statement", inner_word, misspell, 0, "syntax unknown-name", true, "=",
     0},
    /* signs */
    SYN("a '{' is missing", open_brace, drop, 0),
    SYN("a '}' is missing", close_brace, drop, 0),
    SYN("a '{' too many", open_brace, behind, " {"),
    SYN("a '}' too many", close_brace, behind, " }"),
    SYN("a '(' for a '{'", open_brace, put_word, "("),
    SYN("a ']' for a '}'", close_brace, put_word, "]"),
    SYN("a first quote is missing", quoted, open_quote, ""),
    SYN("a last quote is missing", quoted, close_quote, ""),
    SYN("a quote of one stroke at the start", quoted, open_quote, "'"),
    /* words */
    SYN("the word 'leg' is missing", leg_word, drop, 0),
    SYN("'->' is '>'", box_of_run, behind, " > "),
    {"a statement in the plural", statement_word, behind, "s", "syntax unknown-name", true, "=", 0},
    {"a device in the plural", device, behind, "s", "unknown-name syntax", true, "=", 0},
    /* units */
    {"a length without a unit", length_at, last_byte, "", "wrong-unit syntax", true, "=", 0},
    {"centimetres", length_at, last_byte, " cm", "wrong-unit syntax", true, NULL, 0},
    {"feet for inches", height_in_inches, last_byte, "'",
     "box-off-wall handle-too-high wrong-unit box-height receptacle-spacing", true, NULL, 0},
    {"a breaker without A", amps, drop, 0, "wrong-unit syntax", true, "=", 0},
    {"a breaker in volts", amps, put_word, "V", "wrong-unit syntax", true, "=", 0},
    {"a breaker in amps", amps, put_word, "amps", "wrong-unit syntax", true, "=", 0},
    {"2-pole", two_pole, put_word, "2-pole", "syntax unknown-name", true, "=", 0},
    {"2 pole", two_pole, put_word, "2 pole", "syntax unknown-name", true, "=", 0},
    {"double-pole", two_pole, put_word, "double-pole", "syntax unknown-name", true, "=", 0},
    {"breaker options in braces", protection, in_braces, 0, "syntax", true, "=", 0},
    /* sizes and protection */
    {"a cable one size too small", cable_12, put_word, "14/2", "conductor-undersized", false, NULL,
     "on a circuit of 15 A"},
    {"a breaker one size too large", breaker_15, amps_larger, "20",
     "conductor-undersized receptacle-rating control-overloaded breaker-overloaded "
     "individual-circuit",
     false, NULL, "the cables are chosen for it"},
    {"no protection on a breaker", protection, drop, 0, "afci-missing gfci-missing extension-afci",
     false, NULL, "nothing asks for it"},
    {"a receptacle for one that protects", gfci_for_itself, put_word, "receptacle",
     "gfci-missing afci-missing side-without-effect tamper-resistant", false, NULL,
     "the breaker protects"},
    {"a pole too few", two_pole, drop, 0,
     "breaker-poles multiwire-disconnect conductors-missing breaker-overloaded syntax", true, NULL,
     0},
    {"a pole is missing on a part", pole_word, drop, 0, "syntax", true, NULL, 0},
    /* places */
    {"a door an inch from where the other side has it", foot_door, behind, "-1\"",
     "openings-disagree box-in-opening switch-behind-door box-mount receptacle-spacing", false,
     NULL, "one side alone says it"},
    {"a door beyond its wall", wall_door, put_word, "90'", "openings-disagree box-off-wall", true,
     NULL, 0},
    {"a box beyond its wall", wall_box, put_word, "90'", "box-off-wall", true, NULL, 0},
    {"two boxes in one place", wall_box, as_before, 0,
     "boxes-collide box-in-opening box-off-wall receptacle-over-heater switch-behind-door "
     "receptacle-spacing",
     false, NULL, "on other walls or heights"},
    /* circuits and runs */
    {"a circuit number used twice", number_of_circuit, as_before, 0,
     "duplicate-name space-conflict", true, NULL, 0},
    {"a run forgets its last box", last_box_of_run, drop_hop, 0,
     "unfed-box served-not-run leg-without-load leg-without-switch switch-without-leg unknown-name",
     false, NULL, "another run feeds it"},
    {"a run has a box twice", last_box_of_run, double_hop, 0, "loop-in-circuit", true, NULL, 0},
    /* words in the wrong place */
    SYN("a breaker in a room", kind_of_room, behind, "\n  breaker 20 A"),
    SYN("a kind in a circuit", amps, behind, "\n  kind hall"),
    SYN("spaces in a box", device, line_before, "spaces 20"),
    /* words of the trade */
    {"outlet", receptacle, put_word, "outlet", "unknown-name syntax", true, "=", 0},
    {"recept", receptacle, put_word, "recept", "unknown-name syntax", true, "=", 0},
    {"plug", receptacle, put_word, "plug", "unknown-name syntax", true, "=", 0},
    {"gfci-receptacle", receptacle_gfci, put_word, "gfci-receptacle", "unknown-name syntax", true,
     "=", 0},
    {"gfci", receptacle_gfci, put_word, "gfci", "unknown-name syntax", true, "=", 0},
    {"light", luminaire, put_word, "light", "unknown-name syntax", true, "=", 0},
    {"fixture", luminaire, put_word, "fixture", "unknown-name syntax", true, "=", 0},
    {"can", recessed, put_word, "can", "unknown-name syntax", true, "=", 0},
    {"pot-light", recessed, put_word, "pot-light", "unknown-name syntax", true, "=", 0},
    {"smoke-detector", smoke_alarm, put_word, "smoke-detector", "unknown-name syntax", true, "=",
     0},
    {"bath-fan", exhaust_fan, put_word, "bath-fan", "unknown-name syntax", true, "=", 0},
    {"3-way", switch_device, put_word, "3-way", "unknown-name syntax", true, "three-way", 0},
    {"bathroom", bath_kind, put_word, "bathroom", "unknown-name syntax", true, "=", 0},
};
const unsigned slip_count = sizeof slips / sizeof *slips;
