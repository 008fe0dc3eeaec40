#include "compile.h"

#include "base/file.h"
#include "cuts/cuts.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "framing/ways.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "log/log.h"
#include "model/finding.h"
#include "model/orders.h"
#include "resolve/edit.h"
#include "resolve/embedded.h"
#include "resolve/language.h"
#include "resolve/schema.h"
#include "resolve/match.h"
#include "resolve/mention.h"
#include "resolve/node.h"
#include "resolve/value.h"
#include "rules/geometry/openings.h"
#include "rules/rules.h"
#include "syntax/lexer.h"
#include "wiring/bores.h"
#include "wiring/bundles.h"
#include "wiring/makeup.h"
#include "wiring/protect.h"
#include "wiring/wiring.h"
#include "prove/prove.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LARGEST_FILE = 64 << 20, DEEPEST_INCLUDE = 64 };

/* What the library and a small plan take: room for both at once. */
enum { SMALL_PLAN = 3 << 20 };

static const struct span nowhere;

/* --- sources ------------------------------------------------------------------------------ */

static struct source *add_source(struct compilation *c, const char *path, const char *bytes,
                                 size_t size)
{
    struct source *s = arena_new(&c->arena, struct source);
    *s = (struct source){.path = path,
                         .bytes = bytes,
                         .size = (uint32_t)size,
                         .order = c->source_count,
                         .off_disk = c->unsaved.alone};
    return s;
}

static void keep_source(struct compilation *c, struct source *s)
{
    struct source **list = arena_array(&c->arena, struct source *, c->source_count + 1);
    if (c->source_count)
        memcpy(list, c->sources, c->source_count * sizeof *list);
    list[c->source_count++] = s;
    c->sources = list;
}

RULE(unreadable_file, "unreadable-file", ERROR, FIRM, "every file of the plan can be read");

static const char *folder_of(struct arena *a, const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? arena_copy(a, path, (size_t)(slash + 1 - path)) : "";
}

static const char *resolved(struct arena *a, const char *path)
{
    char real[PATH_MAX];
    return realpath(path, real) ? arena_copy(a, real, strlen(real)) : NULL;
}

/* A path without "." and "..", by its names alone; NULL, with errno set, where it leads out of the
 * folder that it begins in. */
static const char *plain_path(struct arena *a, const char *path)
{
    char *plain = arena_alloc(a, strlen(path) + 1), *end = plain;
    for (const char *at = path; *at; at += *at == '/') {
        size_t n = strcspn(at, "/");
        if (n == 2 && !memcmp(at, "..", n)) {
            if (end == plain) {
                errno = ENOENT;
                return NULL;
            }
            for (end--; end > plain && end[-1] != '/'; end--)
                ;
        } else if (n && !(n == 1 && *at == '.')) {
            memcpy(end, at, n);
            end += n;
            *end = at[n];
            end += at[n] == '/';
        }
        at += n;
    }
    *end = 0;
    return plain;
}

/* The same where there is no disk. */
static const char *path_among_texts(struct compilation *c, const char *path)
{
    const char *plain = plain_path(&c->arena, path);
    size_t size;
    if (plain && c->unsaved.text(c->unsaved.of, plain, &size))
        return plain;
    errno = ENOENT;
    return NULL;
}

/* Where a file lies, links resolved, be it on the disk or open and never saved. NULL, with errno
 * set, where there is none. */
static const char *real_path(struct compilation *c, const char *path)
{
    if (c->unsaved.alone)
        return path_among_texts(c, path);
    const char *real = resolved(&c->arena, path);
    if (real || !c->unsaved.text)
        return real;
    int why = errno;
    const char *folder = folder_of(&c->arena, path), *name = path + strlen(folder),
               *inside = resolved(&c->arena, *folder ? folder : ".");
    size_t size;
    real = inside ? arena_printf(&c->arena, "%s/%s", inside[1] ? inside : "", name) : path;
    if (c->unsaved.text(c->unsaved.of, real, &size))
        return real;
    errno = why;
    return NULL;
}

