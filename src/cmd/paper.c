/* Sheets of paper as files: a PDF or an SVG of all, a PNG of one, or a folder with a file of each.
 */
#include "cmd/cmd.h"

#include "base/file.h"
#include "paper/paper.h"
#include "paper/pdf.h"
#include "paper/png.h"

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
    struct studbay_sheets *sheets;
    size_t first, count; /* which of them */
    enum format format;
    struct studbay_wants wants;
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

/* The sheet of that number, "W-17", or the one that is so many from the first, "17"; the count of
 * them where there is none. */
static size_t sheet_called(const struct studbay_sheets *sheets, const char *wanted)
{
    size_t count, i = 0;
    const struct studbay_sheet *const *list = studbay_sheet_list(sheets, &count);
    while (i < count && strcasecmp(list[i]->number, wanted) != 0)
        i++;
    char *end;
    unsigned long n =
        i == count && *wanted >= '0' && *wanted <= '9' ? strtoul(wanted, &end, 10) : 0;
    return n && !*end && n <= count ? n - 1 : i;
}

/* Leaves the sheet that --sheet names alone, where it names one. */
static bool choose_sheet(struct output *o, const char *wanted)
{
    const struct studbay_sheet *const *list = studbay_sheet_list(o->sheets, &o->count);
    if (!wanted)
        return true;
    o->first = sheet_called(o->sheets, wanted);
    if (o->first < o->count) {
        o->count = 1;
        return true;
    }
    const char **numbers = arena_array(o->inv->arena, const char *, o->count + 1);
    for (size_t i = 0; i < o->count; i++)
        numbers[i] = list[i]->number;
    cmd_complain_unknown("sheet", wanted, numbers, (uint32_t)o->count);
    return false;
}

static const struct studbay_sheet *sheet_at(const struct output *o, size_t i)
{
    return studbay_sheet_list(o->sheets, NULL)[o->first + i];
}

/* Whether the files go into a folder; false, with a message, where that cannot be told. */
static bool choose_place(struct output *o)
{
    const char *path = o->inv->output, *first = sheet_at(o, 0)->number;
    uint32_t count = (uint32_t)o->count;
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

/* One of them, or all where there are several. */
static bool make_file(struct output *o, size_t which, struct buf *out)
{
    if (o->sheets->plan)
        return cmd_done(o->sheets->plan,
                        studbay_write_sheet(o->sheets, which, &o->wants, cmd_to_buf(out)));
    const char *fault = handle_make_sheet(o->sheets, which, &o->wants, out);
    if (fault)
        cmd_complain("%s", fault);
    return !fault;
}

/* All of them, or none. */
static bool put_files(struct output *o, const struct file_text *files)
{
    size_t count = o->count;
    for (size_t i = 0; i < count; i++)
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

static bool write_folder(struct output *o)
{
    struct arena *arena = o->inv->arena;
    size_t count = o->count;
    size_t len = strlen(o->folder);
    const char *between = len && o->folder[len - 1] == '/' ? "" : "/";
    struct buf *texts = arena_array(arena, struct buf, count);
    struct file_text *files = arena_array(arena, struct file_text, count);
    bool made = true;
    for (size_t i = 0; i < count && made; i++) {
        files[i].path = arena_printf(arena, "%s%s%s.%s", o->folder, between, sheet_at(o, i)->file,
                                     formats[o->format]);
        files[i].text = &texts[i];
        made = make_file(o, o->first + i, &texts[i]);
    }
    bool written = made && put_files(o, files);
    for (size_t i = 0; i < count; i++)
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

static bool write_one(struct output *o)
{
    struct buf out = {0};
    bool whole = o->count == o->sheets->count;
    bool written = cmd_may_replace(o->c, o->inv->output) &&
                   make_file(o, whole ? STUDBAY_EVERY_SHEET : o->first, &out) &&
                   cmd_write_output(&out, o->inv->output);
    buf_free(&out);
    return written;
}

/* What the options say of how they are written. */
static bool read_options(struct output *o)
{
    const char *format;
    if (!cmd_read_format(o->inv, formats, FORMATS, &format) || !read_dpi(o->inv, &o->wants.dpi))
        return false;
    o->format = format ? (enum format)cmd_find_name(format, formats, FORMATS) : AS_SVG;
    o->wants.format = formats[o->format];
    if (o->inv->dpi && o->format != AS_PNG) {
        cmd_complain("--dpi is for png");
        return false;
    }
    return true;
}

static bool read_date(struct output *o)
{
    bool read = o->format != AS_PDF || cmd_read_epoch(&o->wants.date);
    o->wants.dated = o->format == AS_PDF && o->wants.date >= 0;
    return read;
}

bool cmd_write_sheets(const struct invocation *inv, const struct compilation *c,
                      struct studbay_sheets *sheets, const char *which)
{
    struct output o = {.inv = inv, .c = c, .sheets = sheets, .wants = {.size = sizeof o.wants}};
    if (!read_options(&o))
        return false;
    if (!sheets->count) {
        cmd_complain("there is nothing in the plan that such a sheet shows");
        return false;
    }
    if (!choose_sheet(&o, which) || !choose_place(&o) || !read_date(&o))
        return false;
    o.wants.beside = o.folder != NULL;
    return o.folder ? write_folder(&o) : write_one(&o);
}

bool cmd_write_paper(const struct invocation *inv, const struct compilation *c, struct paper *paper)
{
    struct studbay_sheets sheets = {.plan = NULL};
    handle_fill_sheets(&sheets, inv->arena, paper);
    return cmd_write_sheets(inv, c, &sheets, inv->sheet);
}
