/* A line against the pattern of its form, then its options and text in any order. */
#include "diag/diag.h"
#include "resolve/edit.h"
#include "resolve/matcher.h"
#include "resolve/node.h"
#include "syntax/tree.h"

#include <string.h>

void match_attach(struct node *parent, struct node *n)
{
    if (parent->last_child)
        parent->last_child->next = n;
    else
        parent->child = n;
    parent->last_child = n;
}

struct value_reader match_reader(struct matcher *m, const struct stmt *s)
{
    uintptr_t from = (uintptr_t)m->words_of, items = (uintptr_t)s->items;
    bool known =
        from && items >= from &&
        items + s->item_count * sizeof *s->items <= from + m->words_count * sizeof *s->items;
    if (!known) {
        if (m->words_cap < s->item_count) {
            m->words_cap = s->item_count * 2;
            m->words = arena_array(m->diag->arena, const char *, m->words_cap);
        }
        memset(m->words, 0, s->item_count * sizeof *m->words);
        m->words_of = s->items;
        m->words_count = s->item_count;
    }
    return (struct value_reader){.diag = m->diag,
                                 .arena = m->nodes,
                                 .names = m->names,
                                 .source = m->source,
                                 .items = s->items,
                                 .count = s->item_count,
                                 .words = m->words + (s->items - m->words_of)};
}

/* --- steps of a pattern ------------------------------------------------------------------- */

static bool step_fits(struct matcher *m, const struct step *s)
{
    if (s->kind == STEP_SIGN)
        return item_sign(&m->reader, m->at) == s->sign;
    if (s->kind == STEP_WORD) {
        const char *word = item_word(&m->reader, m->at);
        for (uint8_t i = 0; word && i < s->choice_count; i++)
            if (s->choices[i] == word)
                return true;
        return false;
    }
    bool quiet = m->reader.quiet;
    uint32_t at = m->at;
    struct value v;
    m->reader.quiet = true;
    bool fits = value_read(&m->reader, s->capture, &at, &v);
    m->reader.quiet = quiet;
    return fits;
}

static struct value *new_value(struct matcher *m, unsigned slot)
{
    while (m->value_count <= slot && m->value_count < MOST_VALUES)
        m->spare[m->value_count++] = (struct value){0};
    return &m->spare[slot < MOST_VALUES ? slot : MOST_VALUES - 1];
}

static bool add_value(struct matcher *m, enum capture capture)
{
    if (m->value_count >= MOST_VALUES) {
        if (!m->reader.quiet)
            diag_syntax(m->diag, &rule_limit, item_span(&m->reader, m->at),
                        "a statement has at most %d values", (int)MOST_VALUES);
        return false;
    }
    return value_read(&m->reader, capture, &m->at, new_value(m, m->value_count));
}

/* Words of a hop stand behind its box; they are read when the chain is whole. */
static bool is_group(struct matcher *m, uint32_t at)
{
    return at < m->reader.count &&
           (m->reader.items[at].kind == ITEM_GROUP || m->reader.items[at].kind == ITEM_GIVEN);
}

static bool match_chain(struct matcher *m)
{
    if (!add_value(m, C_REF))
        return false;
    if (item_sign(&m->reader, m->at) != T_ARROW) {
        if (!m->reader.quiet)
            diag_syntax(m->diag, &rule_syntax, item_span(&m->reader, m->at),
                        "expected '->' and a box, not %s", item_text(&m->reader, m->at));
        return false;
    }
    while (item_sign(&m->reader, m->at) == T_ARROW) {
        m->at++;
        if (!add_value(m, C_REF))
            return false;
        m->at += is_group(m, m->at);
    }
    return true;
}

static bool match_refs(struct matcher *m)
{
    do {
        if (!add_value(m, C_REF))
            return false;
    } while (item_sign(&m->reader, m->at) == T_COMMA && m->at++);
    return true;
}

