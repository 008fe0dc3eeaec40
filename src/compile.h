/* The pipeline: source -> syntax -> model -> (framing, wiring, proof, loads, cuts, rules). The only
 * file that knows all stages. */
#ifndef STUDBAY_COMPILE_H
#define STUDBAY_COMPILE_H

#include "diag/diag.h"
#include "framing/ways.h"
#include "model/model.h"

/* A file that was read, whatever names lead to it. */
struct file_id {
    uint64_t device, number;
};

/* The text of a file that somebody has open and has not saved, by where it lies, links resolved;
 * its bytes are copied. NULL: that of the disk counts. */
typedef const char *unsaved_text(const void *of, const char *real, size_t *size);

struct unsaved {
    unsaved_text *text; /* NULL: nobody has any open */
    const void *of;
    bool alone; /* there is no disk: these texts are all files, by their paths from the plan's own
                   folder */
};

struct compilation {
    struct arena arena;
    struct arena scratch; /* of one statement while it is read */
    struct diag diag;
    struct names names;
    const struct language *language;
    struct library lib;
    struct unsaved unsaved;
    const char *stdlib;      /* the folder that the library was read from; NULL: it is built in */
    struct source **sources; /* of the plan, in the order in which they were read; sources[0] is the
                                file that was named */
    uint32_t source_count;
    struct source *log_source;   /* the site log as a text; NULL: there is none */
    struct source *price_source; /* the price list as a text; NULL: there is none */
    VEC(struct file_id) read;    /* every file of the plan, its log and its library */
    VEC(const char *) missing;   /* paths of what is included and could not be read */
    struct model *model;         /* NULL where there was nothing to build on */
    struct routes *routes;
    struct wiring *wiring;
    struct bores *bores;
    struct makeup *makeup;   /* NULL where only findings were asked for */
    struct verdict *verdict; /* of the make-up: what is not proven is not printed */
    struct loads *loads;
    struct panels *panels;
    struct cuts *cuts;
    struct site_log *log; /* NULL: there is no log beside the plan */
    struct protected *protected;
    struct known_ways *known_ways; /* of `resident`, while it is judged */
    struct arena_pool *pool;       /* the same: what it takes comes from there, and goes back */
    struct mentions *mentions;     /* what each name of the text means; NULL: nobody asked */
    uint32_t read_findings; /* those whose order is no higher were found while the text was read */
    bool io_failed;      /* the named file, its log or the library could not be read, or the machine
                          * could not read an included one: exit status 2 */
    const char *untried; /* why a trial of edits of it could not be compiled; NULL: each could */
    bool out_of_memory;  /* there was not enough for this plan, and it says nothing else */
};

/* What a compilation leaves to the next one of the same plan, with another text: that one comes to
 * the same as it would alone, sooner. Zeroed to begin with; it outlives them. */
struct resident {
    struct known_ways ways;
    struct arena_pool pool;
};

struct compile_options {
    const char *stdlib;                /* folder to read the library from; NULL: the one built in */
    const struct compilation *library; /* of compile_library: it stands behind the plan and is not
                                          read again; NULL: the plan's own is read, from `stdlib` */
    struct unsaved unsaved;            /* texts that stand for those of the disk */
    struct resident *resident; /* of the compilations of this plan before; NULL: nobody keeps any */
    const char *log;           /* site log; NULL: the one beside the plan, where there is one */
    const char *only; /* the rule whose findings alone will be shown, or NULL: what other rules find
                         leaves room for them */
    bool mentions;    /* what each name means is wanted (resolve/mention.h) */
    bool only_findings; /* nothing will be printed of the work: no make-up is kept */
    uint64_t cut_steps; /* bounds the search for how the cuts are allotted to coils: CUTS_EXACT
                           where that will be printed; 0: only for what is too long */
};

/* Compiles a plan ("-" is standard input). Everything that is wrong with it is in c->diag, sorted
 * and counted. The compilation owns all memory. */
void compile(struct compilation *c, const char *path, struct compile_options options);

/* The same in two steps, with the same path and options: who waits learns between them what is
 * wrong with the text itself. What was read may be freed instead of judged. */
void compile_read(struct compilation *c, const char *path, struct compile_options options);
void compile_judge(struct compilation *c, const char *path, struct compile_options options);

/* What was found up to there, sorted and counted, in an arena of one's own; it points into the
 * compilation, which is not changed. */
struct diag compile_read_findings(const struct compilation *c, struct arena *arena);

/* Whether a path leads to a file that the compilation read: nothing may be written over it. */
bool compile_has_read(const struct compilation *c, const char *path);

/* The library alone: its definitions and words in c->lib and c->diag. False where it cannot be
 * read. It may stand behind any number of plans, which do not change it, and must outlive them;
 * where something is wrong with it each plan reads its own, and tells that. */
bool compile_library(struct compilation *c, const char *stdlib);

/* Asks for the tables that reports and drawings alone read: where one is missing that is told with
 * the other findings. */
void compile_ask_for_printed_tables(struct code *code);

/* What the rules look at, of a compilation with a model. */
struct checked compile_checked(struct compilation *c);

/* Lexes and lays out one file for the formatter: findings of the form in c->diag, the source
 * returned, or NULL where it cannot be read. */
struct source *compile_form(struct compilation *c, const char *path, struct unsaved unsaved);

/* One file by itself, includes left alone: its statements matched, in an arena of the compilation;
 * its source is sources[0]. NULL where it cannot be read. */
struct node *compile_file(struct compilation *c, const char *path, struct compile_options options);

void compile_free(struct compilation *c);

/* When none of its compilations is left. */
void compile_resident_free(struct resident *r);

#endif
