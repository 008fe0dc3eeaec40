#ifndef STUDBAY_EMIT_DEFAULTS_H
#define STUDBAY_EMIT_DEFAULTS_H

struct json;
struct model;
struct wiring;

/* What a plan left out and what stands in its place, with the place of the statement that might say
 * it: `"defaults": [{"what", "value", "file", "line", "column"}]`, a member of a JSON object. Only
 * what is built; once for many copies. */
void defaults_json(struct model *m, const struct wiring *w, struct json *j);

#endif
