/* studbay settle: what was worked out, written into the text, to standard output or into the
 * files. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "base/utf8.h"
#include "emit/results.h"
#include "settle/settle.h"

#include <string.h>

enum mode { TO_OUTPUT, TO_FILES, CHECK };

/* The sorts that --only names, parted by commas; 0, with a message, where one is none. */
static unsigned read_sorts(const struct invocation *inv)
{
    if (!inv->only)
        return SETTLE_USUAL;
    unsigned sorts = 0;
    for (const char *at = inv->only, *end; at; at = *end ? end + 1 : NULL) {
        end = at + strcspn(at, ",");
        const char *word = arena_copy(inv->arena, at, (size_t)(end - at));
        uint32_t sort = cmd_find_name(word, settle_words, SETTLE_SORTS);
        if (sort == SETTLE_SORTS) {
            cmd_complain_unknown("sort of thing to be settled", word, settle_words, SETTLE_SORTS);
            return 0;
        }
        sorts |= 1u << sort;
    }
    return sorts;
}

/* "3 types", "1 cable". */
static void count_words(struct buf *b, enum settle_sort sort, uint32_t n)
{
    const char *word = settle_words[sort];
    buf_printf(b, "%u %.*s", n, (int)strlen(word) - (n == 1), word);
}

/* "settled: 3 types, 12 cables" */
static void say_counts(struct buf *out, const struct settled *s)
{
    bool any = false;
    for (uint32_t i = 0; i < SETTLE_SORTS; i++)
        if (s->counts[i]) {
            buf_puts(out, any ? ", " : "settled: ");
            count_words(out, (enum settle_sort)i, s->counts[i]);
            any = true;
        }
    buf_puts(out, any ? "\n" : "settled: nothing is left out that could be written\n");
}

static void say_left(struct compilation *c, struct buf *out, const struct settled *s)
{
    for (uint32_t i = 0; i < s->left.n; i++) {
        const struct settle_left *l = &s->left.at[i];
        struct position p = source_position(&c->arena, l->span.source, l->span.off);
        utf8_put_masked(out, l->span.source->path);
        buf_printf(out,
                   ":%u:%u: not settled: what stands for several things comes to different %s\n",
                   p.line, p.column, settle_words[l->sort]);
    }
}

/* Those that the standard output does not show. */
static void say_other_files(struct compilation *c, struct buf *out, const struct settled *s)
{
    for (uint32_t i = 1; i < c->source_count; i++)
        if (settle_count(s, c->sources[i])) {
            utf8_put_masked(out, c->sources[i]->path);
            buf_puts(out, " would change too; --write writes it\n");
        }
}

static int to_output(const struct settled *s, const struct source *source)
{
    struct buf text = {0};
    settle_write(s, source, &text);
    bool written = cmd_write_output(&text, NULL);
    buf_free(&text);
    return written ? EXIT_FINE : EXIT_USAGE;
}

/* All of them or none. */
static int to_files(struct compilation *c, const struct settled *s)
{
    struct buf *texts = arena_array(&c->arena, struct buf, c->source_count + 1);
    struct file_text *files = arena_array(&c->arena, struct file_text, c->source_count + 1);
    size_t count = 0;
    for (uint32_t i = 0; i < c->source_count; i++) {
        file_clear(c->sources[i]->path);
        if (!settle_count(s, c->sources[i]))
            continue;
        settle_write(s, c->sources[i], &texts[count]);
        files[count] =
            (struct file_text){.path = c->sources[i]->path, .text = &texts[count], .synced = true};
        count++;
    }
    bool written = !count || cmd_write_files(files, count);
    for (size_t i = 0; i < count; i++)
        buf_free(&texts[i]);
    return written ? EXIT_FINE : EXIT_USAGE;
}

static int name_files(struct compilation *c, const struct settled *s)
{
    struct buf names = {0};
    for (uint32_t i = 0; i < c->source_count; i++)
        if (settle_count(s, c->sources[i])) {
            cmd_put_path(&names, c->sources[i]->path);
            buf_putc(&names, '\n');
        }
    int status = names.n ? EXIT_PLAN : EXIT_FINE;
    if (!cmd_write_output(&names, NULL))
        status = EXIT_USAGE;
    buf_free(&names);
    return status;
}

static int deliver(struct compilation *c, const struct settled *s, enum mode mode)
{
    struct buf said = {0};
    int status = mode == TO_OUTPUT  ? to_output(s, c->sources[0])
                 : mode == TO_FILES ? to_files(c, s)
                                    : name_files(c, s);
    if (mode != CHECK && status == EXIT_FINE)
        say_counts(&said, s);
    if (mode == TO_OUTPUT)
        say_other_files(c, &said, s);
    say_left(c, &said, s);
    cmd_write_error(&said);
    buf_free(&said);
    return status;
}

static int refuse(const struct compilation *c)
{
    cmd_complain("%s has errors and is not settled: what is worked out from it may be wrong",
                 c->sources[0]->path);
    return EXIT_PLAN;
}

static int settle_plan(const struct invocation *inv, enum mode mode, unsigned sorts)
{
    struct compilation c = {0};
    struct results r;
    int status;
    if (cmd_read_results(&c, inv, inv->operands[0], false, &r, &status)) {
        if (c.diag.counts[ERROR])
            status = refuse(&c);
        else
            status = deliver(
                &c, settle(&c.arena, c.model, c.routes, c.wiring, c.panels, c.log, sorts), mode);
    }
    compile_free(&c);
    return status;
}

int command_settle(const struct invocation *inv)
{
    if (inv->operand_count != 1)
        return cmd_complain("settle wants one plan: studbay settle PLAN");
    if (inv->write && inv->check)
        return cmd_complain("--write changes files, --check changes none: one of them");
    if (inv->write && !strcmp(inv->operands[0], "-"))
        return cmd_complain("standard input cannot be written to; leave --write out");
    unsigned sorts = read_sorts(inv);
    if (!sorts)
        return EXIT_USAGE;
    return settle_plan(inv, inv->write ? TO_FILES : inv->check ? CHECK : TO_OUTPUT, sorts);
}
