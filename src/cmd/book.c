/* studbay book: the job book, all of a plan as one file for the phone. */
#include "cmd/cmd.h"

#include "book/book.h"
#include "emit/results.h"

#include <string.h>

static bool ends_in(const char *path, const char *ending)
{
    size_t len = strlen(path), n = strlen(ending);
    return len > n && !strcmp(path + len - n, ending);
}

static int write_book(const struct invocation *inv)
{
    struct compilation c = {0};
    struct results r;
    int status;
    if (cmd_read_results(&c, inv, inv->operands[0], false, &r, &status)) {
        struct buf out = {0};
        book_write_html(&r, &out);
        if (!cmd_write_output(&out, inv->output))
            status = EXIT_USAGE;
        buf_free(&out);
    }
    compile_free(&c);
    return status;
}

int command_book(const struct invocation *inv)
{
    if (inv->operand_count != 1)
        return cmd_complain("book wants one plan: studbay book PLAN -o book.html");
    if (!inv->output || !ends_in(inv->output, ".html"))
        return cmd_complain("book wants a file that ends in .html: studbay book PLAN -o book.html");
    return write_book(inv);
}
