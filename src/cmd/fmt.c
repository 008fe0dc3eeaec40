/* studbay fmt: the canonical layout, to standard output or into the files. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "fmt/fmt.h"

#include <string.h>

enum mode { TO_OUTPUT, TO_FILES, CHECK };

static bool is_changed(const struct source *s, const struct buf *b)
{
    return s->size != b->n || (b->n && memcmp(s->bytes, b->at, b->n));
}

/* What is done with the canonical text of one file. */
static int deliver(enum mode mode, const char *path, const struct source *s, const struct buf *text)
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
static bool show_findings(struct compilation *c)
{
    diag_finish(&c->diag);
    cmd_show_findings(&c->diag);
    return c->diag.counts[ERROR] > 0;
}

static int format_file(enum mode mode, const char *path)
{
    struct compilation c = {0};
    struct buf text = {0};
    int status = EXIT_PLAN;
    struct source *s = compile_form(&c, path);
    if (s && fmt_source(&c.diag, &c.arena, s, &text))
        status = deliver(mode, path, s, &text);
    else if (!s || c.io_failed)
        status = EXIT_USAGE;
    if (show_findings(&c) && status == EXIT_FINE)
        status =
            EXIT_PLAN; /* a statement may be at fault whose tokens could be laid out all the same */
    buf_free(&text);
    compile_free(&c);
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
