/* A plan that is written in an editor: edits at random, in several to a message, by each encoding
 * of places. The server's text is always the editor's; what it finds is what a compilation of that
 * text from the disk finds; what it lays out is the canonical text; and whatever it is asked, at
 * whatever place, it answers. */
#include "properties.h"
#include "random.h"

#include "base/file.h"
#include "fmt/fmt.h"
#include "lsp/methods.h"
#include "lsp/server.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

property_function property_edited;

enum { EDITS = 24, CHECKED_EVERY = 8 };

struct editor {
    struct server server;
    struct buf text; /* as the editor has it */
    const char *path;
    uint64_t random;
    int version, id;
};

/* --- messages ----------------------------------------------------------------------------- */

static void send_message(struct editor *e, struct buf *json)
{
    struct buf head = {0};
    buf_printf(&head, "Content-Length: %zu\r\n\r\n", json->n);
    server_take(&e->server, head.at, head.n);
    server_take(&e->server, json->at, json->n);
    buf_free(&head);
    json->n = 0;
}

/* Begins a message up to its params, in which textDocument is written. */
static struct json begin_message(struct editor *e, struct buf *b, const char *method, bool request)
{
    struct buf uri = {0};
    buf_printf(&uri, "file://%s", e->path);
    struct json j = json_begin(b);
    json_begin_object(&j, JSON_ROW);
    json_string_member(&j, "jsonrpc", "2.0");
    if (request)
        json_integer_member(&j, "id", ++e->id);
    json_string_member(&j, "method", method);
    json_key(&j, "params");
    json_begin_object(&j, JSON_ROW);
    json_key(&j, "textDocument");
    json_begin_object(&j, JSON_ROW);
    json_string_member(&j, "uri", buf_text(&uri));
    json_integer_member(&j, "version", ++e->version);
    buf_free(&uri);
    return j;
}

static void end_message(struct editor *e, struct buf *b, struct json *j)
{
    while (j->depth)
        json_end(j);
    send_message(e, b);
}

static void let_work(struct editor *e)
{
    while (server_step(&e->server, true))
        continue;
}

static void begin(struct editor *e)
{
    static const char *const encodings[] = {"utf-8", "utf-16", "utf-32"};
    struct buf b = {0};
    server_begin(&e->server, NULL, "0", NULL);
    buf_printf(&b,
               "{\"jsonrpc\": \"2.0\", \"id\": 0, \"method\": \"initialize\", \"params\": "
               "{\"capabilities\": {\"general\": {\"positionEncodings\": [\"%s\"]}, "
               "\"textDocument\": {\"codeAction\": {\"codeActionLiteralSupport\": {}}}}}}",
               encodings[pick(&e->random, 3)]);
    send_message(e, &b);
    struct json j = begin_message(e, &b, "textDocument/didOpen", false);
    json_string_member(&j, "text", buf_text(&e->text));
    end_message(e, &b, &j);
    let_work(e);
    buf_free(&b);
}

/* --- edits -------------------------------------------------------------------------------- */

/* A place of the text that no character and no end of a line lies across. */
static size_t any_place(struct editor *e)
{
    size_t at = pick(&e->random, (unsigned)e->text.n + 1);
    while (at > 0 && at < e->text.n && ((unsigned char)e->text.at[at] & 0xc0) == 0x80)
        at--;
    if (at > 0 && at < e->text.n && e->text.at[at] == '\n' && e->text.at[at - 1] == '\r')
        at--;
    return at;
}

/* Counted the plain way, from the beginning. */
static void write_position(struct editor *e, struct json *j, const char *name, size_t off)
{
    uint32_t line = 0, units = 0;
    for (size_t i = 0; i < off; i++) {
        unsigned char c = (unsigned char)e->text.at[i];
        bool first = (c & 0xc0) != 0x80;
        units += e->server.encoding == ENCODE_UTF8    ? 1
                 : e->server.encoding == ENCODE_UTF16 ? first + (c >= 0xf0)
                                                      : first;
        if (c == '\n' || (c == '\r' && e->text.at[i + 1] != '\n')) {
            line++;
            units = 0;
        }
    }
    json_key(j, name);
    json_begin_object(j, JSON_ROW);
    json_integer_member(j, "line", line);
    json_integer_member(j, "character", units);
    json_end(j);
}

