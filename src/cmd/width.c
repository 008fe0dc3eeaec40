/* How wide text is, and how long its pages are. */
#include "cmd/cmd.h"

#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { NARROWEST = 20, WIDEST = 1000 };

/* Sheets of paper as a line printer of ten letters to the inch and six lines writes on them, with
 * room at the edges. */
static const struct paper {
    const char *name;
    unsigned width, lines;
} papers[] = {{"letter", 80, 55}, {"a4", 78, 59}};

enum { PAPERS = sizeof papers / sizeof *papers };

static const struct paper *paper_named(const char *name)
{
    for (int i = 0; i < PAPERS; i++)
        if (!strcmp(papers[i].name, name))
            return &papers[i];
    return NULL;
}

/* The number that a text is, or 0 where it is none that a width can be. */
static unsigned width_of(const char *text)
{
    char *end;
    long n = text && *text >= '0' && *text <= '9' ? strtol(text, &end, 10) : 0;
    return n >= NARROWEST && n <= WIDEST && !*end ? (unsigned)n : 0;
}

/* Of the terminal that standard output is; 0: it is none. */
static unsigned terminal_width(void)
{
    struct winsize size;
    if (!isatty(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0)
        return 0;
    return size.ws_col >= NARROWEST && size.ws_col <= WIDEST ? size.ws_col : 0;
}

bool cmd_read_width(const struct invocation *inv, unsigned otherwise, unsigned *width)
{
    *width = width_of(inv->width);
    if (inv->width && !*width) {
        cmd_complain("--width wants a number from %d to %d, not '%s'", NARROWEST, WIDEST,
                     inv->width);
        return false;
    }
    const struct paper *paper = inv->paper ? paper_named(inv->paper) : NULL;
    if (!*width && paper)
        *width = paper->width;
    if (!*width && !inv->output) {
        *width = width_of(getenv("COLUMNS"));
        *width = *width ? *width : terminal_width();
    }
    *width = *width ? *width : otherwise;
    return true;
}

bool cmd_read_paper(const struct invocation *inv, unsigned *lines)
{
    const struct paper *paper = inv->paper ? paper_named(inv->paper) : NULL;
    const char *names[PAPERS];
    for (int i = 0; i < PAPERS; i++)
        names[i] = papers[i].name;
    *lines = paper ? paper->lines : 0;
    if (inv->paper && !paper)
        cmd_complain_unknown("paper", inv->paper, names, PAPERS);
    return !inv->paper || paper;
}
