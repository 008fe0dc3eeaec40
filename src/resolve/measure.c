#include "resolve/measure.h"

#include "resolve/value_reader.h"
#include "syntax/lexer.h"
#include "syntax/tree.h"

#include <string.h>

bool measure_length(struct arena *arena, const char *text, length *out)
{
    struct diag diag = {.arena = arena};
    struct names names = {.arena = arena};
    struct source source = {.path = "", .bytes = text, .size = (uint32_t)strlen(text)};
    if (!lex(&diag, &source))
        return false;
    struct tree tree = parse(&diag, arena, &source);
    const struct stmt *line = tree.first;
    if (!line || line->next || line->has_block || diag.findings.n)
        return false;
    struct value_reader reader = {.diag = &diag,
                                  .names = &names,
                                  .source = &source,
                                  .items = line->items,
                                  .count = line->item_count,
                                  .quiet = true};
    struct value value = {0};
    uint32_t at = 0;
    if (!value_read(&reader, C_LEN, &at, &value) || at != line->item_count || diag.findings.n)
        return false;
    *out = value.n;
    return true;
}
