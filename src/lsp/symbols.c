#include "lsp/symbols.h"

#include "base/arena.h"
#include "base/source.h"
#include "resolve/language.h"
#include "resolve/value.h"

/* LSP 3.17, "SymbolKind". */
enum kind {
    KIND_MODULE = 2,
    KIND_NAMESPACE = 3,
    KIND_CLASS = 5,
    KIND_PROPERTY = 7,
    KIND_FIELD = 8,
    KIND_FUNCTION = 12,
    KIND_VARIABLE = 13,
    KIND_CONSTANT = 14,
    KIND_STRUCT = 23,
    KIND_EVENT = 24,
};

int symbol_kind(enum form_id form)
{
    static const uint8_t kinds[FORM_COUNT] = {
        [F_LEVEL] = KIND_NAMESPACE,      [F_ROOM] = KIND_NAMESPACE,
        [F_UNIT] = KIND_MODULE,          [F_PATTERN] = KIND_MODULE,
        [F_BUILDING] = KIND_MODULE,      [F_PANEL] = KIND_CLASS,
        [F_CIRCUIT] = KIND_FUNCTION,     [F_LEG] = KIND_VARIABLE,
        [F_LOW_VOLTAGE] = KIND_FUNCTION, [F_BOX] = KIND_FIELD,
        [F_BOXES] = KIND_FIELD,          [F_RUN] = KIND_EVENT,
        [F_ROOM_AREA] = KIND_PROPERTY,   [F_COIL] = KIND_PROPERTY,
        [F_GIVEN] = KIND_CONSTANT,       [F_AMEND] = KIND_MODULE,
        [F_DEVICE_DEF] = KIND_STRUCT,    [F_CABLE_DEF] = KIND_STRUCT,
        [F_RACEWAY_DEF] = KIND_STRUCT,   [F_BOX_DEF] = KIND_STRUCT,
        [F_KIND_DEF] = KIND_STRUCT,      [F_EDITION_DEF] = KIND_STRUCT,
    };
    return kinds[form];
}

const char *symbol_name(struct arena *arena, const struct node *n)
{
    struct span name = node_name_span(n);
    for (unsigned i = 0; n->form == F_RUN && i < n->value_count; i++)
        if (n->values[i].kind != V_NONE) /* what is at fault in the chain was left out */
            name.len =
                value_span(n, &n->values[i]).off + value_span(n, &n->values[i]).len - name.off;
    return arena_copy(arena, name.source->bytes + name.off, name.len);
}

const char *symbol_detail(struct arena *arena, const struct node *n)
{
    return n->text ? n->text : arena_printf(arena, "%s", n->word ? n->word : "");
}
