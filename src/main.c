/* studbay: argv to command, and the only exit. */
#include "cmd/cmd.h"

#include "base/arena.h"

#include <stdlib.h>
#include <unistd.h>

/* In whatever command, and without a byte of memory. */
void memory_ended(void)
{
    static const char words[] = "studbay: error: there is not enough memory\n";
    (void)!write(STDERR_FILENO, words, sizeof words - 1);
    _exit(EXIT_USAGE);
}

int main(int argc, char **argv)
{
    exit(command_main(argc, argv));
}
