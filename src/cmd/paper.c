/* Sheets of paper as files: a PDF or an SVG of all, a PNG of one, or a folder with a file of each.
 */
#include "cmd/cmd.h"

#include "base/file.h"
#include "paper/paper.h"
#include "paper/pdf.h"
#include "paper/png.h"
#include "paper/svg.h"
#include "paper/targets.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* In the order of the names below. */
enum format { AS_SVG, AS_PDF, AS_PNG, FORMATS };

static const char *const formats[FORMATS] = {"svg", "pdf", "png"};

struct output {
    const struct invocation *inv;
    const struct compilation *c;
    struct paper *paper;
    enum format format;
    unsigned dpi;
    const char *folder; /* NULL: one file, or standard output */
};

/* --- options --------------------------------------------------------------------------------- */

bool cmd_read_epoch(int64_t *seconds)
{
    const long long last = 253402300799; /* 9999-12-31 */
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    *seconds = -1;
    if (!epoch)
        return true;
    bool figures = *epoch && strspn(epoch, "0123456789") == strlen(epoch) && strlen(epoch) < 13;
    long long value = figures ? strtoll(epoch, NULL, 10) : -1;
    if (value < 0 || value > last) {
        cmd_complain("SOURCE_DATE_EPOCH is '%s', which is no number of seconds since 1970", epoch);
        return false;
    }
    *seconds = value;
    return true;
}

/* What the name of a file ends in, "svg" or whatever; NULL where that is nothing. */
static const char *ending_of(const char *path)
{
    const char *slash = path ? strrchr(path, '/') : NULL, *own = slash ? slash + 1 : path,
               *dot = own ? strrchr(own, '.') : NULL;
    return dot && dot > own && dot[1] ? dot + 1 : NULL;
}

bool cmd_has_ending(const char *path)
{
    return ending_of(path) != NULL;
}

/* Which of the formats that names; NULL where it is none of them. */
static const char *format_named(const char *path, const char *const *names, uint32_t count)
{
    const char *ending = ending_of(path);
    if (ending && !strcasecmp(ending, "txt"))
        ending = "text";
    for (uint32_t i = 0; ending && i < count; i++)
        if (!strcasecmp(ending, names[i]))
            return names[i];
    return NULL;
}

bool cmd_is_folder(const char *path)
{
    struct stat info;
    size_t len = strlen(path);
    return (len && path[len - 1] == '/') || (stat(path, &info) == 0 && S_ISDIR(info.st_mode));
}

/* A slip in the ending of a file that is to be written: neither a format nor a folder is meant by
 * it. */
static bool is_known_ending(const struct invocation *inv, const char *const *names, uint32_t count)
{
    if (!ending_of(inv->output) || cmd_is_folder(inv->output))
        return true;
    struct buf list = {0};
    for (uint32_t i = 0; i < count; i++)
        buf_printf(&list, "%s.%s",
                   !i               ? ""
                   : i + 1 == count ? " or "
                                    : ", ",
                   strcmp(names[i], "text") ? names[i] : "txt");
    bool pictures = cmd_find_name("svg", names, count) < count;
    cmd_complain("%s: the name of a file for this ends in %s; for another name say --format%s",
                 inv->output, buf_text(&list), pictures ? ", and a folder's ends in /" : "");
    buf_free(&list);
    return false;
}

bool cmd_read_format(const struct invocation *inv, const char *const *names, uint32_t count,
                     const char **format)
{
    const char *named = format_named(inv->output, names, count);
    *format = inv->format ? inv->format : named;
    if (!*format && !is_known_ending(inv, names, count))
        return false;
    if (inv->format && cmd_find_name(inv->format, names, count) == count) {
        cmd_complain_unknown("format", inv->format, names, count);
        return false;
    }
    if (inv->format && named && strcmp(inv->format, named) != 0) {
        cmd_complain("--format %s and a file whose name ends in .%s are two things: leave one out",
                     inv->format, named);
        return false;
    }
    return true;
}

