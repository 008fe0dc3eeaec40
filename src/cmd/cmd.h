/* Commands: each reads its plans, writes its result and gives the exit status. Nothing outside this
 * folder and main.c prints. */
#ifndef STUDBAY_CMD_CMD_H
#define STUDBAY_CMD_CMD_H

#include "compile.h"
#include "diag/render.h"
#include "libstudbay/handle.h"

enum exit_status { EXIT_FINE = 0, EXIT_PLAN = 1, EXIT_USAGE = 2, EXIT_PROOF = 3 };

struct file_text;
struct results;

/* What was asked for. Options that take no value are "" where they are given. */
struct invocation {
    const struct command *command;
    struct arena *arena;
    const char **operands;
    uint32_t operand_count;
    const char *format, *strict, *only, *output, *stdlib, *write, *check, *circuit, *box, *room,
        *lights, *wall, *level;
    const char *summary, *fix, *diff; /* of check; fix: "" or a rule */
    const char *width, *paper;        /* of text, and of sheets */
    const char *dpi, *sheets, *permit, *job, *stdio;
    const char *cellar, *kitchen, *garage, *shed; /* of new */
    const char *explain, *all, *day, *method, *netlist, *position, *constant_current;
    const char *sheet, *page, *label, *columns, *rows, *margin_left, *margin_top, *pitch_x,
        *pitch_y, *start, *number, *outline, *qr; /* of label sheets */
};

typedef int command_fn(const struct invocation *inv);

struct command {
    const char *name, *usage, *doc, *options, *help;
    command_fn *run;
};

extern const struct command command_table[];
extern const uint32_t command_count;

#define COMMAND(name, function, usage, doc, options, help) command_fn function;
#include "cmd/commands.def"
#undef COMMAND

/* Whether a command takes the option of that name. */
bool cmd_takes(const struct command *command, const char *option);

/* Runs the command line; gives the exit status. */
int command_main(int argc, char **argv);

/* --- for the commands --------------------------------------------------------------------- */