/* So that nothing is written over it. What is open in an editor may not lie there yet. */
static bool note_read(struct compilation *c, const char *path)
{
    struct stat st;
    if (c->unsaved.alone || !strcmp(path, "-"))
        return true;
    if (stat(path, &st) != 0)
        return c->unsaved.text;
    *vec_push(&c->arena, &c->read) = (struct file_id){st.st_dev, st.st_ino};
    return true;
}

bool compile_has_read(const struct compilation *c, const char *path)
{
    struct stat st;
    if (stat(path, &st) != 0)
        return false;
    for (uint32_t i = 0; i < c->read.n; i++)
        if (c->read.at[i].device == st.st_dev && c->read.at[i].number == st.st_ino)
            return true;
    return false;
}

/* The bytes of a file with a NUL behind them, in the arena, those that are not saved first; NULL
 * with errno set. */
static const char *read_bytes(struct compilation *c, const char *path, size_t *size)
{
    const char *real = c->unsaved.text ? real_path(c, path) : NULL,
               *text = real ? c->unsaved.text(c->unsaved.of, real, size) : NULL;
    if (!text && c->unsaved.alone)
        return NULL;
    if (!text)
        return file_read_into(&c->arena, path, LARGEST_FILE, size);
    errno = EFBIG;
    return *size <= LARGEST_FILE ? arena_copy(&c->arena, text, *size) : NULL;
}

/* Whether a path says where there is nothing: else it is the machine that cannot read. */
static bool is_of_path(int why)
{
    return why == ENOENT || why == ENOTDIR || why == EISDIR || why == ELOOP || why == ENAMETOOLONG;
}

/* A file as a source; NULL with a finding at `where`. */
static struct source *read_source(struct compilation *c, const char *path, struct span where)
{
    size_t size;
    const char *bytes = read_bytes(c, path, &size);
    if (!bytes || !note_read(c, path)) {
        int why = errno;
        c->io_failed |= why != EFBIG && !is_of_path(why);
        if (why == EFBIG)
            diag_add(&c->diag, &rule_limit, where, "%s: the file is larger than %d MB", path,
                     (int)(LARGEST_FILE >> 20));
        else
            diag_add(&c->diag, &rule_unreadable_file, where, "%s: %s", path, strerror(why));
        return NULL;
    }
    return add_source(c, !strcmp(path, "-") ? "<stdin>" : path, bytes, size);
}

static struct node *read_statements(struct compilation *c, struct source *s)
{
    bool whole = lex(&c->diag, s);
    struct node *file = match_source(&c->diag, &c->names, &c->scratch, c->language, s, true);
    file->broken |= !whole;
    return file;
}

static const char outside[] = "leads out of its folder";

/* Why a file may not be read: it lies outside of `root`, a folder without links and with a slash at
 * its end, or it is a pipe or a device, which could be waited for without end. NULL: it may. `real`
 * is where it lies; NULL, with errno set, where there is no such file. */
static const char *why_barred(const struct compilation *c, const char *root, const char *real)
{
    struct stat st;
    if (!real)
        return strerror(errno);
    if (c->unsaved.alone)
        return NULL;
    if (strncmp(real, root, strlen(root)) != 0)
        return outside;
    if (stat(real, &st) == 0 && !S_ISREG(st.st_mode) && !S_ISDIR(st.st_mode))
        return "is no plain file";
    return NULL;
}

static void say_barred(struct compilation *c, struct span where, const char *path, const char *real,
                       const char *why)
{
    diag_add(&c->diag, &rule_unreadable_file, where, "%s%s %s", path, real ? "" : ":", why);
}

/* A folder as why_barred wants it; NULL where there is none. */
static const char *root_of(struct arena *a, const char *folder)
{
    const char *real = resolved(a, *folder ? folder : ".");
    return real && strcmp(real, "/") ? arena_printf(a, "%s/", real) : real;
}

