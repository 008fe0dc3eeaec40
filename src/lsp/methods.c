#include "lsp/methods.h"

#include "lsp/documents.h"
#include "lsp/message.h"

const struct method method_table[] = {
#define METHOD(name, function, sort, capability, announce, doc)                                    \
    {name, function, sort, capability, announce, doc},
#include "lsp/methods.def"
#undef METHOD
};
const uint32_t method_count = sizeof method_table / sizeof *method_table;

void announce_true(struct server *s)
{
    buf_puts(json_value(&s->json), "true");
}

void announce_sync(struct server *s)
{
    enum { INCREMENTAL = 2 };
    json_begin_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "openClose", true);
    json_integer_member(&s->json, "change", INCREMENTAL);
    json_bool_member(&s->json, "save", true);
    json_end(&s->json);
}

void announce_workspace(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_key(&s->json, "workspaceFolders");
    json_begin_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "supported", true);
    json_bool_member(&s->json, "changeNotifications", true);
    json_end(&s->json);
    json_end(&s->json);
}

void method_announce(struct server *s)
{
    for (uint32_t i = 0; i < method_count; i++) {
        if (!method_table[i].capability)
            continue;
        json_key(&s->json, method_table[i].capability);
        method_table[i].announce(s);
    }
}

struct document *method_document(struct server *s, json_in id, json_in params)
{
    const char *uri = read_text(read_path(params, "textDocument.uri"));
    struct document *d = document_named(s, uri);
    if (!d)
        message_error(s, id, RPC_PARAMS, uri ? "%s is not open" : "no textDocument is named%s",
                      uri ? uri : "");
    return d;
}
