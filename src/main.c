/* studbay: argv to command, and the only exit. */
#include "cmd/cmd.h"

#include <stdlib.h>

int main(int argc, char **argv)
{
    exit(command_main(argc, argv));
}