/* [circuit|leg|level|run|...] REF [-> REF]: three values. */
static bool match_where(struct matcher *m)
{
    static const char *const sorts[] = {"circuit", "leg",   "level", "run",     "room",
                                        "unit",    "panel", "box",   "building"};
    const char *word = item_word(&m->reader, m->at);
    bool sorted = false;
    for (size_t i = 0; word && i < sizeof sorts / sizeof *sorts; i++)
        sorted |= !strcmp(word, sorts[i]);
    bool next = m->at + 1 < m->reader.count && (m->reader.items[m->at + 1].kind == ITEM_REF ||
                                                item_sign(&m->reader, m->at + 1) == T_NUMBER);
    unsigned slot = m->value_count;
    new_value(m, slot);
    if (sorted && next &&
        strcmp(item_word(&m->reader, m->at + 1) ? item_word(&m->reader, m->at + 1) : "", "because"))
        value_read(&m->reader, C_NAME, &m->at, &m->spare[slot]);
    if (!add_value(m, C_REF))
        return false;
    if (item_sign(&m->reader, m->at) != T_ARROW) {
        new_value(m, slot + 2);
        return true;
    }
    m->at++;
    return add_value(m, C_REF);
}

/* All words up to the last item, blanks made one; the last item is the price. Two values. */
static bool match_what(struct matcher *m)
{
    enum { LONGEST = 256 };
    uint32_t count = m->reader.count;
    char text[LONGEST];
    size_t len = 0;
    if (count < m->at + 2) {
        if (!m->reader.quiet)
            diag_syntax(m->diag, &rule_syntax, item_span(&m->reader, m->at), "expected %s",
                        resolve_capture_words(C_WHAT));
        return false;
    }
    struct value *v = new_value(m, m->value_count);
    v->first = m->reader.items[m->at].first;
    for (; m->at < count - 1; m->at++) {
        struct span s = item_span(&m->reader, m->at);
        if (len + s.len + 1 >= LONGEST) {
            if (!m->reader.quiet)
                diag_syntax(m->diag, &rule_limit, s,
                            "what is priced takes more than %d letters to name", (int)LONGEST - 1);
            return false;
        }
        if (len)
            text[len++] = ' ';
        memcpy(text + len, s.source->bytes + s.off, s.len);
        len += s.len;
        v->last = m->reader.items[m->at].last;
    }
    v->kind = V_NAME;
    v->name = names_intern(m->names, text, len);
    return add_value(m, C_NUMBER);
}

/* Cells parted by commas; alternative 1 is a setting: a word and its value. */
static bool match_cells(struct matcher *m, struct node *n)
{
    if (item_word(&m->reader, m->at) && m->at + 1 < m->reader.count &&
        item_sign(&m->reader, m->at + 1) != T_COMMA) {
        n->alt = 1;
        return add_value(m, C_NAME) && add_value(m, C_VALUE);
    }
    do {
        if (!add_value(m, C_VALUE))
            return false;
    } while (item_sign(&m->reader, m->at) == T_COMMA && m->at++);
    return true;
}

static bool is_option(struct matcher *m, const char *word);

/* Whether a pattern of the form has this word in it: "overhead" of a box is no wall. */
static bool in_pattern(const struct form *f, const char *word)
{
    for (uint8_t i = 0; i < f->pattern_count; i++)
        for (const struct step *s = f->patterns[i].steps; s->kind != STEP_END; s++)
            for (uint8_t c = 0; c < s->choice_count; c++)
                if (s->choices[c] == word)
                    return true;
    return false;
}

/* What stands along a wall names it before its place there: "shower WALL at ... wide ...". */
static void say_no_wall(struct matcher *m, const struct form *f, const struct value *v)
{
    struct finding *found = diag_syntax(
        m->diag, &rule_syntax, token_span(m->source, v->first, v->last),
        "a %s stands along a wall, whose name is missing before '%s'", f->word, v->name);
    const char *written = f->word;
    for (const struct step *s = f->patterns[0].steps; s->kind != STEP_END; s++)
        if (s->kind != STEP_OPTION)
            written = arena_printf(m->diag->arena, "%s %s", written,
                                   s->kind == STEP_WORD   ? s->choices[0]
                                   : s->capture == C_NAME ? "WALL"
                                                          : "...");
    diag_mend(m->diag, found, "write '%s'", written);
}

/* A name must not be one of the words of its own statement: "leg circuit" reads as two clauses. */
static bool plain_name(struct matcher *m, const struct form *f, const struct value *v)
{
    if (v->kind != V_NAME || (!is_option(m, v->name) && !in_pattern(f, v->name)))
        return true;
    if (!m->reader.quiet && f->along_wall && in_pattern(f, v->name))
        say_no_wall(m, f, v);
    else if (!m->reader.quiet)
        diag_syntax(m->diag, &rule_syntax, token_span(m->source, v->first, v->last),
                    "'%s' is a word of this statement and cannot be a name in it; a name is "
                    "missing before it, or wants another spelling",
                    v->name);
    return false;
}

