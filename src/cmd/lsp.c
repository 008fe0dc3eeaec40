/* studbay lsp: the language server, for editors. */
#include "cmd/cmd.h"

#include "lsp/loop.h"
#include "lsp/server.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The folder where the rules' pages lie as files that an editor can open: as they were installed,
 * or in the tree that the program was built in; with a slash. NULL: nowhere. */
static const char *pages_folder(struct arena *arena)
{
    static const char *const beside[] = {"../share/doc/studbay/rules/", "../docs/rules/"};
    char self[PATH_MAX];
    ssize_t n = readlink("/proc/self/exe", self, sizeof self - 1);
    for (size_t i = 0; n > 0 && i < sizeof beside / sizeof *beside; i++) {
        self[n] = 0;
        const char *folder =
            arena_printf(arena, "%.*s/%s", (int)(strrchr(self, '/') - self), self, beside[i]);
        char real[PATH_MAX];
        if (realpath(folder, real) && !access(arena_printf(arena, "%s/index.md", real), R_OK))
            return arena_printf(arena, "%s/", real);
    }
    return NULL;
}

int command_lsp(const struct invocation *inv)
{
    struct server s;
    if (inv->operand_count)
        return cmd_complain("lsp takes no plan: the editor names what it opens");
    server_begin(&s, inv->stdlib, STUDBAY_VERSION, pages_folder(inv->arena));
    int status = loop_run(&s, STDIN_FILENO, STDOUT_FILENO);
    server_end(&s);
    return status;
}