/* --- the library -------------------------------------------------------------------------- */

typedef VEC(struct node *) file_list;

static file_list read_embedded(struct compilation *c)
{
    file_list files = {0};
    vec_reserve(&c->arena, &files, embedded_stdlib_count);
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        const char *path = arena_printf(&c->arena, "stdlib/%s", embedded_stdlib[i].path);
        *vec_push(&c->arena, &files) =
            read_statements(c, add_source(c, path, (const char *)embedded_stdlib[i].bytes,
                                          embedded_stdlib[i].size));
    }
    return files;
}

/* Reads a file that nobody named, only its folder; NULL with a finding. */
static struct source *read_beside(struct compilation *c, const char *root, const char *path)
{
    const char *real = real_path(c, path), *why = why_barred(c, root ? root : "", real);
    if (!why)
        return read_source(c, path, nowhere);
    say_barred(c, nowhere, path, real, why);
    return NULL;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

typedef VEC(const char *) path_list;

static int list_folder(struct compilation *c, const char *folder, path_list *paths, unsigned depth);

/* The same for what lies there. */
static int list_entry(struct compilation *c, const char *path, path_list *paths, unsigned depth)
{
    size_t len = strlen(path);
    struct stat st;
    if (stat(path, &st) != 0)
        return is_of_path(errno) ? 0 : errno; /* a link that leads nowhere */
    if (S_ISDIR(st.st_mode) && depth < 4)
        return list_folder(c, path, paths, depth + 1);
    if (len > 4 && !strcmp(path + len - 4, ".bay"))
        *vec_push(&c->arena, paths) = path;
    return 0;
}

/* Paths of the .bay files below a folder; 0, or the error where not all can be read. */
static int list_folder(struct compilation *c, const char *folder, path_list *paths, unsigned depth)
{
    DIR *d = opendir(folder);
    int why = d ? 0 : errno;
    for (struct dirent *e; d && !why;) {
        errno = 0;
        if (!(e = readdir(d))) {
            why = errno;
            break;
        }
        if (e->d_name[0] != '.')
            why = list_entry(c, arena_printf(&c->arena, "%s/%s", folder, e->d_name), paths, depth);
    }
    if (d)
        closedir(d);
    return why;
}

static file_list read_folder(struct compilation *c, const char *folder)
{
    path_list paths = {0};
    file_list files = {0};
    int why = list_folder(c, folder, &paths, 0);
    if (why || !paths.n) {
        diag_add(&c->diag, &rule_unreadable_file, nowhere, "%s: %s", folder,
                 why ? strerror(why) : "there is no standard library in this folder");
        c->io_failed = true;
        return files;
    }
    qsort(paths.at, paths.n, sizeof *paths.at, by_name);
    const char *root = root_of(&c->arena, folder);
    for (uint32_t i = 0; i < paths.n; i++) {
        struct source *s = read_beside(c, root, paths.at[i]);
        if (!s) { /* what the others say of it would be told as faults of theirs */
            c->io_failed = true;
            return (file_list){0};
        }
        *vec_push(&c->arena, &files) = read_statements(c, s);
    }
    return files;
}

/* --- includes ----------------------------------------------------------------------------- */

/* A file that was read, by its resolved path. */
struct included {
    const char *path;
    struct source *source;
};

struct including {
    struct compilation *c;
    const char *root; /* the first file's folder, links resolved, with a slash at its end */
    const char *open[DEEPEST_INCLUDE];
    unsigned depth;
    bool unread; /* one that is named was not read: what it holds is not known */
    VEC(struct included) done;
};

static bool among(const char *path, const char *const *list, unsigned count)
{
    for (unsigned i = 0; i < count; i++)
        if (!strcmp(list[i], path))
            return true;
    return false;
}

static void splice_includes(struct including *in, struct node *file, const char *path);

RULE(include_cycle, "include-cycle", ERROR, FIRM,
     "no file includes itself, directly or round a corner");

/* Whether the name of a file that is not there climbs out of the root, which is told in the same
 * words as of one that is there: what lies outside is nobody's business. */
static bool leads_out(const char *root, struct compilation *c, const char *from, const char *name)
{
    int why = errno, depth = 0;
    const char *folder = folder_of(&c->arena, from),
               *real = resolved(&c->arena, *folder ? folder : ".");
    size_t n = strlen(root);
    if (real && strlen(real) >= n) /* that of the file lies below the root */
        for (const char *p = real + n - 1; *p; p++)
            depth += *p == '/';
    for (const char *p = name; *p && depth >= 0; p += strcspn(p, "/"), p += *p == '/')
        if (strncmp(p, "./", 2) != 0 && *p != '/')
            depth += !strncmp(p, "../", 3) ? -1 : 1;
    errno = why;
    return depth < 0;
}

/* The statements of the included file, or NULL: it was read before, or it cannot be read. */
static struct node *include_file(struct including *in, const struct node *n, const char *from)
{
    struct compilation *c = in->c;
    const char *name = node_value(n, 0)->name;
    struct span span = value_span(n, node_value(n, 0));
    if (*name == '/' || strchr(name, '\\')) {
        diag_add(&c->diag, &rule_unreadable_file, span,
                 "an include names a file by its path from this file's folder, with '/'");
        return NULL;
    }
    const char *path = arena_printf(&c->arena, "%s%s", folder_of(&c->arena, from), name);
    const char *real = real_path(c, path);
    c->io_failed |= !real && !is_of_path(errno);
    bool out = !real && !c->unsaved.alone && leads_out(in->root, c, from, name);
    const char *why = out ? outside : why_barred(c, in->root, real);
    if (why) {
        bool there = real || why == outside;
        say_barred(c, span, there ? name : path, there ? name : NULL, why);
        *vec_push(&c->arena, &c->missing) = path;
        return NULL;
    }
    if (among(real, in->open, in->depth)) {
        struct finding *f = diag_add(&c->diag, &rule_include_cycle, span,
                                     "%s is being read already: it includes itself", name);
        diag_mend(&c->diag, f, "leave this include out: the order of files means nothing");
        edit_remove(edit_way(&c->diag, f, true, "leave this include out"), n);
        return NULL;
    }
    for (uint32_t i = 0; i < in->done.n; i++)
        if (!strcmp(real, in->done.at[i].path)) {
            mention_file(c->mentions, n, node_value(n, 0), in->done.at[i].source);
            return NULL;
        }
    if (in->depth == DEEPEST_INCLUDE) {
        diag_add(&c->diag, &rule_limit, span, "includes are nested deeper than %d",
                 (int)DEEPEST_INCLUDE);
        return NULL;
    }
    struct source *s = read_source(c, path, span);
    if (!s)
        return NULL;
    keep_source(c, s);
    mention_file(c->mentions, n, node_value(n, 0), s);
    struct node *file = read_statements(c, s);
    in->open[in->depth++] = real;
    splice_includes(in, file, path);
    in->depth--;
    *vec_push(&c->arena, &in->done) = (struct included){real, s};
    return file;
}

/* Puts the statements of every included file in the place of its include. */
static void splice_includes(struct including *in, struct node *file, const char *path)
{
    struct node **link = &file->child;
    file->last_child = NULL;
    while (*link) {
        struct node *n = *link;
        uint32_t said = in->c->diag.said;
        struct node *more = n->form == F_INCLUDE && !n->broken ? include_file(in, n, path) : NULL;
        in->unread |=
            n->form == F_INCLUDE && (more ? more->broken : n->broken || in->c->diag.said > said);
        if (more && more->child) {
            more->last_child->next = n->next;
            *link = more->child;
            file->last_child = more->last_child;
            link = &more->last_child->next;
        } else {
            file->last_child = n;
            link = &n->next;
        }
    }
}

static struct node *read_plan(struct compilation *c, const char *path)
{
    struct source *s = read_source(c, path, nowhere);
    if (!s) {
        c->io_failed = true;
        return NULL;
    }
    keep_source(c, s);
    struct including in = {.c = c};
    const char *real = strcmp(path, "-") ? real_path(c, path) : NULL;
    if (!real && strcmp(path, "-") != 0 && !is_of_path(errno)) {
        diag_add(&c->diag, &rule_unreadable_file, nowhere, "%s: %s", path, strerror(errno));
        c->io_failed = true;
        return NULL;
    }
    const char *here = real || c->unsaved.alone ? NULL : resolved(&c->arena, ".");
    in.root = real ? folder_of(&c->arena, real) : here ? arena_printf(&c->arena, "%s/", here) : "/";
    if (real)
        in.open[in.depth++] = real;
    struct node *file = read_statements(c, s);
    splice_includes(&in, file, strcmp(path, "-") ? path : "");
    file->broken |= in.unread;
    return file;
}

/* --- the pipeline ------------------------------------------------------------------------- */

static void start(struct compilation *c, struct arena_way_out *out, struct unsaved unsaved)
{
    memset(c, 0, sizeof *c);
    c->unsaved = unsaved;
    c->arena.out_of_memory = c->scratch.out_of_memory = out;
    c->diag.arena = &c->arena;
    c->names.arena = &c->arena;
    c->lib.diag = &c->diag;
    c->lib.names = &c->names;
}

/* With a language and names of its own. */
static void start_alone(struct compilation *c, struct arena_way_out *out, struct unsaved unsaved)
{
    start(c, out, unsaved);
    arena_reserve(&c->arena, SMALL_PLAN);
    c->language = language_new(&c->arena, &c->names);
}

static file_list read_library(struct compilation *c, const char *stdlib)
{
    c->stdlib = stdlib ? arena_copy(&c->arena, stdlib, strlen(stdlib)) : NULL;
    file_list files = stdlib ? read_folder(c, stdlib) : read_embedded(c);
    library_add(&c->lib, files.at, files.n, false);
    return files;
}

/* What is wrong with a library is told with each plan, so then each reads it. */
static bool may_share(const struct compilation *library)
{
    return library && !library->diag.said && !library->io_failed;
}

static void share_library(struct compilation *c, const struct compilation *library)
{
    c->language = library->language;
    c->names.parent = &library->names;
    c->stdlib = library->stdlib;
    library_share(&c->lib, &library->lib);
    vec_share(&c->diag.words, &library->diag.words);
    vec_share(&c->read, &library->read);
}

/* What lies beside the plan by a name that is the plan's, or that was `named`; NULL where nothing
 * does, or, with a finding, where it cannot be read. A link that leads nowhere is not nothing. */
static struct source *read_what_lies(struct compilation *c, const char *path, bool named)
{
    struct stat st;
    bool alone = c->unsaved.alone;
    int why = named ? 0 : alone ? ENOENT : lstat(path, &st) != 0 ? errno : 0;
    if (is_of_path(why) && !real_path(c, path))
        return NULL;
    struct source *s = NULL;
    const char *root = alone ? NULL : root_of(&c->arena, folder_of(&c->arena, path));
    if (why && !is_of_path(why))
        diag_add(&c->diag, &rule_unreadable_file, nowhere, "%s: %s", path, strerror(why));
    else
        s = read_beside(c, root, path);
    if (!s)
        c->io_failed = true;
    return s;
}

/* The site log beside the plan, or the one that was named; NULL where there is none: a plan without
 * one is as good. */
static struct source *read_log(struct compilation *c, const char *plan, const char *named)
{
    const char *path = named ? named : log_path(&c->arena, plan);
    return c->log_source = path ? read_what_lies(c, path, named) : NULL;
}

/* The price list beside the plan: its own, else that of its folder. NULL where there is none. */
static struct source *read_price_list(struct compilation *c, const char *plan)
{
    for (int own = 1; own >= 0; own--) {
        const char *path = model_price_list(&c->arena, plan, own);
        c->price_source = path ? read_what_lies(c, path, false) : NULL;
        if (c->price_source || c->io_failed)
            break;
    }
    return c->price_source;
}

void compile_ask_for_printed_tables(struct code *code)
{
    static const enum book_table printed[] = {TABLE_BOX_SPACE,      TABLE_INSPECTION_LINES,
                                              TABLE_MATERIALS,      TABLE_CABLE_HARDWARE,
                                              TABLE_SUPPORT_WIDTHS, LIST_WHIPS};
    for (size_t i = 0; i < sizeof printed / sizeof *printed; i++)
        code_table(code, printed[i]);
}

/* The make-up and its proof: nothing is said or printed of what was not proven. Where findings
 * alone are wanted the verdict is kept. */
static void prove_makeup(struct compilation *c, bool only_findings)
{
    struct makeup *made =
        wiring_make_up(only_findings ? &c->scratch : &c->arena, c->model, c->wiring);
    c->verdict = prove(&c->arena, c->model, made);
    if (only_findings)
        arena_free(&c->scratch);
    else
        c->makeup = made;
}

/* The plan, behind its library; false where one of them cannot be read. */
static bool read_files(struct compilation *c, const char *path, struct node **file)
{
    *file = read_plan(c, path);
    arena_free(&c->scratch);
    if (!*file || c->io_failed)
        return false;
    library_add(&c->lib, file, 1, true);
    if (c->stdlib)
        schema_check_library(&c->lib);
    return true;
}

static void wire_runs(struct compilation *c)
{
    struct code *code = &c->model->code;
    code->reader = "loads";
    int *gauges = drop_gauges(&c->arena, c->model, c->routes);
    code->reader = "wiring";
    c->wiring = wire(&c->arena, c->model, c->routes, c->loads->asks, gauges);
}

/* Ways go to where boxes are set, and how wide those are rests on what is in them. */
static void route_and_wire(struct compilation *c)
{
    struct code *code = &c->model->code;
    code->reader = "framing";
    c->routes = route_runs(&c->arena, c->model, c->known_ways);
    code->reader = "loads";
    c->loads = loads_work_out(&c->arena, c->model);
    wire_runs(c);
}

enum { ROUNDS = 3 };

/* What a bundle leaves to a cable that was chosen is known when it has its holes: where that is too
 * little it is chosen anew, and so may lie in others then. */
static void lay_bundles(struct compilation *c)
{
    c->bores = bores_work_out(&c->arena, c->model, c->routes, c->wiring);
    for (int i = 0;
         i < ROUNDS && bundles_lay(c->model, c->routes, c->wiring, c->bores, c->loads->asks); i++) {
        diag_forget_looked(&c->diag);
        wire_runs(c);
        c->bores = bores_work_out(&c->arena, c->model, c->routes, c->wiring);
    }
}

/* Larger cables may want larger boxes, which are set elsewhere. */
static void lay_cables(struct compilation *c)
{
    route_and_wire(c);
    if (wiring_widens_boxes(c->model, c->wiring)) {
        diag_forget_looked(&c->diag);
        route_and_wire(c);
    }
    lay_bundles(c);
    for (int i = 0; i < ROUNDS && wiring_widens_boxes(c->model, c->wiring); i++) {
        diag_forget_looked(&c->diag);
        route_and_wire(c);
        lay_bundles(c);
    }
}

/* What the log has closed is known by its names of runs, whose ways and cables are needed for that:
 * where something was left behind a finish they are worked out anew, and the log is read again. */
static void follow_log(struct compilation *c, struct source *log)
{
    if (!log)
        return;
    c->log = log_read(&c->arena, c->model, c->routes, c->wiring, log);
    if (!log_note_closed(&c->arena, c->log, c->model, c->routes, c->wiring))
        return;
    diag_forget_looked(&c->diag);
    lay_cables(c);
    c->log = log_read(&c->arena, c->model, c->routes, c->wiring, log);
}

static void read_stages(struct compilation *c, const char *path)
{
    struct node *file;
    if (!read_files(c, path, &file))
        return;
    c->model = model_build(&c->arena, &c->diag, &c->names, c->language, &c->lib, file);
    model_mention_patterns(c->model, c->language, file);
    struct source *prices = read_price_list(c, path);
    if (prices)
        model_read_prices(c->model, &c->diag, prices);
    c->read_findings = c->diag.findings.n;
}

static void judge_stages(struct compilation *c, const char *path,
                         const struct compile_options *options)
{
    struct code *code = &c->model->code;
    code->reader = "facts";
    facts_work_out(c->model);
    diag_keep_looked(&c->diag);
    lay_cables(c);
    follow_log(c, read_log(c, path, options->log));
    prove_makeup(c, options->only_findings);
    code->reader = "loads";
    c->panels = panels_lay_out(&c->arena, c->model, c->loads);
    loads_find_drops(&c->arena, c->model, c->routes, c->wiring, c->panels, c->loads);
    code->reader = "cuts";
    c->cuts = cuts_plan(&c->arena, c->model, c->routes, c->wiring, c->log,
                        options->cut_steps ? options->cut_steps : CUTS_QUICK);
    code->reader = "protection";
    c->protected = protect(&c->arena, c->model, c->routes, c->wiring);
    struct checked checked = compile_checked(c);
    rules_run(&checked);
    code->reader = NULL;
    compile_ask_for_printed_tables(code);
    code_vouch(code);
    model_apply_waivers(c->model);
}

struct checked compile_checked(struct compilation *c)
{
    return (struct checked){.model = c->model,
                            .routes = c->routes,
                            .wiring = c->wiring,
                            .bores = c->bores,
                            .loads = c->loads,
                            .cuts = c->cuts,
                            .log = c->log,
                            .protected = c->protected,
                            .openings = openings_find(&c->arena, c->model, c->routes->frame),
                            .panels = c->panels,
                            .verdict = c->verdict,
                            .dwellings = rooms_of_dwellings(&c->arena, c->model)};
}

/* A compilation with its library, for a plan. */
static void begin_plan(struct compilation *c, struct arena_way_out *out,
                       const struct compile_options *options)
{
    const struct compilation *library = options->library;
    if (may_share(library)) {
        start(c, out, options->unsaved);
        c->diag.only = options->only;
        share_library(c, library);
    } else {
        start_alone(c, out, options->unsaved);
        c->diag.only = options->only;
        c->unsaved.alone = false; /* the library is of the disk, if it is not built in */
        read_library(c, library ? library->stdlib : options->stdlib);
        c->unsaved.alone = options->unsaved.alone;
    }
}

static bool is_of_plan(const struct compilation *c, const struct source *s)
{
    return s && s->order < c->source_count && c->sources[s->order] == s;
}

/* Mends are written into the plan's own text, not into the library; one that has nothing to write
 * is none. */
static void keep_mends_of_plan(struct compilation *c)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        struct finding *f = &c->diag.findings.at[i];
        uint32_t kept = 0;
        for (uint32_t k = 0; k < f->mends.n; k++) {
            bool own = f->mends.at[k].edits.n > 0;
            for (uint32_t e = 0; e < f->mends.at[k].edits.n; e++)
                own = own && is_of_plan(c, f->mends.at[k].edits.at[e].source);
            if (own)
                f->mends.at[kept++] = f->mends.at[k];
        }
        f->mends.n = kept;
    }
}

