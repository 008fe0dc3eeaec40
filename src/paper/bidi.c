#include "paper/bidi.h"

#include "base/utf8.h"

#include <fribidi/fribidi.h>
#include <string.h>

enum {
    FROM_THE_RIGHT = 0xd6, /* the first byte of U+0590, and of nothing before it */
    NOT_A_LETTER = 0xfffd
};

bool bidi_is_needed(const char *text)
{
    const unsigned char *p = (const unsigned char *)text;
    while (*p && *p < FROM_THE_RIGHT)
        p++;
    return *p != 0;
}

static void put_in_order(struct arena *arena, uint32_t *letters, uint32_t count)
{
    FriBidiStrIndex n = (FriBidiStrIndex)count;
    FriBidiParType direction = FRIBIDI_PAR_LTR;
    FriBidiCharType *types = arena_array(arena, FriBidiCharType, count);
    FriBidiBracketType *brackets = arena_array(arena, FriBidiBracketType, count);
    FriBidiLevel *levels = arena_array(arena, FriBidiLevel, count);
    fribidi_get_bidi_types(letters, n, types);
    fribidi_get_bracket_types(letters, n, types, brackets);
    if (!fribidi_get_par_embedding_levels_ex(types, brackets, n, &direction, levels))
        memory_missing();
    fribidi_shape_mirroring(levels, n, letters);
    if (!fribidi_reorder_line(FRIBIDI_FLAG_REORDER_NSM, types, n, 0, direction, levels, letters,
                              NULL))
        memory_missing();
}

struct bidi_line bidi_line_of(struct arena *arena, const char *text)
{
    const char *p = text, *end = text + strlen(text);
    uint32_t *letters = arena_array(arena, uint32_t, (size_t)(end - p) + 1), count = 0;
    for (size_t len; p < end; p += len) {
        uint32_t letter = utf8_next(p, end, &len);
        letters[count++] = letter == UTF8_BAD ? NOT_A_LETTER : letter;
    }
    if (bidi_is_needed(text))
        put_in_order(arena, letters, count);
    return (struct bidi_line){letters, count};
}
