#include "lsp/server.h"

#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"

#include <string.h>

void server_begin(struct server *s, const char *stdlib, const char *version, const char *pages)
{
    *s = (struct server){.version = version, .pages = pages};
    compile_library(&s->library, stdlib);
}

/* --- what comes in ------------------------------------------------------------------------ */

static bool is_request(json_in message)
{
    return read_member(message, "id") != NULL;
}

/* What waits with that id is not answered any more but so. */
static void cancel(struct server *s, json_in notice)
{
    json_in id = read_path(notice, "params.id");
    for (struct waiting *w = s->first; w && id; w = w->next)
        if (is_request(w->message) && read_is_same(read_member(w->message, "id"), id))
            w->cancelled = true;
}

static void queue(struct server *s, json_in message)
{
    const char *method = read_text(read_member(message, "method"));
    if (method && !strcmp(method, "$/cancelRequest"))
        cancel(s, message);
    struct arena arena = {0};
    struct waiting *w = arena_new(&arena, struct waiting);
    *w = (struct waiting){.message = message, .arena = arena};
    if (s->last)
        s->last->next = w;
    else
        s->first = w;
    s->last = w;
}

static void take_message(struct server *s, const char *text, size_t size)
{
    json_in message = read_json(text, size);
    if (!message)
        message_error(s, NULL, RPC_PARSE, "what came is no JSON");
    else if (read_is_object(message))
        queue(s, message);
    else
        message_error(s, NULL, RPC_INVALID, "what came is no message: an object is one");
    if (message && !read_is_object(message))
        read_free(message);
}

void server_take(struct server *s, const char *bytes, size_t n)
{
    stream_add(&s->in, bytes, n);
    const char *text;
    size_t size;
    for (enum framed what; (what = stream_next(&s->in, &text, &size)) != FRAMED_NOTHING;)
        if (what == FRAMED_MESSAGE)
            take_message(s, text, size);
        else
            message_error(s, NULL, what == FRAMED_TOO_LARGE ? RPC_INVALID : RPC_PARSE,
                          what == FRAMED_TOO_LARGE ? "the message is larger than %d MB"
                                                   : "what came has no head with a Content-Length",
                          LARGEST_MESSAGE >> 20);
}

/* --- what is answered --------------------------------------------------------------------- */

static const struct method *method_named(const char *name)
{
    for (uint32_t i = 0; i < method_count; i++)
        if (!strcmp(method_table[i].name, name))
            return &method_table[i];
    return NULL;
}

/* Whether a method may be asked for as things stand; a request that may not is answered. */
static bool may_run(struct server *s, json_in id, const char *name)
{
    bool ends = !strcmp(name, "exit"), begins = !strcmp(name, "initialize");
    if (ends || s->state == STATE_RUNNING || (begins && s->state == STATE_NEW))
        return true;
    if (id && s->state == STATE_NEW)
        message_error(s, id, RPC_NOT_BEGUN, "initialize comes first");
    else if (id)
        message_error(s, id, RPC_INVALID, "the session was shut down; exit ends it");
    return false;
}

static bool has_shape(struct server *s, json_in message, const char *name)
{
    json_in id = read_member(message, "id"), params = read_member(message, "params");
    bool id_fits = !id || read_is_number(id) || read_text(id);
    if (!name && !id && !read_member(message, "result") && !read_member(message, "error"))
        message_error(s, NULL, RPC_INVALID, "the message names no method");
    else if (name && !id_fits)
        message_error(s, NULL, RPC_INVALID, "an id is a whole number or a text");
    else if (name && params && !read_is_object(params) && !read_is_array(params) &&
             !read_is_null(params))
        message_error(s, id, RPC_INVALID, "params are an object");
    else
        return name != NULL; /* else an answer of the editor, which nothing hangs on */
    return false;
}

static void answer(struct server *s, struct waiting *w)
{
    json_in id = read_member(w->message, "id"), params = read_member(w->message, "params");
    const char *name = read_text(read_member(w->message, "method"));
    if (!has_shape(s, w->message, name) || !may_run(s, id, name))
        return;
    const struct method *m = method_named(name);
    if (w->cancelled)
        message_error(s, id, RPC_CANCELLED, "cancelled");
    else if (m && (m->sort == REQUEST) == (id != NULL))
        m->run(s, id, params);
    else if (m && id)
        message_error(s, id, RPC_INVALID, "%s is a notice and has no id", name);
    else if (id)
        message_error(s, id, RPC_NO_METHOD, "there is no %s", name);
}

static void answer_first(struct server *s)
{
    struct waiting *w = s->first;
    s->first = w->next;
    if (!s->first)
        s->last = NULL;
    answer(s, w);
    read_free(w->message);
    struct arena arena = w->arena; /* it lies in there itself */
    arena_free(&arena);
}

bool server_step(struct server *s, bool idle)
{
    if (s->state == STATE_ENDED)
        return false;
    bool done = s->first != NULL;
    if (done)
        answer_first(s);
    else if (idle && s->state == STATE_RUNNING)
        done = plan_compile_first(s);
    arena_reset(&s->scratch);
    return done;
}

void server_end(struct server *s)
{
    while (s->first) {
        struct waiting *w = s->first;
        s->first = w->next;
        read_free(w->message);
        struct arena arena = w->arena;
        arena_free(&arena);
    }
    while (s->plans) {
        struct plan *p = s->plans;
        s->plans = p->next;
        plan_forget(p);
    }
    while (s->documents)
        document_close(s, s->documents);
    stream_free(&s->in);
    buf_free(&s->out);
    buf_free(&s->body);
    arena_free(&s->scratch);
    arena_free(&s->arena);
    compile_free(&s->library);
}