static struct arena_pool *pool_of(const struct compile_options *options)
{
    return options->resident ? &options->resident->pool : NULL;
}

/* Give back what was taken, then say so: the record of this finding fits into what is free now. */
static void say_no_memory(struct compilation *c)
{
    compile_free(c);
    memset(c, 0, sizeof *c);
    c->diag.arena = &c->arena;
    c->io_failed = c->out_of_memory = true;
    diag_add(&c->diag, &rule_limit, nowhere, "there is not enough memory for this plan");
}

void compile_read(struct compilation *c, const char *path, struct compile_options options)
{
    struct arena_way_out out = {.pool = pool_of(&options)};
    if (setjmp(out.to)) {
        say_no_memory(c);
    } else {
        begin_plan(c, &out, &options);
        c->pool = out.pool;
        if (options.mentions)
            c->lib.mentions = c->mentions = mention_begin(&c->arena);
        read_stages(c, path);
    }
    c->arena.out_of_memory = c->scratch.out_of_memory = NULL;
}

struct diag compile_read_findings(const struct compilation *c, struct arena *arena)
{
    struct diag found = c->diag;
    found.arena = arena;
    found.findings = (finding_list){0};
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        *vec_push(arena, &found.findings) = c->diag.findings.at[i];
    diag_finish(&found);
    return found;
}

