/* studbay fmt: the canonical layout, to standard output or into the files. */
#include "cmd/cmd.h"

#include "base/file.h"

#include <string.h>

enum mode { TO_OUTPUT, TO_FILES, CHECK };

static bool is_changed(const struct studbay_source *s, const struct buf *b)
{
    return s->size != b->n || (b->n && memcmp(s->bytes, b->at, b->n));
}

/* What is done with the canonical text of one file. */
static int deliver(enum mode mode, const char *path, const struct studbay_source *s,
                   const struct buf *text)
{
    bool changed = is_changed(s, text);
    if (mode == TO_OUTPUT)
        return cmd_write_output(text, NULL) ? EXIT_FINE : EXIT_USAGE;
    if (mode == TO_FILES && !changed)
        file_clear(path);
    if (mode == TO_FILES)
        return !changed || cmd_save_file(text, path) ? EXIT_FINE : EXIT_USAGE;
    if (!changed)
        return EXIT_FINE;
    struct buf line = {0};
    cmd_put_path(&line, path);
    buf_putc(&line, '\n');
    bool written = cmd_write_output(&line, NULL);
    buf_free(&line);
    return written ? EXIT_PLAN : EXIT_USAGE;
}

/* Whether there is an error among them. */
static bool show_findings(struct studbay_plan *plan)
{
    struct studbay_wants wants = {.size = sizeof wants, .color = cmd_error_in_color()};
    return !cmd_done(plan, studbay_write_findings(&plan, 1, &wants, cmd_errors)) ||
           studbay_counts(plan)->errors > 0;
}

/* Of a plan that could be read. A statement may be at fault whose tokens could be laid out all the
 * same. */
static int format_plan(enum mode mode, const char *path, struct studbay_plan *plan)
{
    struct buf text = {0};
    const struct studbay_source *const *sources = studbay_sources(plan, NULL);
    enum studbay_status done = studbay_write_formatted(plan, cmd_to_buf(&text));
    int status = EXIT_PLAN;
    if (done == STUDBAY_DONE && sources)
        status = deliver(mode, path, sources[0], &text);
    else if (done != STUDBAY_NOT_LAID_OUT)
        status = EXIT_USAGE;
    buf_free(&text);
    return status;
}

static int format_file(enum mode mode, const char *path)
{
    struct studbay_opening how = {.size = sizeof how, .depth = STUDBAY_FORM};
    struct studbay_plan *plan;
    enum studbay_status opened = studbay_open(path, &how, &plan);
    if (!plan) {
        cmd_done(NULL, opened);
        return EXIT_USAGE;
    }
    int status = opened == STUDBAY_DONE ? format_plan(mode, path, plan) : EXIT_USAGE;
    if (show_findings(plan) && status == EXIT_FINE)
        status = EXIT_PLAN;
    studbay_close(plan);
    return status;
}

int command_fmt(const struct invocation *inv)
{
    if (!inv->operand_count)
        return cmd_complain("fmt wants a plan: studbay fmt PLAN");
    if (inv->write && inv->check)
        return cmd_complain("--write changes files, --check changes none: one of them");
    enum mode mode = inv->write ? TO_FILES : inv->check ? CHECK : TO_OUTPUT;
    int worst = EXIT_FINE;
    for (uint32_t i = 0; i < inv->operand_count; i++) {
        if (mode == TO_FILES && !strcmp(inv->operands[i], "-"))
            return cmd_complain("standard input cannot be written to; leave --write out");
        int status = format_file(mode, inv->operands[i]);
        if (status > worst)
            worst = status;
    }
    return worst;
}