static bool read_dpi(const struct invocation *inv, unsigned *dpi)
{
    char *end;
    *dpi = PNG_DPI;
    if (!inv->dpi)
        return true;
    unsigned long n = *inv->dpi >= '0' && *inv->dpi <= '9' ? strtoul(inv->dpi, &end, 10) : 0;
    if (n < PNG_LEAST_DPI || n > PNG_MOST_DPI || *end) {
        cmd_complain("--dpi wants points to the inch from %d to %d, not '%s'", PNG_LEAST_DPI,
                     PNG_MOST_DPI, inv->dpi);
        return false;
    }
    *dpi = (unsigned)n;
    return true;
}

/* --- which sheets ---------------------------------------------------------------------------- */

/* The sheet of that number, "W-17", or the one that is so many from the first, "17". */
static struct sheet *sheet_called(const struct paper *paper, const char *wanted)
{
    for (uint32_t i = 0; i < paper->sheets.n; i++)
        if (!strcasecmp(paper->sheets.at[i]->number, wanted))
            return paper->sheets.at[i];
    char *end;
    unsigned long n = *wanted >= '0' && *wanted <= '9' ? strtoul(wanted, &end, 10) : 0;
    return n && !*end && n <= paper->sheets.n ? paper->sheets.at[n - 1] : NULL;
}

/* Leaves the sheet that --sheet names alone, where it names one. */
static bool choose_sheet(struct output *o)
{
    const char *wanted = o->inv->sheet;
    if (!wanted)
        return true;
    struct sheet *s = sheet_called(o->paper, wanted);
    if (!s) {
        uint32_t count = o->paper->sheets.n;
        const char **numbers = arena_array(o->inv->arena, const char *, count + 1);
        for (uint32_t i = 0; i < count; i++)
            numbers[i] = o->paper->sheets.at[i]->number;
        cmd_complain_unknown("sheet", wanted, numbers, count);
        return false;
    }
    o->paper->sheets.at[0] = s;
    o->paper->sheets.n = 1;
    return true;
}

/* Whether the files go into a folder; false, with a message, where that cannot be told. */
static bool choose_place(struct output *o)
{
    const char *path = o->inv->output, *first = o->paper->sheets.at[0]->number;
    uint32_t count = o->paper->sheets.n;
    bool folder = path && cmd_is_folder(path);
    bool several = count > 1 && o->format != AS_PDF;
    bool one = !path || cmd_has_ending(path) || (!folder && access(path, F_OK) == 0);
    if (several && !folder && one && o->format == AS_PNG) {
        cmd_complain("these are %u sheets and png holds one: -o with a folder, FOLDER/, for a file "
                     "a sheet, -o with x.pdf or x.svg for all in one, or --sheet %s for one",
                     count, first);
        return false;
    }
    if (folder && o->format == AS_PDF) {
        cmd_complain("a PDF is one file, and %s is a folder", path);
        return false;
    }
    o->folder = folder || (several && !one) ? path : NULL;
    return true;
}

/* --- files ----------------------------------------------------------------------------------- */

/* Numbers of sheets are ours; all the same nothing but these letters comes into a name. */
static const char *file_name(struct arena *arena, const struct sheet *s, const char *format)
{
    char *name = arena_printf(arena, "%s", s->number);
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
    for (char *p = name; *p; p++)
        if (!strchr(plain, *p))
            *p = '_';
    return arena_printf(arena, "%s.%s", name, format);
}

struct links {
    struct arena *arena;
    struct targets *targets;
    const struct sheet *from; /* NULL: all are in one picture */
    bool beside;              /* the other sheets lie beside this one */
};

/* A place on this sheet, in a file beside it, or on one above or below it. */
static const char *link_to(void *context, const char *name)
{
    struct links *l = context;
    const struct target *t = targets_find(l->targets, name);
    const char *id = svg_id(l->arena, name);
    if (t && !l->from)
        return arena_printf(l->arena, "#%s%s", svg_prefix(l->arena, t->page, t->sheet), id);
    if (!t || (t->sheet != l->from && !l->beside))
        return NULL;
    return arena_printf(l->arena, "%s#%s",
                        t->sheet == l->from ? "" : file_name(l->arena, t->sheet, "svg"), id);
}

