/* check --fix: writes what mends findings into the plan, and shows with --diff what it would write.
 *
 * A mend that is written must hold: the plan with it is compiled again, and where a finding that
 * was to go is still there, or an error has come, it is taken back. */
#include "cmd/cmd.h"

#include "base/diff.h"
#include "base/file.h"
#include "diag/edits.h"
#include "fmt/fit.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_ROUNDS = 64, LARGEST_TEXT = 64 << 20 };

/* A file of the plan and what it becomes. */
struct fixed_file {
    const char *path, *real; /* as the plan's files name it; where it lies */
    struct buf old, text, tried;
};

struct fixing {
    const struct invocation *inv;
    struct arena arena;
    const char *path; /* of the plan */
    const struct compilation *library;
    VEC(struct fixed_file *) files;
    struct map refused; /* hash of a finding and its mend -> anything: they did not hold */
    VEC(const struct rule *) mended;
    bool trying; /* what is tried counts, not what holds */
};

/* --- texts -------------------------------------------------------------------------------- */

/* Where a path leads; of standard input what the compilation takes for it. */
static const char *real_of(struct arena *a, const char *path)
{
    char real[PATH_MAX];
    if (!strcmp(path, "<stdin>"))
        return realpath(".", real) ? arena_printf(a, "%s/-", real[1] ? real : "") : path;
    return realpath(path, real) ? arena_copy(a, real, strlen(real)) : path;
}

static struct fixed_file *file_of(struct fixing *x, const struct source *s)
{
    for (uint32_t i = 0; i < x->files.n; i++)
        if (!strcmp(x->files.at[i]->path, s->path))
            return x->files.at[i];
    struct fixed_file *f = arena_new(&x->arena, struct fixed_file);
    f->path = arena_copy(&x->arena, s->path, strlen(s->path));
    f->real = real_of(&x->arena, s->path);
    buf_add(&f->old, s->bytes, s->size);
    buf_add(&f->text, s->bytes, s->size);
    buf_add(&f->tried, s->bytes, s->size);
    *vec_push(&x->arena, &x->files) = f;
    return f;
}

static const char *text_of(const void *of, const char *real, size_t *size)
{
    const struct fixing *x = of;
    for (uint32_t i = 0; i < x->files.n; i++)
        if (!strcmp(x->files.at[i]->real, real)) {
            struct buf *b = x->trying ? &x->files.at[i]->tried : &x->files.at[i]->text;
            *size = b->n;
            return buf_text(b);
        }
    return NULL;
}

static void compile_again(struct fixing *x, struct compilation *c)
{
    compile(c, x->path,
            (struct compile_options){.stdlib = x->inv->stdlib,
                                     .library = x->library,
                                     .only_findings = true,
                                     .unsaved = {text_of, x}});
    for (uint32_t i = 0; i < c->source_count; i++)
        file_of(x, c->sources[i]);
}

/* --- which ------------------------------------------------------------------------------- */

static uint64_t key_of(const struct finding *f)
{
    uint64_t parts[3] = {
        map_hash_bytes(f->rule->name, strlen(f->rule->name)),
        map_hash_bytes(f->message, strlen(f->message)),
        f->subject ? map_hash_bytes(f->subject, strlen(f->subject)) : 0,
    };
    return map_hash_bytes(parts, sizeof parts) | 1;
}

/* The mend that is to be written: the only one, and safe, or of the rule that is named. */
static struct mend *only_mend(const struct fixing *x, struct finding *f)
{
    bool named = *x->inv->fix;
    if (f->waived || f->mends.n != 1 || !f->mends.at[0].edits.n ||
        (named ? strcmp(f->rule->name, x->inv->fix) != 0 : !f->mends.at[0].safe) ||
        map_get(&x->refused, (uintptr_t)key_of(f), 0))
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

static uint32_t count_like(const struct compilation *c, uint64_t key)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        n += !c->diag.findings.at[i].waived && key_of(&c->diag.findings.at[i]) == key;
    return n;
}

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
        uint64_t key = key_of(chosen->at[i]);
        reveals |= hides_others(chosen->at[i]);
        errors -= chosen->at[i]->severity == ERROR;
        if (count_like(after, key) >= count_like(before, key))
            return false;
    }
    return !after->io_failed && (reveals || after->diag.counts[ERROR] <= errors);
}

