/* The circuit directory: directory-vague, directory-duplicate. A circuit's text is what is written
 * in the door of the panel. The words stand in the library. */
#include "rules/panels/directory.h"

#include "rules/mends.h"

#include <stdlib.h>
#include <string.h>

/* Letters and digits of the text; bytes of other alphabets are letters. */
static bool is_letter(char ch)
{
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z') || (unsigned char)ch >= 0x80;
}

static bool is_digit(char ch)
{
    return ch >= '0' && ch <= '9';
}

/* The next word of a text in small letters, digits not among them; NULL at its end. Moves *at
 * behind it. */
static const char *next_word(struct arena *arena, const char **at)
{
    const char *p = *at;
    while (*p && !is_letter(*p))
        p++;
    const char *start = p;
    while (is_letter(*p))
        p++;
    *at = p;
    if (p == start)
        return NULL;
    char *word = arena_copy(arena, start, (size_t)(p - start));
    for (char *w = word; *w; w++)
        *w = *w >= 'A' && *w <= 'Z' ? (char)(*w + 32) : *w;
    return word;
}

/* Whether any word of a text (or each, where `each`) stands in a list; a text without a word has
 * none. */
static bool words_in(const struct checked *c, const char *text, enum book_table list, bool each)
{
    bool some = false;
    for (const char *word, *at = text; (word = next_word(c->model->arena, &at));) {
        bool has = code_list_has(&c->model->code, list, word);
        if (has != each)
            return has;
        some = true;
    }
    return each && some;
}

/* The bytes of an apostrophe, straight or typographic; 0 where there is none. */
static size_t apostrophe(const char *p)
{
    return *p == '\'' ? 1 : !strncmp(p, "\xe2\x80\x99", 3) ? 3 : 0;
}

static bool is_capital(char ch)
{
    return ch >= 'A' && ch <= 'Z';
}

static bool has_capitals(const char *text)
{
    for (; *text; text++)
        if (is_capital(*text))
            return true;
    return false;
}

/* Whether a word that owns something is a name: it has a capital, or the text has none at all, and
 * it is not one of those that say what somebody is. */
static bool is_name(const struct checked *c, const char *text, const char *word, const char *end)
{
    const char *small, *at = arena_copy(c->model->arena, word, (size_t)(end - word));
    if (has_capitals(text) && !is_capital(*word) && (unsigned char)*word < 0x80)
        return false;
    small = next_word(c->model->arena, &at);
    return small && !code_list_has(&c->model->code, LIST_ROLE_WORDS, small);
}

/* "Bobby's room", "the Millers' bath". */
static bool names_somebody(const struct checked *c, const char *text)
{
    const char *word = text;
    for (const char *p = text; *p; p++) {
        size_t mark = apostrophe(p);
        if (mark && p > word && is_letter(p[-1])) {
            bool one = (p[mark] == 's' || p[mark] == 'S') && !is_letter(p[mark + 1]),
                 many = (p[-1] == 's' || p[-1] == 'S') && !is_letter(p[mark]);
            if ((one || many) && is_name(c, text, word, p))
                return true;
        }
        if (mark || !is_letter(*p))
            word = p + (mark ? mark : 1);
        if (mark)
            p += mark - 1;
    }
    return false;
}

/* A breaker with nothing behind it. */
static bool is_spare(const struct circuit *circuit)
{
    return !circuit->runs.n && !circuit->parts.n && !circuit->existing;
}

/* The same of a text for a breaker with something behind it. */
static const char *why_text_vague(const struct checked *c, const char *title)
{
    const char *at = title;
    if (words_in(c, title, LIST_SPARE_WORDS, true))
        return "serves something, and its text says that it does not";
    if (names_somebody(c, title))
        return "is named for somebody, who may move";
    if (!next_word(c->model->arena, &at) || words_in(c, title, LIST_VAGUE_WORDS, true))
        return "has a text that could be any circuit's";
    return NULL;
}

bool rules_title_is_vague(const struct checked *c, const char *title)
{
    return why_text_vague(c, title);
}

static const char *why_vague(const struct checked *c, const struct circuit *circuit)
{
    const char *title = circuit->text, *at = title;
    if (!title)
        return "has no text for the directory of its panel";
    if (!is_spare(circuit))
        return why_text_vague(c, title);
    if (!words_in(c, title, LIST_SPARE_WORDS, false))
        return "has nothing behind its breaker, and its text does not say so";
    if (names_somebody(c, title))
        return "is named for somebody, who may move";
    return next_word(c->model->arena, &at) ? NULL : "has a text that could be any circuit's";
}