/* "unknown" is no cable, "concrete" no lumber: the one where the statement has the word. */
static bool is_own_word(const struct form *f, enum capture capture, const struct value *v)
{
    return (capture == C_CABLE || capture == C_LUMBER) && v->name && in_pattern(f, v->name);
}

static bool refuse_step(struct matcher *m, const struct step *s);

static bool match_capture(struct matcher *m, const struct step *s, struct node *n)
{
    switch (s->capture) {
    case C_CHAIN:
        return match_chain(m);
    case C_REFS:
        return match_refs(m);
    case C_WHERE:
        return match_where(m);
    case C_WHAT:
        return match_what(m);
    case C_CELLS:
        return match_cells(m, n);
    default:
        break;
    }
    struct value *v = new_value(m, s->slot + m->repeated);
    uint32_t at = m->at;
    if (!value_read(&m->reader, s->capture, &m->at, v))
        return false;
    const struct form *f = form_of(m, n->form);
    if (s->capture == C_NAME ? !plain_name(m, f, v) : is_own_word(f, s->capture, v)) {
        *v = (struct value){0};
        m->at = s->capture == C_NAME ? m->at : at;
        return s->capture == C_NAME ? false : refuse_step(m, s);
    }
    while (s->repeats && m->at < m->reader.count && step_fits(m, s)) {
        const char *word = item_word(&m->reader, m->at);
        if (word && (is_option(m, word) || (s->capture == C_NAME && in_pattern(f, word))))
            break;
        if (!add_value(m, s->capture))
            return false;
        m->repeated++;
    }
    return true;
}

/* From the one to the other, which stands behind it. */
static struct span span_to(struct span from, struct span to)
{
    from.len = to.off + to.len - from.off;
    return from;
}

/* "4 ft 6 in", "4'6": inches that stand behind feet, in a form that is no length. */
static void mend_inches(struct matcher *m, struct finding *f)
{
    if (m->at < 1 || item_sign(&m->reader, m->at) != T_NUMBER)
        return;
    const char *unit = item_word(&m->reader, m->at - 1);
    bool spelt =
        m->at > 1 && unit && !strcmp(unit, "ft") && item_sign(&m->reader, m->at - 2) == T_NUMBER;
    struct span feet = item_span(&m->reader, spelt ? m->at - 2 : m->at - 1),
                inches = item_span(&m->reader, m->at);
    const char *p = feet.source->bytes + feet.off, *q = inches.source->bytes + inches.off;
    const char *whole = arena_printf(m->diag->arena, "%.*s%s-%.*s\"", (int)feet.len, p,
                                     spelt ? "'" : "", (int)inches.len, q);
    if (!spelt && p[feet.len - 1] != '\'')
        return;
    bool unit_behind = spelt && item_word(&m->reader, m->at + 1) &&
                       !strcmp(item_word(&m->reader, m->at + 1), "in");
    if (spelt)
        diag_mend(m->diag, f, "write %s", whole);
    else
        diag_mend(m->diag, f, "an inch mark is missing: %s", whole);
    diag_replace(m->diag, f, true,
                 span_to(feet, unit_behind ? item_span(&m->reader, m->at + 1) : inches), whole);
}

/* What a step wants, in words. */
static const char *step_words(struct matcher *m, const struct step *s)
{
    const char *words = s->kind == STEP_SIGN      ? token_words(s->sign)
                        : s->kind == STEP_CAPTURE ? resolve_capture_words(s->capture)
                                                  : "";
    for (uint8_t i = 0; s->kind == STEP_WORD && i < s->choice_count; i++)
        words = arena_printf(m->diag->arena, "%s%s'%s'", words,
                             !i                         ? ""
                             : i + 1 == s->choice_count ? " or "
                                                        : ", ",
                             s->choices[i]);
    return words;
}

