/* studbay book: the job book, all of a plan: a page for the phone, the set of sheets, or both. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "book/book.h"
#include "sheets/sheets.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum form { AS_PAGE, AS_SET, AS_FOLDER };

/* What is wanted, and what of the set. */
struct wanted {
    const struct invocation *inv;
    enum form form;
    int size; /* enum paper_size */
    const struct sheet_kind **kinds;
    uint32_t kind_count;
    bool cuts; /* a sheet hangs on how cuts are allotted */
};

static bool ends_in(const char *path, const char *ending)
{
    size_t len = strlen(path), n = strlen(ending);
    return len > n && !strcmp(path + len - n, ending);
}

/* A name with another ending is a slip, no folder. */
static bool read_form(const char *path, enum form *form)
{
    bool folder = cmd_is_folder(path);
    *form = folder                   ? AS_FOLDER
            : ends_in(path, ".html") ? AS_PAGE
            : ends_in(path, ".pdf")  ? AS_SET
                                     : AS_FOLDER;
    if (*form != AS_FOLDER || folder || !cmd_has_ending(path))
        return true;
    cmd_complain("a book is a file that ends in .html or .pdf, or a folder, FOLDER/; %s is none of "
                 "these",
                 path);
    return false;
}

/* --- which sheets ---------------------------------------------------------------------------- */

/* Whether a list parted by commas has the word. */
static bool has_word(const char *list, const char *word)
{
    size_t len = strlen(word);
    for (const char *p = list; p; p = strchr(p, ',') ? strchr(p, ',') + 1 : NULL)
        if (!strncmp(p, word, len) && (p[len] == ',' || !p[len]))
            return true;
    return false;
}

/* False, with a message, where one of the names is no kind of sheet. */
static bool names_are_known(const struct invocation *inv)
{
    const char *names[64];
    uint32_t count = 0;
    for (; count < sheet_kind_count && count < sizeof names / sizeof *names; count++)
        names[count] = sheet_kinds[count].name;
    for (const char *p = inv->sheets; p && *p;) {
        size_t len = strcspn(p, ",");
        const char *name = arena_copy(inv->arena, p, len);
        if (!sheets_named(name)) {
            cmd_complain_unknown("sheet", name, names, count);
            return false;
        }
        p += len + (p[len] == ',');
    }
    return true;
}

/* Of the permit set, of the job set, or of both; of these those that are named. */
static bool choose_kinds(struct wanted *w)
{
    const struct invocation *inv = w->inv;
    unsigned in = (inv->permit ? IN_PERMIT : 0) | (inv->job ? IN_JOB : 0);
    w->kinds = arena_array(inv->arena, const struct sheet_kind *, sheet_kind_count);
    if (!names_are_known(inv))
        return false;
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        const struct sheet_kind *k = &sheet_kinds[i];
        bool apart = k->in & BY_NAME ||
                     (w->form == AS_FOLDER && k->draw == sheets_labels); /* a file of their own */
        if ((in && !(k->in & in)) || (inv->sheets ? !has_word(inv->sheets, k->name) : apart))
            continue;
        w->kinds[w->kind_count++] = k;
        w->cuts = w->cuts || k->in & WITH_CUTS;
    }
    if (!w->kind_count)
        cmd_complain("none of the sheets %s is in that set", inv->sheets);
    return w->kind_count > 0;
}

/* --- the files ------------------------------------------------------------------------------- */

static bool make_set(const struct wanted *w, const struct results *r, struct buf *out)
{
    struct paper *paper =
        sheets_make(r, (enum paper_size)w->size, w->inv->permit != NULL, w->kinds, w->kind_count);
    if (paper->sheets.n)
        return cmd_make_pdf(paper, out);
    cmd_complain("there is nothing in the plan that such a sheet shows");
    return false;
}

/* Empty where nothing is to be labelled. */
static bool make_labels(const struct wanted *w, const struct results *r, struct buf *out)
{
    const struct sheet_kind *labels = sheets_named("labels");
    struct paper *paper = sheets_make(r, (enum paper_size)w->size, false, &labels, 1);
    return !paper->sheets.n || cmd_make_pdf(paper, out);
}

enum { PAGE, SET, LABELS, FILES };

/* All of them or none, in a folder that is made where it is not there. */
static bool put_files(const struct wanted *w, const struct compilation *c, const struct buf *texts)
{
    static const char *const names[FILES] = {
        [PAGE] = "index.html", [SET] = "sheets.pdf", [LABELS] = "labels.pdf"};
    const char *folder = w->inv->output;
    struct file_text files[FILES];
    int count = texts[LABELS].n ? FILES : LABELS;
    for (int i = 0; i < count; i++) {
        const char *between = ends_in(folder, "/") || !strcmp(folder, "/") ? "" : "/";
        files[i] = (struct file_text){
            .path = arena_printf(w->inv->arena, "%s%s%s", folder, between, names[i]),
            .text = &texts[i]};
        if (!cmd_may_replace(c, files[i].path))
            return false;
    }
    bool made = mkdir(folder, 0777) == 0;
    if (!made && errno != EEXIST) {
        cmd_complain("cannot make the folder %s: %s", folder, strerror(errno));
        return false;
    }
    bool written = cmd_write_files(files, (size_t)count);
    if (!written && made)
        rmdir(folder);
    return written;
}

static bool write_folder(const struct wanted *w, const struct compilation *c,
                         const struct results *r)
{
    struct buf texts[FILES] = {0};
    bool written = make_set(w, r, &texts[SET]) && make_labels(w, r, &texts[LABELS]);
    if (written) {
        book_write_html(r, &texts[PAGE]);
        written = put_files(w, c, texts);
    }
    for (int i = 0; i < FILES; i++)
        buf_free(&texts[i]);
    return written;
}

static bool write_file(const struct wanted *w, const struct results *r)
{
    struct buf out = {0};
    bool made = true;
    if (w->form == AS_SET)
        made = make_set(w, r, &out);
    else
        book_write_html(r, &out);
    bool written = made && cmd_write_output(&out, w->inv->output);
    buf_free(&out);
    return written;
}

static int write_book(const struct wanted *w)
{
    struct compilation c = {0};
    struct results r;
    int status;
    if (cmd_read_results(&c, w->inv, w->inv->operands[0], w->cuts, &r, &status) &&
        !(w->form == AS_FOLDER ? write_folder(w, &c, &r) : write_file(w, &r)))
        status = EXIT_USAGE;
    compile_free(&c);
    return status;
}

int command_book(const struct invocation *inv)
{
    struct wanted w = {.inv = inv};
    if (inv->operand_count != 1 || !inv->output)
        return cmd_complain("book wants one plan and where to write: studbay book PLAN -o "
                            "book.html, book.pdf or a folder");
    if (!read_form(inv->output, &w.form))
        return EXIT_USAGE;
    if (w.form == AS_PAGE && (inv->sheets || inv->paper || inv->permit || inv->job))
        return cmd_complain("--sheets, --paper, --permit and --job are for the set of sheets: -o "
                            "with a name that ends in .pdf, or a folder");
    if (w.form != AS_PAGE && !choose_kinds(&w))
        return EXIT_USAGE;
    w.size = cmd_read_paper_size(inv);
    return w.size < 0 ? EXIT_USAGE : write_book(&w);
}
