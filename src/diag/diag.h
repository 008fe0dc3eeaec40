/* Findings: what is wrong with a plan, with its place, and how they are put in order and rendered.
 *
 * Stages record findings; nobody prints. A function that can fail returns false or NULL and has already recorded why. A finding without a source (the
 * command line, a file that cannot be read) is rendered as "studbay: message". */
#ifndef STUDBAY_DIAG_DIAG_H
#define STUDBAY_DIAG_DIAG_H

#include "base/buf.h"
#include "base/map.h"
#include "base/source.h"

enum severity { ERROR, WARNING, NOTE };

enum rule_id {
#define RULE(id, name, severity, waivable, doc) R_##id,
#include "diag/rules.def"
#undef RULE
    RULE_COUNT
};

/* One line of the table of rules. */
struct rule {
    const char *name;
    enum severity severity;
    bool waivable;
    const char *doc;
};
extern const struct rule rule_table[RULE_COUNT];

/* The rule of that name, or RULE_COUNT. */
enum rule_id rule_named(const char *name);

struct related {
    struct span span;
    const char *message;
};

struct finding {
    enum rule_id rule;
    enum severity severity;
    struct span span;
    const char *message;
    const char *article;     /* "NEC 2023 240.4(D)", or NULL */
    const char *mend;        /* what would mend it, or NULL */
    const char *subject;     /* address of the thing it is about, for waivers, or NULL */
    const char *waived;      /* the reason of the waiver that lets it stand, or NULL */
    const char *waived_by, *waived_on; /* the authority and the date that it names, or NULL */
    struct related *related;
    uint32_t related_count;
    uint32_t order;          /* order of recording, the last key of the sort */
};

typedef VEC(struct finding) finding_list;

struct diag {
    struct arena *arena;
    finding_list findings;
    struct map syntax_lines; /* lines that have a finding of the form already */
    uint32_t counts[3];      /* by severity, waived ones apart; after diag_finish */
    uint32_t waived;
};

/* "kept on 12 AWG; by J. Doe, 2026-03-01 (needs the authority's written consent)": a waiver's reason. The consent is never the plan's to give. */
void finding_waiver(const struct finding *f, struct buf *out);

/* Records a finding and returns it, so that notes can be added before the next one is recorded. The severity is the rule's own. */
struct finding *diag_add(struct diag *d, enum rule_id rule, struct span span, const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Records a finding of the form (the shape of a statement, a brace, a byte). One a line, the first: of what follows on a line that is already at fault nothing
 * is said, and NULL comes back. */
struct finding *diag_syntax(struct diag *d, enum rule_id rule, struct span span, const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Adds a related place ("breaker given here") to a finding; f NULL does nothing. */
void diag_note(struct diag *d, struct finding *f, struct span span, const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Says what would mend the finding. */
void diag_mend(struct diag *d, struct finding *f, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* Sorts by file in source order, then offset; drops doubles; counts. Call once, before rendering. */
void diag_finish(struct diag *d);

struct diag_style {
    bool color;
    const char *only;        /* rule name, or NULL for all */
};

/* GNU form with source line and underline. */
void diag_text(struct diag *d, struct buf *out, struct diag_style style);

/* One line: "2 errors, 1 warning". */
void diag_summary(const struct diag *d, struct buf *out);

/* {"findings": [...], "counts": {...}}; `more`, if not NULL, is JSON members put after counts. */
void diag_json(struct diag *d, struct buf *out, struct diag_style style, const char *more);

/* Members of a JSON object: why a waived finding stands, and whose consent its waiver names ("because", "by", "on"). */
void diag_json_consent(struct buf *out, const struct finding *f);

/* The name among `count` that is nearest to `name` by edits and near enough to be a slip, or NULL. */
const char *diag_nearest(const char *name, const char *const *names, uint32_t count);

const char *severity_word(enum severity s);

#endif