static void write_range(struct editor *e, struct json *j, size_t from, size_t to)
{
    json_key(j, "range");
    json_begin_object(j, JSON_ROW);
    write_position(e, j, "start", from);
    write_position(e, j, "end", to);
    json_end(j);
}

/* What is typed: a letter, a word of the language, a line, a piece of the text, or nothing. */
static void any_text(struct editor *e, struct buf *out)
{
    static const char *const typed[] = {"a",      " ",        "\n",           "\r\n",
                                        "{",      "}",        "\"",           "'",
                                        "4'-6\"", "# note ",  " leg x ",      "existing ",
                                        "-> ",    ".",        "box ",         "room q {",
                                        "\t",     "\xc3\xa9", "\xe2\x80\xb2", "\xf0\x9f\x8f\xa0",
                                        ";"};
    out->n = 0;
    if (chance(&e->random, 60)) {
        buf_puts(out, typed[pick(&e->random, sizeof typed / sizeof *typed)]);
    } else if (chance(&e->random, 50) && e->text.n) {
        size_t from = any_place(e), to = any_place(e);
        if (to < from)
            to = from;
        if (to - from < 200)
            buf_add(out, e->text.at + from, to - from);
    }
}

/* One change, in the message and in the editor. */
static void change(struct editor *e, struct json *j)
{
    struct buf text = {0}, is = {0};
    size_t from = any_place(e), to = chance(&e->random, 50) ? from : any_place(e);
    any_text(e, &text);
    if (to < from || to - from > 60)
        to = from;
    json_begin_object(j, JSON_ROW);
    write_range(e, j, from, to);
    json_string_member(j, "text", buf_text(&text));
    json_end(j);
    buf_add(&is, e->text.at, from);
    buf_add(&is, text.at, text.n);
    buf_add(&is, e->text.at + to, e->text.n - to);
    buf_text(&is);
    buf_free(&e->text);
    buf_free(&text);
    e->text = is;
}

static void type(struct editor *e)
{
    struct buf b = {0};
    struct json j = begin_message(e, &b, "textDocument/didChange", false);
    json_end(&j);
    json_key(&j, "contentChanges");
    json_begin_array(&j, JSON_ROW);
    for (unsigned n = 1 + pick(&e->random, 3); n; n--)
        change(e, &j);
    end_message(e, &b, &j);
    buf_free(&b);
}

/* --- questions ---------------------------------------------------------------------------- */

/* Asks with all that any method reads; more than one wants does no harm. */
static void ask(struct editor *e, const char *method)
{
    struct buf b = {0};
    size_t from = any_place(e), to = any_place(e);
    struct json j = begin_message(e, &b, method, true);
    json_end(&j);
    write_position(e, &j, "position", from);
    write_range(e, &j, from < to ? from : to, from < to ? to : from);
    json_key(&j, "positions");
    json_begin_array(&j, JSON_ROW);
    json_begin_object(&j, JSON_ROW);
    json_end(&j);
    json_end(&j);
    json_string_member(&j, "ch", chance(&e->random, 50) ? "}" : "\n");
    json_string_member(&j, "query", "r1");
    json_string_member(&j, "newName", "other");
    json_key(&j, "context");
    json_begin_object(&j, JSON_ROW);
    json_key(&j, "diagnostics");
    json_begin_array(&j, JSON_ROW);
    end_message(e, &b, &j);
    buf_free(&b);
}

/* How many answers to the last questions came, each with a result or an error. */
static unsigned count_answers(struct editor *e)
{
    unsigned n = 0;
    for (const char *at = buf_text(&e->server.out);
         (at = strstr(at, "{\"jsonrpc\": \"2.0\", \"id\": ")); at++)
        n++;
    e->server.out.n = 0;
    return n;
}

static bool all_answer(struct editor *e, struct buf *why)
{
    unsigned asked = 0;
    e->server.out.n = 0;
    for (uint32_t i = 0; i < method_count; i++)
        if (method_table[i].sort == REQUEST && strchr(method_table[i].name, '/')) {
            ask(e, method_table[i].name);
            asked++;
        }
    let_work(e);
    unsigned answered = count_answers(e);
    if (answered != asked)
        buf_printf(why, "of %u questions %u were answered", asked, answered);
    return answered == asked;
}

/* --- what holds --------------------------------------------------------------------------- */