static bool refuse_step(struct matcher *m, const struct step *s)
{
    if (m->reader.quiet)
        return false;
    struct span span = item_span(&m->reader, m->at);
    const char *wanted = step_words(m, s);
    struct finding *f = diag_syntax(m->diag, &rule_syntax, span, "expected %s, not %s", wanted,
                                    item_text(&m->reader, m->at));
    const char *word = item_word(&m->reader, m->at);
    const char *near = word && s->kind == STEP_WORD
                           ? diag_meant(m->diag, word, s->choices, s->choice_count)
                           : NULL;
    if (near)
        diag_mend_word(m->diag, f, near);
    else if (word && (*word == 'x' || *word == 'X') &&
             strspn(word + 1, "0123456789") == strlen(word) - 1 && s->kind == STEP_WORD)
        diag_mend(m->diag, f, "write '%s' between the two lengths", s->choices[0]);
    else
        mend_inches(m, f);
    return false;
}

static bool take_text(struct matcher *m, struct node *n)
{
    if (item_sign(&m->reader, m->at) != T_TEXT || !form_of(m, n->form)->text || n->text)
        return false;
    struct value v;
    value_read(&m->reader, C_TEXT, &m->at, &v);
    n->text = v.name;
    n->text_token = v.first;
    return true;
}

/* A reason is more than a pair of quotes. */
static bool gives_reason(struct matcher *m)
{
    if (item_sign(&m->reader, m->at) != T_TEXT)
        return true;
    struct span s = item_span(&m->reader, m->at);
    for (uint32_t i = 1; i + 1 < s.len; i++)
        if (s.source->bytes[s.off + i] != ' ' && s.source->bytes[s.off + i] != '\t')
            return true;
    if (!m->reader.quiet)
        diag_syntax(m->diag, &rule_syntax, s,
                    "the reason is empty; a text behind 'because' says why, for whoever reads the "
                    "plan next");
    return false;
}

static bool match_steps(struct matcher *m, struct node *n, const struct pattern *p)
{
    for (const struct step *s = p->steps; s->kind != STEP_END; s++) {
        if (s->kind == STEP_OPTION) {
            if (!step_fits(m, s + 1))
                s += s->skip - 1;
            continue;
        }
        m->failed = s;
        if (s->capture != C_TEXT && s->capture != C_CELLS && s->capture != C_WHAT &&
            s->capture != C_VALUE)
            take_text(m, n);
        if (s->kind == STEP_CAPTURE) {
            if (!match_capture(m, s, n))
                return false;
        } else {
            if (!step_fits(m, s))
                return refuse_step(m, s);
            if (s->choice_count > 1)
                value_read(&m->reader, C_NAME, &m->at, new_value(m, s->slot + m->repeated));
            else
                m->at++;
            if (!strcmp(s->choice_count ? s->choices[0] : "", "because") && !gives_reason(m))
                return false;
        }
    }
    m->failed = NULL;
    return true;
}

/* --- lines -------------------------------------------------------------------------------- */

/* Whether `word` begins an option of the statement or of a clause that is open on the line. */
static bool is_option(struct matcher *m, const char *word)
{
    for (unsigned i = 0; i < m->depth; i++)
        if (language_on_line(m->language, m->on_line[i]->form, word) != FORM_COUNT)
            return true;
    return false;
}

/* Whether the line may go on here with an option, a text or its end. */
static bool clean_break(struct matcher *m, const struct node *n)
{
    if (m->at >= m->reader.count)
        return true;
    const char *word = item_word(&m->reader, m->at);
    if (item_sign(&m->reader, m->at) == T_TEXT)
        return form_of(m, n->form)->text;
    return word ? is_option(m, word)
                : language_on_line(m->language, n->form, m->language->bare) != FORM_COUNT;
}

static void keep_values(struct matcher *m, struct node *n)
{
    n->value_count = (uint16_t)m->value_count;
    n->values = arena_array(m->nodes, struct value, m->value_count);
    if (m->value_count)
        memcpy(n->values, m->spare, m->value_count * sizeof *m->spare);
}

/* What the alternatives of a form that went farthest want where they end. */
struct wanted {
    const struct step *at[4];
    unsigned count;
};

static bool wants_alike(const struct step *a, const struct step *b)
{
    if (a->kind != b->kind || a->capture != b->capture || a->sign != b->sign ||
        a->choice_count != b->choice_count)
        return false;
    for (uint8_t i = 0; i < a->choice_count; i++)
        if (a->choices[i] != b->choices[i])
            return false;
    return true;
}

