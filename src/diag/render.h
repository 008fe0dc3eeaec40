/* Findings as text and JSON. */
#ifndef STUDBAY_DIAG_RENDER_H
#define STUDBAY_DIAG_RENDER_H

#include "diag/rule.h"

struct buf;
struct diag;
struct finding;
struct arena;
struct json;

/* "kept on 12 AWG; by J. Doe, 2026-03-01 (needs the authority's written consent)": a waiver's
 * reason. The consent is never the plan's to give; advice, which is what warnings and notes are,
 * wants none. */
void finding_waiver(const struct finding *f, struct buf *out);

/* The statement that would let a finding stand, its reason left open: "waive voltage-drop in
 * circuit P.1 because \"...\"". NULL where it may not be waived, or is. */
const char *finding_waive_line(struct arena *arena, const struct finding *f);

struct diag_style {
    bool color;
    const char *only; /* rule name, or NULL for all */
};

/* GNU form with source line and underline. */
void diag_text(struct diag *d, struct buf *out, struct diag_style style);

/* One line: "2 errors, 1 warning". */
void diag_summary(const struct diag *d, struct buf *out);

/* {"findings": [...], "counts": {...}}; `more`, if not NULL, adds the members of `of` behind. */
typedef void json_members(struct json *j, const void *of);
void diag_json(struct diag *d, struct buf *out, struct diag_style style, json_members *more,
               const void *of);

/* Members of a JSON object: why a waived finding stands, and whose consent its waiver names
 * ("because", "by", "on"). */
void diag_json_consent(struct json *j, const struct finding *f);

const char *diag_severity_word(enum severity s);

#endif