static bool same_text(struct editor *e, struct buf *why)
{
    const struct buf *is = &e->server.documents->text;
    bool same = is->n == e->text.n && !memcmp(is->at, e->text.at, is->n);
    if (!same)
        buf_puts(why, "the text of the server is another than the editor's");
    return same;
}

static void tell_findings(const struct compilation *c, struct buf *out)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        buf_printf(out, "%d %u+%u %s: %s\n", f->span.source ? (int)f->span.source->order : -1,
                   f->span.off, f->span.len, f->rule->name, f->message);
    }
}

/* What the server finds is what is found in the file when it is saved. */
static bool same_findings(struct editor *e, struct buf *why)
{
    struct buf is = {0}, cold = {0};
    struct compilation c;
    bool known = e->server.plans && e->server.plans->compiled && file_write(&e->text, e->path);
    if (known) {
        compile(&c, e->path, (struct compile_options){.library = plan_library()});
        tell_findings(&c, &cold);
        tell_findings(e->server.plans->c, &is);
        compile_free(&c);
    }
    bool same = known && !strcmp(buf_text(&is), buf_text(&cold));
    if (!same)
        buf_puts(why, "what is found while one types is not what is found in the file");
    buf_free(&is);
    buf_free(&cold);
    return same;
}

/* The canonical text, by the edits of the server. */
static bool same_layout(struct editor *e, struct buf *why)
{
    struct compilation c = {0};
    struct buf laid = {0}, b = {0};
    struct source *s = compile_form(&c, e->path, (struct unsaved){0});
    bool fits = s && fmt_source(&c.diag, &c.arena, s, &laid), same = true;
    compile_free(&c);
    e->server.out.n = 0;
    struct json j = begin_message(e, &b, "textDocument/formatting", true);
    end_message(e, &b, &j);
    let_work(e);
    json_in answer =
        read_json(strchr(buf_text(&e->server.out), '{'),
                  e->server.out.n - (size_t)(strchr(e->server.out.at, '{') - e->server.out.at));
    json_in edits = read_member(answer, "result");
    struct line_table lines;
    struct arena arena = {0};
    line_table_make(&lines, &arena, e->text.at, e->text.n, e->server.encoding);
    struct buf is = {0};
    size_t end = 0;
    for (uint32_t i = 0; i < read_count(edits); i++) {
        json_in range = read_member(read_at(edits, i), "range");
        size_t at[2];
        for (int k = 0; k < 2; k++) {
            json_in place = read_member(range, k ? "end" : "start");
            at[k] = line_table_offset(
                &lines,
                (struct place_in_text){(uint32_t)read_number(read_member(place, "line"), 0),
                                       (uint32_t)read_number(read_member(place, "character"), 0)});
        }
        json_in text = read_member(read_at(edits, i), "newText");
        same &= at[0] >= end;
        buf_add(&is, e->text.at + end, at[0] >= end ? at[0] - end : 0);
        buf_add(&is, read_text(text), read_size(text));
        end = at[1];
    }
    buf_add(&is, e->text.at + end, e->text.n - end);
    if (fits)
        same &= is.n == laid.n && !memcmp(is.at, laid.at, is.n);
    else
        same = read_is_null(edits);
    if (!same)
        buf_puts(why, "the edits that lay the text out do not give the canonical text");
    read_free(answer);
    arena_free(&arena);
    buf_free(&is);
    buf_free(&laid);
    buf_free(&b);
    return same;
}

static bool holds_so_far(struct editor *e, struct buf *why)
{
    let_work(e);
    e->server.out.n = 0;
    return same_findings(e, why) && same_layout(e, why) && all_answer(e, why);
}

bool property_edited(const struct subject *s, struct buf *why)
{
    char path[256];
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    if (!plan_write(s->text, s->scratch))
        return true;
    struct editor e = {.path = path, .random = s->seed};
    buf_add(&e.text, s->text->plan.at, s->text->plan.n);
    buf_text(&e.text);
    begin(&e);
    bool holds = holds_so_far(&e, why);
    for (int i = 1; holds && i <= EDITS; i++) {
        type(&e);
        if (chance(&e.random, 30))
            let_work(&e);
        else
            while (server_step(&e.server, false))
                continue;
        holds = same_text(&e, why) && (i % CHECKED_EVERY || holds_so_far(&e, why));
    }
    server_end(&e.server);
    buf_free(&e.text);
    return holds;
}
