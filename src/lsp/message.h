/* Messages to the editor. Each is begun, its value written with s->json, and sent. */
#ifndef STUDBAY_LSP_MESSAGE_H
#define STUDBAY_LSP_MESSAGE_H

#include "lsp/server.h"

/* JSON-RPC 2.0, section 5.1; LSP 3.17, "ErrorCodes". */
enum rpc_code {
    RPC_PARSE = -32700,
    RPC_INVALID = -32600,
    RPC_NO_METHOD = -32601,
    RPC_PARAMS = -32602,
    RPC_NOT_BEGUN = -32002,
    RPC_CANCELLED = -32800,
    RPC_FAILED = -32803,
};

/* The answer to a request: its value is written behind this. */
void message_begin_answer(struct server *s, json_in id);
void message_begin_notice(struct server *s, const char *method);
void message_begin_request(struct server *s, const char *method);
void message_send(struct server *s);

/* Whole messages. `id` NULL is null. */
void message_null(struct server *s, json_in id);
void message_error(struct server *s, json_in id, enum rpc_code code, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Values. */
void message_range(struct server *s, const char *name, struct line_table *lines, size_t from,
                   size_t to);
void message_range_value(struct server *s, struct line_table *lines, size_t from, size_t to);
void message_place(struct server *s, const char *name, struct line_table *lines, size_t off);

/* {"range": ..., "newText": ...}, an element of an array. */
void message_edit(struct server *s, struct line_table *lines, size_t from, size_t to,
                  const char *text);

/* A text as markdown where the editor shows it, else plain. */
void message_markup(struct server *s, const char *name, const char *text);

void message_null_member(struct server *s, const char *name);
void message_null_value(struct server *s);
void message_integer(struct server *s, int64_t n);

#endif