/* Takes up what the compilations before left. */
static void take_up(struct compilation *c, struct resident *resident, struct arena_way_out *out)
{
    c->arena.out_of_memory = c->scratch.out_of_memory = out;
    c->known_ways = resident ? &resident->ways : NULL;
    if (resident)
        ways_turn(&resident->ways, out);
}

static void leave_off(struct compilation *c, struct resident *resident)
{
    c->arena.out_of_memory = c->scratch.out_of_memory = NULL;
    c->known_ways = NULL;
    if (resident)
        resident->ways.now.arena.out_of_memory = NULL;
}

void compile_judge(struct compilation *c, const char *path, struct compile_options options)
{
    struct arena_way_out out = {.pool = pool_of(&options)};
    if (setjmp(out.to)) {
        if (options.resident)
            ways_free(&options.resident->ways);
        say_no_memory(c);
    } else {
        take_up(c, options.resident, &out);
        if (c->model)
            judge_stages(c, path, &options);
        keep_mends_of_plan(c);
    }
    leave_off(c, options.resident);
    diag_finish(&c->diag);
}

void compile(struct compilation *c, const char *path, struct compile_options options)
{
    compile_read(c, path, options);
    compile_judge(c, path, options);
}

bool compile_library(struct compilation *c, const char *stdlib)
{
    start_alone(c, NULL, (struct unsaved){0});
    file_list files = read_library(c, stdlib);
    arena_free(&c->scratch);
    for (uint32_t i = 0; i < files.n; i++)
        source_index(&c->arena, files.at[i]->source);
    library_merge_tables(&c->lib);
    arena_seal(&c->arena);
    return !c->io_failed;
}

struct source *compile_form(struct compilation *c, const char *path, struct unsaved unsaved)
{
    start_alone(c, NULL, unsaved);
    struct source *s = read_source(c, path, nowhere);
    if (s) {
        keep_source(c, s);
        lex(&c->diag, s);
        match_source(&c->diag, &c->names, &c->scratch, c->language, s, false);
    } else {
        c->io_failed = true;
    }
    diag_finish(&c->diag);
    return s;
}

struct node *compile_file(struct compilation *c, const char *path, struct compile_options options)
{
    begin_plan(c, NULL, &options);
    struct source *s = read_source(c, path, nowhere);
    struct node *file = NULL;
    if (s) {
        keep_source(c, s);
        file = read_statements(c, s);
    } else {
        c->io_failed = true;
    }
    diag_finish(&c->diag);
    return file;
}

void compile_free(struct compilation *c)
{
    arena_free_into(&c->scratch, c->pool);
    arena_free_into(&c->arena, c->pool);
}

void compile_resident_free(struct resident *r)
{
    ways_free(&r->ways);
    arena_pool_free(&r->pool);
}
