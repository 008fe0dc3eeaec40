/* Findings: what is wrong with a plan, with its place, and how they are put in order (rendered:
 * render.h).
 *
 * Stages record findings; nobody prints. A function that can fail returns false or NULL and has
 * already recorded why. A finding without a source (the command line, a file that cannot be read)
 * is rendered as "studbay: message".
 *
 * Their number has a limit, so that no plan fills the memory with them: of errors, and of warnings
 * and notes together, the first MOST_FINDINGS that differ are kept, in the order in which they are
 * found, the earliest stages first. What comes behind them is left out, and one finding of rule
 * `limit` at the end says so. */
#ifndef STUDBAY_DIAG_DIAG_H
#define STUDBAY_DIAG_DIAG_H

#include "base/map.h"
#include "base/source.h"
#include "diag/looked.h"
#include "diag/near.h"
#include "diag/rule.h"

/* Recorded wherever the text is read: what has not the form that the language gives it, and what is
 * more than the compiler takes in. */
extern const struct rule rule_syntax, rule_limit;

struct related {
    struct span span;
    const char *message;
};

/* What a mend changes in the text: `gone` bytes at `off` of the source make way for the text. */
struct edit {
    struct source *source;
    uint32_t off, gone;
    const char *text;
};

typedef VEC(struct edit) edit_list;

/* One way to mend a finding that can be written into the plan. */
struct mend {
    const char *words; /* "write 'R1'" */
    bool safe; /* it does what the author must have meant, and no more: it may be written unasked
                  where it is the only one */
    edit_list edits; /* none lies in another; in no order. Raw: fmt_fit() lays them out */
};

struct finding {
    const struct rule *rule;
    enum severity severity;
    struct span span;
    const char *message;
    const char *article;               /* "NEC 2023 240.4(D)", or NULL */
    const char *mend;                  /* what would mend it, in words, or NULL */
    VEC(struct mend) mends;            /* of what these words name, each that can be written */
    const char *subject;               /* address of the thing it is about, for waivers, or NULL */
    const char *waived;                /* the reason of the waiver that lets it stand, or NULL */
    const char *waived_by, *waived_on; /* the authority and the date that it names, or NULL */
    const char *const *recalled;       /* tables written from memory that it rests on */
    uint32_t recalled_count;
    const char *const *unknown; /* what its edition holds as the one before: the table (and what of
                                   it is not known) */
    uint32_t unknown_count;
    struct related *related;
    uint32_t related_count;
    uint32_t order; /* order of recording, the last key of the sort */
};

typedef VEC(struct finding) finding_list;

/* More than anybody reads before mending some; the finding of one fault in many copies of a unit
 * counts once. MOST_RECORDED is with all copies. */
enum { MOST_FINDINGS = 10000, MOST_RECORDED = 20 * MOST_FINDINGS };

/* What has its own room for findings. By the severity of the rule. */
enum share_id { SHARE_ERRORS, SHARE_OTHERS, SHARE_ONLY, SHARE_COUNT };

struct share {
    uint32_t differ, recorded;
    bool full;           /* at least one was left out: no further one is kept */
    enum severity worst; /* of those left out */
};

struct diag {
    struct arena *arena;
    finding_list findings;
    const char *only; /* the rule whose findings alone will be shown: they have room of their own;
                         NULL: none */
    struct map syntax_lines; /* lines that have a finding of the form already */
    uint32_t said;           /* all findings, kept or left out */
    struct share shares[SHARE_COUNT];
    struct map kept; /* (hash of rule, place and words; source) -> anything: findings that differ */
    struct finding spare;   /* what is left out is written here, and forgotten */
    struct share *spare_of; /* its share, until its severity is counted; NULL: none */
    bool limit_told;
    struct looked looked;
    uint32_t counts[3]; /* by severity, waived ones apart; after diag_finish */
    uint32_t waived;
    near_words words; /* of the trade, by the library: what is meant by them */
};

/* Records a finding and returns it, so that notes can be added before the next one is recorded; one
 * that is left out may be written to likewise. The severity is the rule's own. */
struct finding *diag_add(struct diag *d, const struct rule *rule, struct span span,
                         const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Records a finding of the form (the shape of a statement, a brace, a byte). One a line, the first:
 * of what follows on a line that is already at fault nothing is said, and NULL comes back. */
struct finding *diag_syntax(struct diag *d, const struct rule *rule, struct span span,
                            const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Whether no further finding of the rule is kept. Who may find very many asks after each, and
 * stops: not before the first, which may be the only error. */
bool diag_is_full(const struct diag *d, const struct rule *rule);

/* Whether it is the finding that tells what was left out. With `only` there is none unless findings
 * of that rule were. */
bool finding_tells_limit(const struct finding *f);

/* Adds a related place ("breaker given here") to a finding; f NULL does nothing. */
void diag_note(struct diag *d, struct finding *f, struct span span, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Says what would mend the finding, for a person to read: words first, then the ways of which they
 * speak. */
void diag_mend(struct diag *d, struct finding *f, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Where a name stands in a span: "R3" in "shed.R3", or all of it. Empty where it does not. */
struct span diag_name_in(struct span span, const char *name);

/* The same of a name that stands in the place, maybe as a part of an address. */
void diag_mend_name(struct diag *d, struct finding *f, const char *name, const char *meant);

/* What was found near to the word at the finding's place is meant: says so, with what is as near,
 * and can write each. Nothing where nothing was found. */
void diag_mend_nearest(struct diag *d, struct finding *f, const struct nearest *n);

/* Other words in place of those that were said; more words behind them. The ways stay. */
void diag_mend_words(struct diag *d, struct finding *f, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void diag_mend_more(struct diag *d, struct finding *f, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Adds one way to mend the finding that can be written, its words those of the one who picks it
 * from a list; its edits are added to it. NULL where the finding is NULL or left out: who adds
 * edits to that does nothing. Good until the next one is added. Says nothing to the reader of the
 * text: diag_mend does. */
struct mend *diag_way(struct diag *d, struct finding *f, bool safe, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Adds an edit to a way: the text, which is copied, in place of the span. */
void diag_edit(struct diag *d, struct mend *way, struct span span, const char *text);

/* Both at once, where one text in place of a span mends the finding. */
void diag_replace(struct diag *d, struct finding *f, bool safe, struct span span, const char *text);

/* The word at the finding's place is a slip, and this one is meant: says so, and can write it. Safe
 * where near_is_slip. */
void diag_mend_word(struct diag *d, struct finding *f, const char *meant);

/* Sorts by file in source order, then offset; drops doubles; tells what was left out; counts. Call
 * before rendering. */
void diag_finish(struct diag *d);

/* The name among `count` that is nearest to `name` by edits and near enough to be a slip, or NULL.
 */
const char *diag_nearest(const char *name, const char *const *names, uint32_t count);

/* The same, where words of the trade may stand: what is meant by one goes first. */
const char *diag_meant(const struct diag *d, const char *name, const char *const *names,
                       uint32_t count);

#endif
