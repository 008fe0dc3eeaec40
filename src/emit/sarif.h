#ifndef STUDBAY_EMIT_SARIF_H
#define STUDBAY_EMIT_SARIF_H

struct buf;
struct diag;

/* The findings of a plan as SARIF 2.1.0: one run, the rules that were found with the help of their
 * pages, fingerprints that survive moved lines, waivers as suppressions. `version` is the
 * compiler's. Columns count characters (code points). */
void sarif_write(struct diag *d, const char *version, struct buf *out);

#endif
