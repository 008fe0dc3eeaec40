#include "lsp/message.h"

#include <stdarg.h>
#include <string.h>

static void begin(struct server *s)
{
    s->body.n = 0;
    s->json = json_begin(&s->body);
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "jsonrpc", "2.0");
}

void message_null_value(struct server *s)
{
    buf_puts(json_value(&s->json), "null");
}

void message_null_member(struct server *s, const char *name)
{
    json_key(&s->json, name);
    message_null_value(s);
}

void message_integer(struct server *s, int64_t n)
{
    buf_printf(json_value(&s->json), "%lld", (long long)n);
}

/* An id is a number or a text; what else came is answered as null. */
static void write_id(struct server *s, json_in id)
{
    if (read_is_number(id))
        json_integer_member(&s->json, "id", read_number(id, 0));
    else if (read_text(id))
        json_string_member(&s->json, "id", read_text(id));
    else
        message_null_member(s, "id");
}

void message_begin_answer(struct server *s, json_in id)
{
    begin(s);
    write_id(s, id);
    json_key(&s->json, "result");
}

static void begin_named(struct server *s, const char *method)
{
    json_string_member(&s->json, "method", method);
    json_key(&s->json, "params");
}

void message_begin_notice(struct server *s, const char *method)
{
    begin(s);
    begin_named(s, method);
}

void message_begin_request(struct server *s, const char *method)
{
    begin(s);
    json_string_member(&s->json, "id", arena_printf(&s->scratch, "studbay-%u", ++s->requests_made));
    begin_named(s, method);
}

void message_send(struct server *s)
{
    while (s->json.depth)
        json_end(&s->json);
    buf_printf(&s->out, "Content-Length: %zu\r\n\r\n", s->body.n);
    buf_add(&s->out, s->body.at, s->body.n);
}

void message_null(struct server *s, json_in id)
{
    message_begin_answer(s, id);
    message_null_value(s);
    message_send(s);
}

void message_error(struct server *s, json_in id, enum rpc_code code, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    const char *words = arena_vprintf(&s->scratch, format, args);
    va_end(args);
    begin(s);
    write_id(s, id);
    json_key(&s->json, "error");
    json_begin_object(&s->json, JSON_ROW);
    json_integer_member(&s->json, "code", code);
    json_string_member(&s->json, "message", words);
    message_send(s);
}

/* --- values ------------------------------------------------------------------------------- */

static void write_place(struct server *s, struct place_in_text place)
{
    json_begin_object(&s->json, JSON_ROW);
    json_integer_member(&s->json, "line", place.line);
    json_integer_member(&s->json, "character", place.units);
    json_end(&s->json);
}

void message_place(struct server *s, const char *name, struct line_table *lines, size_t off)
{
    json_key(&s->json, name);
    write_place(s, line_table_place(lines, off));
}

void message_range(struct server *s, const char *name, struct line_table *lines, size_t from,
                   size_t to)
{
    json_key(&s->json, name);
    message_range_value(s, lines, from, to);
}

void message_range_value(struct server *s, struct line_table *lines, size_t from, size_t to)
{
    json_begin_object(&s->json, JSON_ROW);
    message_place(s, "start", lines, from);
    message_place(s, "end", lines, to > from ? to : from);
    json_end(&s->json);
}

void message_edit(struct server *s, struct line_table *lines, size_t from, size_t to,
                  const char *text)
{
    json_begin_object(&s->json, JSON_ROW);
    message_range(s, "range", lines, from, to);
    json_string_member(&s->json, "newText", text);
    json_end(&s->json);
}

void message_markup(struct server *s, const char *name, const char *text)
{
    json_key(&s->json, name);
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "kind", s->client.markdown ? "markdown" : "plaintext");
    json_string_member(&s->json, "value", text);
    json_end(&s->json);
}
