/* For tests: an editor that speaks with a language server in the same program. */
#ifndef STUDBAY_TESTS_LSP_CLIENT_H
#define STUDBAY_TESTS_LSP_CLIENT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/buf.h"
#include "lsp/server.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Sends bytes as they are. */
static inline void client_bytes(struct server *s, const char *bytes)
{
    server_take(s, bytes, strlen(bytes));
}

/* Sends one message with its head. */
static inline void client_message(struct server *s, const char *json)
{
    char head[64];
    snprintf(head, sizeof head, "Content-Length: %zu\r\n\r\n", strlen(json));
    client_bytes(s, head);
    client_bytes(s, json);
}

/* Lets the server do all that there is to do. */
static inline void client_wait(struct server *s)
{
    while (server_step(s, true))
        continue;
}

/* What the server has written and was not read yet, message by message: gives the next one, in
 * memory to be freed, or NULL. */
static inline char *client_next(struct server *s, size_t *at)
{
    size_t size = 0;
    int head = 0;
    if (*at >= s->out.n)
        return NULL;
    assert_int_equal(sscanf(buf_text(&s->out) + *at, "Content-Length: %zu %n", &size, &head), 1);
    assert_true(head > 0);
    *at += (size_t)head;
    assert_true(*at + size <= s->out.n);
    char *message = strndup(s->out.at + *at, size);
    *at += size;
    return message;
}

/* All of it, a message a line; to be freed. Nothing is left. */
static inline char *client_said(struct server *s)
{
    struct buf lines = {0};
    size_t at = 0;
    for (char *m; (m = client_next(s, &at)); free(m))
        buf_printf(&lines, "%s\n", m);
    s->out.n = 0;
    char *said = strdup(buf_text(&lines));
    buf_free(&lines);
    return said;
}

/* A text as it stands in a message, with its quotes. */
static inline void client_quote(struct buf *out, const char *text)
{
    struct json j = json_begin(out);
    json_text(&j, text);
}

static inline void client_open(struct server *s, const char *uri, const char *text)
{
    struct buf b = {0};
    buf_puts(&b, "{\"jsonrpc\": \"2.0\", \"method\": \"textDocument/didOpen\", \"params\": "
                 "{\"textDocument\": {\"languageId\": \"studbay\", \"version\": 1, \"uri\": ");
    client_quote(&b, uri);
    buf_puts(&b, ", \"text\": ");
    client_quote(&b, text);
    buf_puts(&b, "}}}");
    client_message(s, buf_text(&b));
    buf_free(&b);
}

/* A session that has begun; `can` are the capabilities of the editor. What was said is gone. */
static inline void client_begin(struct server *s, const char *can)
{
    struct buf b = {0};
    server_begin(s, NULL, "0", NULL);
    buf_printf(&b,
               "{\"jsonrpc\": \"2.0\", \"id\": 0, \"method\": \"initialize\", \"params\": "
               "{\"capabilities\": %s}}",
               can);
    client_message(s, buf_text(&b));
    client_message(s, "{\"jsonrpc\": \"2.0\", \"method\": \"initialized\", \"params\": {}}");
    client_wait(s);
    s->out.n = 0;
    buf_free(&b);
}

#endif