static bool is_listed(const struct circuit *circuit)
{
    return circuit->panel && circuit->node && !circuit->feeds;
}

RULE(directory_vague, "directory-vague", WARNING, WAIVABLE,
     "the directory says of each circuit what it serves");

static void check_words(const struct checked *c, const struct circuit *circuit)
{
    if (is_listed(circuit))
        looked(c, directory_vague);
    const char *why = is_listed(circuit) ? why_vague(c, circuit) : NULL;
    if (!why)
        return;
    struct finding *f =
        circuit_finding(c, &rule_directory_vague, circuit, node_title_span(circuit->node), "%s %s",
                        rules_circuit_words(c, circuit), why);
    diag_mend(c->model->diag, f,
              is_spare(circuit)
                  ? "\"Spare\""
                  : "say what it serves and where, as in \"Kitchen counter by the sink\"");
    if (is_spare(circuit) && circuit->text)
        edit_replace(rules_way(c, f, false, "\"Spare\""), node_title_span(circuit->node),
                     "\"Spare\"");
}
CHECK(directory_vague, .circuit = {check_words, ITS_TEXT | ITS_CLAUSES});

static int by_letters(const void *a, const void *b)
{
    const char *const *x = a, *const *y = b;
    return strcmp(*x, *y);
}

/* The length of a word without the ending of a plural: light-s, bench-es, box-es; glass and gas
 * stay. */
static size_t stem(const char *word)
{
    size_t n = strlen(word);
    if (n < 4 || word[n - 1] != 's' || word[n - 2] == 's')
        return n;
    bool hissing = n > 4 && word[n - 2] == 'e' &&
                   (word[n - 3] == 'h' || word[n - 3] == 'x' || word[n - 3] == 's');
    return n - (hissing ? 2 : 1);
}

/* The next word or number of a text in small letters, without the ending of a plural. NULL at the
 * end. */
static const char *next_token(struct arena *arena, const char **at)
{
    const char *p = *at;
    while (*p && !is_letter(*p) && !is_digit(*p))
        p++;
    if (!is_digit(*p)) {
        const char *word = next_word(arena, at);
        return word ? arena_copy(arena, word, stem(word)) : NULL;
    }
    const char *start = p;
    while (is_digit(*p))
        p++;
    *at = p;
    return arena_copy(arena, start, (size_t)(p - start));
}

/* What a reader keeps of a text: its words and numbers in one order, without those that only join,
 * one blank after each. */
const char *rules_title_folded(const struct checked *c, const char *title)
{
    struct arena *arena = c->model->arena;
    VEC(const char *) words = {0};
    for (const char *word, *at = title; (word = next_token(arena, &at));)
        if (!code_list_has(&c->model->code, LIST_JOINING_WORDS, word))
            *vec_push(arena, &words) = word;
    if (words.n)
        qsort(words.at, words.n, sizeof *words.at, by_letters);
    char *folded = arena_array(arena, char, 2 * strlen(title) + 2), *to = folded;
    for (uint32_t i = 0; i < words.n; i++) {
        size_t n = strlen(words.at[i]);
        memcpy(to, words.at[i], n);
        to += n;
        *to++ = ' ';
    }
    return names_of(c->model->names, folded);
}

RULE(directory_duplicate, "directory-duplicate", WARNING, WAIVABLE,
     "no two circuits of a panel have the same words in the directory");

static void check_directory_doubles(const struct checked *c)
{
    struct model *m = c->model;
    struct map seen = {0};
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *circuit = m->circuits.at[i];
        if (!is_listed(circuit) || !facts_known(circuit, ITS_TEXT | ITS_CLAUSES) ||
            !circuit->text || is_spare(circuit))
            continue;
        looked(c, directory_duplicate);
        void **at = map_at(m->arena, &seen, (uintptr_t)circuit->panel,
                           (uintptr_t)rules_title_folded(c, circuit->text));
        if (!*at) {
            *at = (void *)circuit;
            continue;
        }
        const struct circuit *first = *at;
        const char *same = !strcmp(circuit->text, first->text) ? "the same" : "all but the same";
        struct finding *f =
            circuit_finding(c, &rule_directory_duplicate, circuit, node_title_span(circuit->node),
                            "%s has %s text in the directory as %s",
                            rules_circuit_words(c, circuit), same, rules_circuit_words(c, first));
        diag_note(m->diag, f, node_title_span(first->node), "%s text", same);
        diag_mend(m->diag, f, "say what sets them apart");
    }
}
CHECK(directory_duplicate, .plan = check_directory_doubles);