static void add_wanted(struct wanted *w, const struct step *s)
{
    bool known = !s || w->count == sizeof w->at / sizeof *w->at;
    for (unsigned i = 0; i < w->count && !known; i++)
        known = wants_alike(w->at[i], s);
    if (!known)
        w->at[w->count++] = s;
}

/* Where the line ends too early, all that might go on. */
static void say_all_wanted(struct matcher *m, const struct wanted *w, uint32_t at)
{
    const char *words = step_words(m, w->at[0]);
    for (unsigned i = 1; i < w->count; i++)
        words = arena_printf(m->diag->arena, "%s, or %s", words, step_words(m, w->at[i]));
    diag_syntax(m->diag, &rule_syntax, item_span(&m->reader, at), "expected %s, not %s", words,
                item_text(&m->reader, at));
}

/* Tries the alternatives of a form in order; where none fits, says what is wrong with the one that
 * went farthest. */
static bool match_pattern(struct matcher *m, struct node *n)
{
    const struct form *f = form_of(m, n->form);
    uint32_t start = m->at, farthest = 0;
    uint8_t best = 0;
    struct wanted wanted = {0};
    bool loud = !m->reader.quiet;
    for (uint8_t i = 0; i < f->pattern_count; i++) {
        bool last = f->pattern_count == 1;
        m->at = start;
        m->value_count = m->repeated = 0;
        m->reader.quiet = !loud || !last;
        n->alt = i;
        const char *text = n->text;
        bool fits = match_steps(m, n, &f->patterns[i]) && (last || clean_break(m, n));
        m->reader.quiet = !loud;
        if (fits || last) {
            keep_values(m, n);
            return fits;
        }
        n->text = text;
        if (m->at > farthest) {
            farthest = m->at;
            best = i;
            wanted.count = 0;
        }
        if (m->at == farthest)
            add_wanted(&wanted, m->failed);
    }
    if (loud && wanted.count > 1 && farthest == m->reader.count)
        say_all_wanted(m, &wanted, farthest);
    m->at = start;
    m->value_count = m->repeated = 0;
    n->alt = best;
    bool fits = match_steps(m, n, &f->patterns[best]);
    keep_values(m, n);
    return fits;
}

static bool match_line(struct matcher *m, struct node *n);

/* The place where the first clause of a form under this owner is kept. */
static struct first_clause *first_place(struct matcher *m, unsigned depth, enum form_id form)
{
    if (!m->first[depth])
        m->first[depth] = arena_array(m->diag->arena, struct first_clause, FORM_COUNT);
    return &m->first[depth][form];
}

RULE(duplicate_clause, "duplicate-clause", ERROR, FIRM, "a clause stands once where once is meant");

/* Where both say the same, one is too many, and it is no question which. */
static void mend_twice(struct matcher *m, struct finding *f, const struct node *first,
                       const struct node *second)
{
    struct span a = node_span(first), b = node_span(second);
    bool same = a.len == b.len && !memcmp(a.source->bytes + a.off, b.source->bytes + b.off, a.len);
    edit_remove(edit_way(m->diag, f, same, "leave this one out"), second);
    if (!same)
        edit_remove(edit_way(m->diag, f, false, "leave the first one out"), first);
}

/* A clause that may stand once stands twice: the first counts. Nothing is said of broken ones. */
void match_once(struct matcher *m, unsigned depth, struct node *owner, struct node *n)
{
    const struct form *f = form_of(m, n->form);
    if (f->repeats || f->word == m->language->any || owner->form == F_FILE || n->broken ||
        depth >= DEEPEST_NODE)
        return;
    struct first_clause *first = first_place(m, depth, n->form);
    if (first->owner != owner || first->part != m->part) {
        *first = (struct first_clause){owner, n, m->part};
        return;
    }
    const char *what = *f->word ? f->word : "its load";
    struct finding *found = diag_add(m->diag, &rule_duplicate_clause, node_span(n),
                                     "%s is given twice; the first counts", what);
    diag_note(m->diag, found, node_span(first->clause), "first given here");
    diag_mend(m->diag, found, "leave out the one that is wrong");
    mend_twice(m, found, first->clause, n);
    n->broken = true;
}