/* "studbay: ..." on standard error; gives EXIT_USAGE. */
int cmd_complain(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* Complains that `name` is no KIND, with the nearest of `names` where one is near; gives
 * EXIT_USAGE. */
int cmd_complain_unknown(const char *kind, const char *name, const char *const *names,
                         uint32_t count);

/* The place of `name` among `names`, or `count`. */
uint32_t cmd_find_name(const char *name, const char *const *names, uint32_t count);

/* Writes to the file, or where `path` is NULL to standard output. False, with a message, where it
 * cannot all be written. */
bool cmd_write_output(const struct buf *b, const char *path);

/* Writes all of the files, or changes none. False, with a message, where that fails. */
bool cmd_write_files(const struct file_text *files, size_t count);

/* Appends the path of a file to what goes to standard output: as a person may read it on a
 * terminal, as it is where a program reads it. */
void cmd_put_path(struct buf *out, const char *path);

/* Writes into the files of a plan what mends its findings: those that are safe and have no other,
 * or those of the rule that --fix names; with --diff nothing is written, and what would be goes to
 * standard output. Gives EXIT_USAGE, with a message, where that fails; with --diff EXIT_PLAN where
 * something would change; else EXIT_FINE. */
int cmd_fix_plan(const struct invocation *inv, const char *path, const struct compilation *library);

/* Whether nothing would be lost by writing to `path`, or to standard output where it is NULL:
 * false, with a message, where it leads to a file that was read for what is to be written. */
bool cmd_may_replace(const struct compilation *c, const char *path);

bool cmd_may_write(const struct studbay_plan *plan, const char *path);

/* Writes to the file what a person wrote and has nowhere else. False, with a message, where it
 * cannot all be written. */
bool cmd_save_file(const struct buf *b, const char *path);

/* Writes to standard error what a person wants to know; nothing depends on it. */
void cmd_write_error(const struct buf *b);

/* The findings as text on standard error. */
void cmd_show_findings(struct diag *d);

/* How wide text is, in cells: as --width says, as --paper has room, else for standard output as
 * COLUMNS or its terminal says, else `otherwise`. False, with a message, where --width is no width.
 */
bool cmd_read_width(const struct invocation *inv, unsigned otherwise, unsigned *width);

/* The lines of a page of --paper, 0 without it. False, with a message, where there is no such
 * paper. */
bool cmd_read_paper(const struct invocation *inv, unsigned *lines);

/* Whether findings on standard error are coloured. */
bool cmd_error_in_color(void);

/* Exit status by the counts of a plan's findings. */
int cmd_plan_status(const struct diag *d, bool strict);

/* Compiles the one plan of a command: its errors and the summary go to standard error. False where
 * there is nothing to work from, and `status` set. `cut_list`: it prints how cuts are allotted to
 * coils. */
bool cmd_open_plan(struct compilation *c, const struct invocation *inv, const char *path,
                   bool cut_list, int *status);

/* The same for a report or drawing, and what it reads. False too where the make-up is not proven,
 * which is told. */
bool cmd_read_results(struct compilation *c, const struct invocation *inv, const char *path,
                      bool cut_list, struct results *r, int *status);

/* The same through the library: what is written from it goes on. Whatever comes of it the plan is
 * to be closed. False where there is nothing to write from, and `status` set. */
bool cmd_open(struct studbay_plan **plan, const struct invocation *inv, const char *path,
              bool cut_list, int *status);

/* Writers: to standard output, to standard error, to a file (NULL: standard output), into memory.
 */
extern const struct studbay_writer cmd_output, cmd_errors;
struct studbay_writer cmd_to_file(const char *path);
struct studbay_writer cmd_to_buf(struct buf *b);

/* Whether a call of the library did what it was to do; else says why not. */
bool cmd_done(const struct studbay_plan *plan, enum studbay_status status);

/* Whether the name of a file ends in ".svg" or the like, whatever that is; whether a path is that
 * of a folder that is there, or is written as one, with / at its end. */
bool cmd_has_ending(const char *path);
bool cmd_is_folder(const char *path);

/* The format that --format says, or else the end of the output's name, of those; NULL where neither
 * says one. False, with a message, where it is unknown, the name ends in something else, or they
 * are two. */
bool cmd_read_format(const struct invocation *inv, const char *const *names, uint32_t count,
                     const char **format);

/* The seconds of SOURCE_DATE_EPOCH, -1 where it is not set; false, with a message, where that is no
 * time, or none whose year has four figures. */
bool cmd_read_epoch(int64_t *seconds);

/* The paper that --paper names for sheets, an enum paper_size; -1, with a message, where there is
 * none of that name. */
int cmd_read_paper_size(const struct invocation *inv);

/* The document as PDF with the date of SOURCE_DATE_EPOCH; false, with a message, where there is
 * none. */
struct paper;
bool cmd_make_pdf(const struct paper *paper, struct buf *out);

/* Writes a document by --format, the name of the output, --sheet and --dpi: all sheets as PDF or as
 * one SVG, one as PNG, or each to a file of a folder. What is written is whole or not there. False,
 * with a message, where it cannot be. */
bool cmd_write_paper(const struct invocation *inv, const struct compilation *c,
                     struct paper *paper);

/* The same of sheets, of which `which` names one; NULL: all. */
bool cmd_write_sheets(const struct invocation *inv, const struct compilation *c,
                      struct studbay_sheets *sheets, const char *which);

/* Tells on standard error what of the make-up is not proven; gives EXIT_PROOF where that is a
 * defect of ours, else EXIT_PLAN. */
int cmd_tell_unproven(struct compilation *c);

/* What a report, a drawing or a comparison reads, from a compilation that has a model. False where
 * the make-up is not proven: there is nothing to print from. */
bool cmd_results(struct compilation *c, struct results *r);

#endif
