/* check --fix: writes what mends findings into the plan, and shows with --diff what it would write.
 *
 * A mend that is written must hold: the plan with it is compiled again, and where a finding that
 * was to go is still there, or an error has come, it is taken back. */
#include "cmd/texts.h"

#include "base/utf8.h"
#include "diag/edits.h"
#include "fmt/fit.h"
#include "propose/trial.h"

#include <string.h>

enum { MOST_ROUNDS = 64 };

struct fixing {
    const struct invocation *inv;
    struct texts texts;
    struct map refused; /* hash of a finding and its mend -> anything: they did not hold */
    VEC(const struct rule *) mended;
};

/* --- which ------------------------------------------------------------------------------- */

/* The mend that is to be written: the only one, and safe, or of the rule that is named. */
static struct mend *only_mend(const struct fixing *x, struct finding *f)
{
    bool named = *x->inv->fix;
    if (f->waived || f->mends.n != 1 || !f->mends.at[0].edits.n ||
        (named ? strcmp(f->rule->name, x->inv->fix) != 0 : !f->mends.at[0].safe) ||
        map_get(&x->refused, (uintptr_t)trial_finding_key(f), 0))
        return NULL;
    return &f->mends.at[0];
}

typedef VEC(struct finding *) finding_refs;

/* Of the mends that can be written together the first `most`. */
static void choose(struct fixing *x, struct compilation *c, uint32_t most, edit_list *edits,
                   finding_refs *chosen)
{
    struct fit fit = {.arena = &c->arena};
    for (uint32_t i = 0; i < c->diag.findings.n && chosen->n < most; i++) {
        struct finding *f = &c->diag.findings.at[i];
        struct mend *way = only_mend(x, f);
        if (!way)
            continue;
        fit_mend(&fit, way);
        if (!way->edits.n || !edits_apart(edits, &way->edits))
            continue;
        for (uint32_t k = 0; k < way->edits.n; k++)
            *vec_push(&c->arena, edits) = way->edits.at[k];
        edits_sort(edits);
        *vec_push(&c->arena, chosen) = f;
    }
}

/* --- whether they hold -------------------------------------------------------------------- */

/* What could not be read, or had a slip for its name, may be anything: more may be found when it is
 * known. */
static bool hides_others(const struct finding *f)
{
    return f->rule == &rule_syntax || !strcmp(f->rule->name, "wrong-unit") ||
           (f->mends.at[0].safe && !f->rule->waivable);
}

/* Each is found less often than before, and no error has come in its place; but where what was
 * mended had kept something from being read, more may be found in that. */
static bool holds(const struct compilation *before, const struct compilation *after,
                  const finding_refs *chosen)
{
    bool reveals = false;
    uint32_t errors = before->diag.counts[ERROR];
    for (uint32_t i = 0; i < chosen->n; i++) {
        uint64_t key = trial_finding_key(chosen->at[i]);
        reveals |= hides_others(chosen->at[i]);
        errors -= chosen->at[i]->severity == ERROR;
        if (trial_count_like(after, key) >= trial_count_like(before, key))
            return false;
    }
    return !after->io_failed && (reveals || after->diag.counts[ERROR] <= errors);
}

static void keep(struct fixing *x, const finding_refs *chosen)
{
    texts_keep(&x->texts);
    for (uint32_t i = 0; i < chosen->n; i++)
        *vec_push(&x->texts.arena, &x->mended) = chosen->at[i]->rule;
}

/* One round: all mends that there are, or where they do not hold together one of them. False where
 * there is none left. */
static bool mend_more(struct fixing *x, uint32_t *most)
{
    struct compilation c, after;
    edit_list edits = {0};
    finding_refs chosen = {0};
    x->texts.trying = false;
    texts_compile(&x->texts, &c);
    if (!x->texts.unread)
        choose(x, &c, *most, &edits, &chosen);
    if (chosen.n) {
        texts_try(&x->texts, &c, &edits);
        x->texts.trying = true;
        texts_compile(&x->texts, &after);
        x->texts.trying = false;
        bool held = holds(&c, &after, &chosen);
        if (held)
            keep(x, &chosen);
        else if (chosen.n == 1)
            map_put(&x->texts.arena, &x->refused, (uintptr_t)trial_finding_key(chosen.at[0]), 0, x);
        else
            *most = 1;
        compile_free(&after);
    }
    compile_free(&c);
    return chosen.n && !x->texts.unread;
}

/* --- what came of it ---------------------------------------------------------------------- */

/* "mended: 2 unknown-name, 1 wrong-unit" */
static void say_mended(const struct fixing *x, bool would)
{
    struct buf out = {0};
    utf8_put_masked(&out, x->texts.path);
    buf_puts(&out, would ? ": would mend " : ": mended ");
    for (uint32_t r = 0, said = 0; r < rule_count; r++) {
        uint32_t n = 0;
        for (uint32_t i = 0; i < x->mended.n; i++)
            n += x->mended.at[i] == rule_list[r];
        if (n)
            buf_printf(&out, "%s%u %s", said++ ? ", " : "", n, rule_list[r]->name);
    }
    if (!x->mended.n)
        buf_puts(&out, *x->inv->fix ? "nothing: no finding of the rule has one mend alone that can "
                                      "be written"
                                    : "nothing: no finding has one mend alone that is safe");
    buf_putc(&out, '\n');
    cmd_write_error(&out);
    buf_free(&out);
}

int cmd_fix_plan(const struct invocation *inv, const char *path, const struct compilation *library)
{
    struct fixing x = {.inv = inv,
                       .texts = {.path = path, .stdlib = inv->stdlib, .library = library}};
    uint32_t most = UINT32_MAX;
    for (int round = 0; round < MOST_ROUNDS && mend_more(&x, &most); round++)
        continue;
    int status = x.texts.unread ? EXIT_USAGE
                 : inv->diff    ? texts_show_difference(&x.texts)
                                : texts_write(&x.texts);
    if (status != EXIT_USAGE)
        say_mended(&x, inv->diff != NULL);
    texts_free(&x.texts);
    return status;
}