/* One option of the innermost open clause that takes it. Values of the clause at hand are kept
 * before the option overwrites them. */
static bool match_option(struct matcher *m, bool *matched)
{
    *matched = false;
    uint32_t start = m->at;
    const char *word = item_word(&m->reader, start);
    for (unsigned d = m->depth; d-- > 0;) {
        enum form_id id =
            language_on_line(m->language, m->on_line[d]->form, word ? word : m->language->bare);
        if (id == FORM_COUNT || (!word && item_sign(&m->reader, m->at) != T_NUMBER &&
                                 m->reader.items[m->at].kind != ITEM_GIVEN))
            continue;
        struct node *owner = m->on_line[d], *n = arena_new(m->nodes, struct node);
        *n = (struct node){.form = id,
                           .source = m->source,
                           .parent = owner,
                           .word = word,
                           .first = m->reader.items[m->at].first};
        m->at += word != NULL;
        m->depth = d + 1;
        *matched = true;
        const char *by = m->reader.wanted_by;
        m->reader.wanted_by = word ? word : owner->word;
        bool fits = match_line(m, n);
        m->reader.wanted_by = by;
        n->last = m->at > start ? m->reader.items[m->at - 1].last : n->first;
        n->broken = !fits;
        match_attach(owner, n);
        if (!m->reader.quiet)
            match_once(m, m->level + 1 + d, owner, n);
        return fits;
    }
    return true;
}

/* "wet no" */
static void take_no(struct matcher *m, struct node *n)
{
    const char *word = item_word(&m->reader, m->at);
    if (form_of(m, n->form)->flag && word && !strcmp(word, "no")) {
        n->no = true;
        m->at++;
    }
}