static void try_edits(struct fixing *x, struct compilation *c, const edit_list *edits)
{
    for (uint32_t i = 0; i < c->source_count; i++) {
        struct fixed_file *f = file_of(x, c->sources[i]);
        f->tried.n = 0;
        edits_apply(edits, c->sources[i], &f->tried);
    }
}

static void keep(struct fixing *x, const finding_refs *chosen)
{
    for (uint32_t i = 0; i < x->files.n; i++) {
        struct fixed_file *f = x->files.at[i];
        f->text.n = 0;
        buf_add(&f->text, f->tried.at, f->tried.n);
    }
    for (uint32_t i = 0; i < chosen->n; i++)
        *vec_push(&x->arena, &x->mended) = chosen->at[i]->rule;
}

/* One round: all mends that there are, or where they do not hold together one of them. False where
 * there is none left. */
static bool mend_more(struct fixing *x, uint32_t *most)
{
    struct compilation c, after;
    edit_list edits = {0};
    finding_refs chosen = {0};
    x->trying = false;
    compile_again(x, &c);
    choose(x, &c, *most, &edits, &chosen);
    if (chosen.n) {
        try_edits(x, &c, &edits);
        x->trying = true;
        compile_again(x, &after);
        x->trying = false;
        bool held = holds(&c, &after, &chosen);
        if (held)
            keep(x, &chosen);
        else if (chosen.n == 1)
            map_put(&x->arena, &x->refused, (uintptr_t)key_of(chosen.at[0]), 0, x);
        else
            *most = 1;
        compile_free(&after);
    }
    compile_free(&c);
    return chosen.n;
}

/* --- what came of it ---------------------------------------------------------------------- */

static bool is_changed(const struct fixed_file *f)
{
    return f->old.n != f->text.n || (f->old.n && memcmp(f->old.at, f->text.at, f->old.n));
}

/* "mended: 2 unknown-name, 1 wrong-unit" */
static void say_mended(const struct fixing *x, bool would)
{
    struct buf out = {0};
    cmd_put_masked(&out, x->path);
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

/* Whether the disk still has what was read. */
static bool stands(const struct fixed_file *f)
{
    struct buf now = {0};
    bool same = file_read(&now, f->path, LARGEST_TEXT) && now.n == f->old.n &&
                !memcmp(buf_text(&now), buf_text((struct buf *)&f->old), now.n);
    buf_free(&now);
    if (!same)
        cmd_complain("%s was changed meanwhile: nothing is written", f->path);
    return same;
}

static int write_files(struct fixing *x)
{
    struct file_text *texts = arena_array(&x->arena, struct file_text, x->files.n + 1);
    size_t count = 0;
    for (uint32_t i = 0; i < x->files.n; i++)
        if (is_changed(x->files.at[i])) {
            if (!stands(x->files.at[i]))
                return EXIT_USAGE;
            texts[count++] = (struct file_text){x->files.at[i]->path, &x->files.at[i]->text};
        }
    bool written = !count || (count == 1 ? cmd_save_file(texts[0].text, texts[0].path)
                                         : cmd_write_files(texts, count));
    return written ? EXIT_FINE : EXIT_USAGE;
}

static int show_difference(struct fixing *x)
{
    struct buf out = {0};
    for (uint32_t i = 0; i < x->files.n; i++) {
        struct fixed_file *f = x->files.at[i];
        diff_unified(&out, f->path, buf_text(&f->old), f->old.n, buf_text(&f->text), f->text.n);
    }
    int status = out.n ? EXIT_PLAN : EXIT_FINE;
    if (!cmd_write_output(&out, NULL))
        status = EXIT_USAGE;
    buf_free(&out);
    return status;
}

int cmd_fix_plan(const struct invocation *inv, const char *path, const struct compilation *library)
{
    struct fixing x = {.inv = inv, .path = path, .library = library};
    uint32_t most = UINT32_MAX;
    for (int round = 0; round < MOST_ROUNDS && mend_more(&x, &most); round++)
        continue;
    int status = inv->diff ? show_difference(&x) : write_files(&x);
    if (status != EXIT_USAGE)
        say_mended(&x, inv->diff != NULL);
    for (uint32_t i = 0; i < x.files.n; i++) {
        buf_free(&x.files.at[i]->old);
        buf_free(&x.files.at[i]->text);
        buf_free(&x.files.at[i]->tried);
    }
    arena_free(&x.arena);
    return status;
}
