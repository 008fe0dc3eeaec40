/* The table of methods (methods.def) and the functions that it names. */
#ifndef STUDBAY_LSP_METHODS_H
#define STUDBAY_LSP_METHODS_H

#include "lsp/server.h"

/* Answers a request of that id, or takes a notice, whose id is NULL. */
typedef void method_fn(struct server *s, json_in id, json_in params);

/* Writes the value of a capability with s->json. */
typedef void announce_fn(struct server *s);

enum method_sort { REQUEST, NOTICE };

struct method {
    const char *name;
    method_fn *run;
    enum method_sort sort;
    const char *capability;
    announce_fn *announce;
    const char *doc;
};

extern const struct method method_table[];
extern const uint32_t method_count;

#define METHOD(name, function, sort, capability, announce, doc) method_fn function;
#include "lsp/methods.def"
#undef METHOD

announce_fn announce_true, announce_sync, announce_workspace, announce_typed, announce_colours,
    announce_links, announce_signature, announce_completion, announce_lenses, announce_actions,
    announce_rename;

/* The members of the capabilities, all of the table. */
void method_announce(struct server *s);

/* The open text that "textDocument.uri" of the parameters names. NULL: there is none, and the
 * request was answered so. */
struct document *method_document(struct server *s, json_in id, json_in params);

#endif