static bool on_centre(const char *word)
{
    static const char *const words[] = {"oc", "OC",     "o",       "o.c.",   "O.C.",
                                        "on", "center", "centers", "centre", "centres"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (!strcmp(words[i], word))
            return true;
    return false;
}

/* Two words in a row, one of which has no meaning here, for which the trade means something:
 * "receptacle gfci", "2 pole". False: nothing that is known. */
static bool mend_two_words(struct matcher *m, struct finding *f, uint32_t at)
{
    if (at + 1 >= m->reader.count)
        return false;
    struct span first = item_span(&m->reader, at), second = item_span(&m->reader, at + 1);
    const char *two =
        arena_printf(m->diag->arena, "%.*s %.*s", (int)first.len, first.source->bytes + first.off,
                     (int)second.len, second.source->bytes + second.off);
    const struct near_word *meant = near_meaning(&m->diag->words, two);
    if (!meant || !meant->count)
        return false;
    diag_mend(m->diag, f, "write '%s' in place of '%s'", meant->means[0], two);
    for (uint32_t i = 0; i < meant->count; i++)
        diag_replace(m->diag, f, false, span_to(first, second), meant->means[i]);
    return true;
}

static bool refuse_item(struct matcher *m)
{
    if (m->reader.quiet)
        return false;
    const struct node *n = m->on_line[0];
    const char *word = item_word(&m->reader, m->at);
    struct span span = item_span(&m->reader, m->at);
    const char *what = n->word && *n->word ? n->word : "this line";
    const char *near = NULL;
    for (unsigned d = m->depth; word && !near && d-- > 0;)
        near = diag_meant(m->diag, word, m->language->words_on[m->on_line[d]->form].at,
                          m->language->words_on[m->on_line[d]->form].n);
    struct span before = item_span(&m->reader, m->at ? m->at - 1 : 0);
    bool touching = m->at && before.off + before.len == span.off;
    bool inch_in_text = item_sign(&m->reader, m->at - 1) == T_TEXT && before.len > 2 &&
                        strchr("0123456789", before.source->bytes[before.off + before.len - 2]);
    struct finding *f;
    if (word && on_centre(word)) {
        f = diag_syntax(m->diag, &rule_syntax, span, "'%s' is not needed", word);
        diag_mend(m->diag, f, "spacings are on centre; leave it out");
    } else if (m->at &&
               (inch_in_text || (touching && item_sign(&m->reader, m->at - 1) == T_TEXT))) {
        f = diag_syntax(m->diag, &rule_syntax, span, "the text ends before %s",
                        item_text(&m->reader, m->at));
        diag_mend(m->diag, f, "an inch mark inside a text is written \\\"");
    } else if (item_sign(&m->reader, m->at) == T_NUMBER && touching &&
               before.source->bytes[before.off + before.len - 1] == '\'') {
        f = diag_syntax(m->diag, &rule_syntax, span,
                        "a length in feet and inches wants both marks");
        const char *whole = arena_printf(m->diag->arena, "%.*s-%.*s\"", (int)before.len,
                                         before.source->bytes + before.off, (int)span.len,
                                         span.source->bytes + span.off);
        diag_mend(m->diag, f, "write %s", whole);
        diag_replace(m->diag, f, true, span_to(before, span), whole);
    } else if (item_sign(&m->reader, m->at) == T_TEXT && !n->text) {
        f = diag_syntax(m->diag, &rule_syntax, span, "a text has no place on a line of '%s'", what);
    } else {
        f = diag_syntax(m->diag, &rule_syntax, span, "%s has no meaning here, after '%.*s'",
                        item_text(&m->reader, m->at), (int)(before.len < 40 ? before.len : 40),
                        before.source->bytes + before.off);
        if (mend_two_words(m, f, m->at ? m->at - 1 : 0) || mend_two_words(m, f, m->at))
            return false;
        if (near)
            diag_mend_word(m->diag, f, near);
        else
            mend_inches(m, f);
    }
    return false;
}

/* The words of a hop: options as on a run of its own. The items are those in the parentheses. */
static bool match_hop(struct matcher *m)
{
    while (m->at < m->reader.count) {
        bool matched = false;
        if (!match_option(m, &matched))
            return false;
        if (!matched)
            return refuse_item(m);
    }
    return true;
}

/* The groups of a chain, which begins at the item `at`: each becomes a clause with the number of
 * its hop as its value. */
static bool match_hops(struct matcher *m, struct node *run, uint32_t at)
{
    struct value_reader line = m->reader;
    uint32_t behind = m->at, hop = 0;
    bool ok = true;
    for (at++; at < behind && ok; at++) { /* behind the first box */
        const struct item *item = &line.items[at];
        if (item_sign(&line, at) == T_ARROW) {
            hop++;
            at++; /* to its box, which a given value may stand for */
            continue;
        }
        struct node *n = arena_new(m->nodes, struct node);
        *n = (struct node){.form = F_HOP,
                           .source = m->source,
                           .parent = run,
                           .word = run->word,
                           .first = item->first,
                           .last = item->last,
                           .value_count = 1,
                           .values = arena_array(m->nodes, struct value, 1)};
        n->values[0] =
            (struct value){.kind = V_INTEGER, .first = item->first, .last = item->last, .n = hop};
        struct item *items = arena_array(m->diag->arena, struct item, item->last - item->first);
        m->reader.items = items;
        m->reader.count = parse_group(m->source, item, items);
        m->reader.words = NULL;
        m->at = 0;
        m->on_line[0] = n;
        m->depth = 1;
        ok = match_hop(m);
        m->on_line[0] = run;
        m->depth = 1;
        n->broken = !ok;
        match_attach(run, n);
    }
    m->reader = line;
    m->at = ok ? behind : at - 1;
    return ok;
}

/* The pattern of the innermost open clause `n`, then options and a text in any order. The outermost
 * call reads the line to its end. */
static bool match_line(struct matcher *m, struct node *n)
{
    unsigned depth = m->depth;
    if (depth == DEEPEST_LINE)
        return refuse_item(m);
    m->on_line[m->depth++] = n;
    take_no(m, n);
    uint32_t begin = m->at;
    bool ok = match_pattern(m, n) && (n->form != F_RUN || match_hops(m, n, begin));
    while (ok && depth == 0 && m->at < m->reader.count) {
        bool matched = false;
        if (take_text(m, n))
            continue;
        ok = match_option(m, &matched);
        if (ok && !matched)
            ok = refuse_item(m);
    }
    return ok;
}

bool match_line_as(struct matcher *m, struct node *n, const struct stmt *s, uint32_t at, bool quiet)
{
    m->reader = match_reader(m, s);
    m->reader.quiet = quiet;
    m->reader.wanted_by = n->word;
    m->at = at;
    m->depth = 0;
    n->child = n->last_child = NULL;
    n->text = NULL;
    return match_line(m, n);
}
