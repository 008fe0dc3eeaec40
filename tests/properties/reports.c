/* What the check does not find no report and no drawing finds: all of them are written, and no
 * finding comes that the check did not have. */
#include "properties.h"

#include "cmd/cmd.h"
#include "emit/dot/dot.h"
#include "sheets/sheets.h"
#include "emit/reports/reports.h"
#include "model/model.h"

#include <string.h>

property_function property_reports;

static bool has_finding(const struct compilation *c, const struct finding *f)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (c->diag.findings.at[i].rule == f->rule &&
            !strcmp(c->diag.findings.at[i].message, f->message))
            return true;
    return false;
}

/* Writes everything; the findings that come stand behind those that were there. */
static void write_all(struct compilation *c)
{
    struct results results;
    if (!c->model || !c->cuts || !cmd_results(c, &results))
        return;
    for (uint32_t i = 0; i < report_count; i++) {
        struct buf out = {0};
        report_write(&report_table[i], &results, REPORT_TEXT, &out);
        buf_free(&out);
    }
    for (uint32_t i = 0; i < dot_count; i++) {
        struct buf out = {0};
        dot_table[i].write(&results, &out);
        buf_free(&out);
    }
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        const struct sheet_kind *kind = &sheet_kinds[i];
        sheets_make(&results, PAPER_BY_USE, false, &kind, 1);
    }
}

bool property_reports(const struct subject *s, struct buf *why)
{
    struct compilation check;
    write_all(s->c);
    compile(&check, s->path,
            (struct compile_options){.library = plan_library(), .only_findings = true});
    bool held = true;
    for (uint32_t i = 0; held && i < s->c->diag.findings.n; i++)
        if (!has_finding(&check, &s->c->diag.findings.at[i])) {
            buf_printf(why, "check does not find %s: %s", s->c->diag.findings.at[i].rule->name,
                       s->c->diag.findings.at[i].message);
            held = false;
        }
    if (held && check.diag.findings.n != s->c->diag.findings.n) {
        buf_printf(why, "check has %u findings, a report %u", check.diag.findings.n,
                   s->c->diag.findings.n);
        held = false;
    }
    compile_free(&check);
    return held;
}
