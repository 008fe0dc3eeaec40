/* The files of both faces, put into the binary by the assembler: FONT_REGULAR and FONT_BOLD are
 * their paths at the build. */
#include "paper/font.h"

#define EMBED(name, path)                                                                          \
    __asm__(".section .rodata\n"                                                                   \
            ".balign 16\n" #name ":\n.incbin \"" path "\"\n" #name "_end:\n"                       \
            ".byte 0\n"                                                                            \
            ".previous\n");                                                                        \
    extern const uint8_t name[] __attribute__((visibility("hidden")));                             \
    extern const uint8_t name##_end[] __attribute__((visibility("hidden")))

EMBED(font_regular, FONT_REGULAR);
EMBED(font_bold, FONT_BOLD);

struct font_file fonts_file(bool bold)
{
    return bold ? (struct font_file){font_bold, (size_t)(font_bold_end - font_bold)}
                : (struct font_file){font_regular, (size_t)(font_regular_end - font_regular)};
}