static bool make_file(struct output *o, struct targets *targets, const struct sheet *s,
                      struct buf *out)
{
    struct links links = {o->inv->arena, targets, s, o->folder != NULL};
    const char *fault = NULL;
    if (o->format == AS_PNG)
        fault = png_write(s, o->dpi, out);
    else
        svg_write(s, (struct svg_use){.alone = true, .target = link_to, .context = &links}, out);
    if (fault)
        cmd_complain("%s", fault);
    return !fault;
}

/* All of them, or none. */
static bool put_files(struct output *o, const struct file_text *files)
{
    uint32_t count = o->paper->sheets.n;
    for (uint32_t i = 0; i < count; i++)
        if (!cmd_may_replace(o->c, files[i].path))
            return false;
    bool made = mkdir(o->folder, 0777) == 0;
    if (!made && errno != EEXIST) {
        cmd_complain("cannot make the folder %s: %s", o->folder, strerror(errno));
        return false;
    }
    bool written = cmd_write_files(files, count);
    if (!written && made)
        rmdir(o->folder);
    return written;
}

static bool write_folder(struct output *o, struct targets *targets)
{
    struct arena *arena = o->inv->arena;
    uint32_t count = o->paper->sheets.n;
    size_t len = strlen(o->folder);
    const char *between = len && o->folder[len - 1] == '/' ? "" : "/";
    struct buf *texts = arena_array(arena, struct buf, count);
    struct file_text *files = arena_array(arena, struct file_text, count);
    bool made = true;
    for (uint32_t i = 0; i < count && made; i++) {
        const struct sheet *s = o->paper->sheets.at[i];
        files[i].path = arena_printf(arena, "%s%s%s", o->folder, between,
                                     file_name(arena, s, formats[o->format]));
        files[i].text = &texts[i];
        made = make_file(o, targets, s, &texts[i]);
    }
    bool written = made && put_files(o, files);
    for (uint32_t i = 0; i < count; i++)
        buf_free(&texts[i]);
    return written;
}

bool cmd_make_pdf(const struct paper *paper, struct buf *out)
{
    struct pdf_use use = {.producer = "studbay " STUDBAY_VERSION, .date = PDF_NO_DATE};
    if (!cmd_read_epoch(&use.date))
        return false;
    const char *fault = pdf_write(paper, use, out);
    if (fault)
        cmd_complain("%s", fault);
    return !fault;
}

/* All sheets in one picture. */
static bool make_column(struct output *o, struct targets *targets, struct buf *out)
{
    struct links links = {o->inv->arena, targets, NULL, false};
    svg_write_column(o->paper, (struct svg_use){.target = link_to, .context = &links}, out);
    return true;
}

static bool write_one(struct output *o, struct targets *targets)
{
    struct buf out = {0};
    bool made = cmd_may_replace(o->c, o->inv->output) &&
                (o->format == AS_PDF      ? cmd_make_pdf(o->paper, &out)
                 : o->paper->sheets.n > 1 ? make_column(o, targets, &out)
                                          : make_file(o, targets, o->paper->sheets.at[0], &out));
    bool written = made && cmd_write_output(&out, o->inv->output);
    buf_free(&out);
    return written;
}

bool cmd_write_paper(const struct invocation *inv, const struct compilation *c, struct paper *paper)
{
    const char *format;
    struct output o = {.inv = inv, .c = c, .paper = paper};
    if (!cmd_read_format(inv, formats, FORMATS, &format) || !read_dpi(inv, &o.dpi))
        return false;
    o.format = format ? (enum format)cmd_find_name(format, formats, FORMATS) : AS_SVG;
    if (inv->dpi && o.format != AS_PNG) {
        cmd_complain("--dpi is for png");
        return false;
    }
    if (!paper->sheets.n) {
        cmd_complain("there is nothing in the plan that such a sheet shows");
        return false;
    }
    struct targets *targets = targets_of(inv->arena, paper);
    if (!choose_sheet(&o) || !choose_place(&o))
        return false;
    return o.folder ? write_folder(&o, targets) : write_one(&o, targets);
}
