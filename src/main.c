/* studbay: argv to command, and the only exit. */
#include "cmd/cmd.h"

#include "base/arena.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

/* In whatever command, and without a byte of memory. */
void memory_ended(void)
{
    static const char words[] = "studbay: error: there is not enough memory\n";
    (void)!write(STDERR_FILENO, words, sizeof words - 1);
    _exit(EXIT_USAGE);
}

/* Where one of the three streams is closed a file that is opened would be taken for it: something
 * stands there that cannot be read, or written to. */
static void keep_streams(void)
{
    for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
        if (fcntl(fd, F_GETFD) < 0 && errno == EBADF &&
            open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY) != fd)
            _exit(EXIT_USAGE);
}

int main(int argc, char **argv)
{
    keep_streams();
    setvbuf(stdout, NULL, _IONBF, 0); /* all is written at once: what fails is known there */
    exit(command_main(argc, argv));
}
