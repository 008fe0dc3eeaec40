#include "cmd/texts.h"

#include "base/diff.h"
#include "base/file.h"
#include "diag/edits.h"
#include "propose/trial.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum { LARGEST_TEXT = 64 << 20 };

/* Where a file of the plan lies. */
static const char *real_of(struct texts *t, const char *path)
{
    const char *real = trial_real_path(&t->arena, path);
    if (real)
        return real;
    if (!t->unread)
        cmd_complain("cannot find out where %s lies: %s", path, strerror(errno));
    t->unread = true;
    return path;
}

static struct text_file *file_of(struct texts *t, const struct source *s)
{
    for (uint32_t i = 0; i < t->files.n; i++)
        if (!strcmp(t->files.at[i]->path, s->path))
            return t->files.at[i];
    struct text_file *f = arena_new(&t->arena, struct text_file);
    f->path = arena_copy(&t->arena, s->path, strlen(s->path));
    f->real = real_of(t, s->path);
    buf_add(&f->old, s->bytes, s->size);
    buf_add(&f->text, s->bytes, s->size);
    buf_add(&f->tried, s->bytes, s->size);
    *vec_push(&t->arena, &t->files) = f;
    return f;
}

static const char *text_of(const void *of, const char *real, size_t *size)
{
    const struct texts *t = of;
    for (uint32_t i = 0; i < t->files.n; i++)
        if (!strcmp(t->files.at[i]->real, real)) {
            struct buf *b = t->trying ? &t->files.at[i]->tried : &t->files.at[i]->text;
            *size = b->n;
            return buf_text(b);
        }
    return NULL;
}

void texts_compile(struct texts *t, struct compilation *c)
{
    compile(c, t->path,
            (struct compile_options){.stdlib = t->stdlib,
                                     .library = t->library,
                                     .only_findings = true,
                                     .unsaved = {text_of, t}});
    if (c->io_failed && !t->unread)
        cmd_show_findings(&c->diag);
    t->unread |= c->io_failed;
    for (uint32_t i = 0; i < c->source_count; i++)
        file_of(t, c->sources[i]);
}

void texts_try(struct texts *t, struct compilation *c, const edit_list *edits)
{
    for (uint32_t i = 0; i < c->source_count; i++) {
        struct text_file *f = file_of(t, c->sources[i]);
        f->tried.n = 0;
        edits_apply(edits, c->sources[i], &f->tried);
    }
}

void texts_keep(struct texts *t)
{
    for (uint32_t i = 0; i < t->files.n; i++) {
        struct text_file *f = t->files.at[i];
        f->text.n = 0;
        buf_add(&f->text, f->tried.at, f->tried.n);
    }
}

static bool is_changed(const struct text_file *f)
{
    return f->old.n != f->text.n || (f->old.n && memcmp(f->old.at, f->text.at, f->old.n));
}

/* Whether the disk still has what was read. */
static bool stands(const struct text_file *f)
{
    struct buf now = {0};
    bool read = file_read(&now, f->path, LARGEST_TEXT);
    int why = errno;
    bool same = read && now.n == f->old.n &&
                !memcmp(buf_text(&now), buf_text((struct buf *)&f->old), now.n);
    buf_free(&now);
    if (!read)
        cmd_complain("cannot read %s again: %s", f->path, strerror(why));
    else if (!same)
        cmd_complain("%s was changed meanwhile: nothing is written", f->path);
    return same;
}

int texts_write(struct texts *t)
{
    struct file_text *texts = arena_array(&t->arena, struct file_text, t->files.n + 1);
    size_t count = 0;
    for (uint32_t i = 0; i < t->files.n; i++)
        file_clear(t->files.at[i]->path);
    for (uint32_t i = 0; i < t->files.n; i++)
        if (is_changed(t->files.at[i])) {
            if (!stands(t->files.at[i]))
                return EXIT_USAGE;
            texts[count++] = (struct file_text){
                .path = t->files.at[i]->path, .text = &t->files.at[i]->text, .synced = true};
        }
    bool written = !count || cmd_write_files(texts, count);
    return written ? EXIT_FINE : EXIT_USAGE;
}

int texts_show_difference(struct texts *t)
{
    struct buf out = {0};
    for (uint32_t i = 0; i < t->files.n; i++) {
        struct text_file *f = t->files.at[i];
        diff_unified(&out, f->path, buf_text(&f->old), f->old.n, buf_text(&f->text), f->text.n);
    }
    int status = out.n ? EXIT_PLAN : EXIT_FINE;
    if (!cmd_write_output(&out, NULL))
        status = EXIT_USAGE;
    buf_free(&out);
    return status;
}

void texts_free(struct texts *t)
{
    for (uint32_t i = 0; i < t->files.n; i++) {
        buf_free(&t->files.at[i]->old);
        buf_free(&t->files.at[i]->text);
        buf_free(&t->files.at[i]->tried);
    }
    arena_free(&t->arena);
}
