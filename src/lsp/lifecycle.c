/* How a session begins and ends (LSP 3.17, "Server lifecycle"). */
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/uri.h"

#include <string.h>

/* --- what the editor can do --------------------------------------------------------------- */

static bool lists_text(json_in list, const char *text)
{
    for (uint32_t i = 0; i < read_count(list); i++) {
        const char *one = read_text(read_at(list, i));
        if (one && !strcmp(one, text))
            return true;
    }
    return false;
}

static struct client read_client(json_in can)
{
    json_in text = read_member(can, "textDocument"), workspace = read_member(can, "workspace"),
            found = read_member(text, "publishDiagnostics");
    return (struct client){
        .snippets = read_is_true(read_path(text, "completion.completionItem.snippetSupport")),
        .markdown = lists_text(read_path(text, "hover.contentFormat"), "markdown"),
        .diagnostic_related = read_is_true(read_member(found, "relatedInformation")),
        .diagnostic_tags = read_is_object(read_member(found, "tagSupport")),
        .diagnostic_href = read_is_true(read_member(found, "codeDescriptionSupport")),
        .diagnostic_data = read_is_true(read_member(found, "dataSupport")),
        .versions = read_is_true(read_member(found, "versionSupport")),
        .watches = read_is_true(read_path(workspace, "didChangeWatchedFiles.dynamicRegistration")),
        .symbols_nested =
            read_is_true(read_path(text, "documentSymbol.hierarchicalDocumentSymbolSupport")),
        .document_changes = read_is_true(read_path(workspace, "workspaceEdit.documentChanges")),
        .prepare_rename = read_is_true(read_path(text, "rename.prepareSupport")),
        .action_literals = read_is_object(read_path(text, "codeAction.codeActionLiteralSupport")),
    };
}

/* The first that the editor names and we know; UTF-16, which every editor can, where it names none.
 */
static enum encoding agreed_encoding(json_in offered)
{
    for (uint32_t i = 0; i < read_count(offered); i++)
        for (int e = 0; e < ENCODINGS; e++) {
            const char *name = read_text(read_at(offered, i));
            if (name && !strcmp(name, encoding_names[e]))
                return (enum encoding)e;
        }
    return ENCODE_UTF16;
}

static void add_folder(struct server *s, const char *uri)
{
    const char *path = uri ? uri_path(&s->scratch, uri) : NULL;
    if (!path)
        return;
    const char *real = uri_real_path(&s->arena, path);
    size_t n = strlen(real);
    *vec_push(&s->arena, &s->folders) =
        n > 1 && real[n - 1] == '/' ? arena_copy(&s->arena, real, n - 1) : real;
}

static void read_folders(struct server *s, json_in params)
{
    json_in folders = read_member(params, "workspaceFolders");
    for (uint32_t i = 0; i < read_count(folders); i++)
        add_folder(s, read_text(read_member(read_at(folders, i), "uri")));
    if (!read_is_array(folders))
        add_folder(s, read_text(read_member(params, "rootUri")));
}

void sync_folders(struct server *s, json_in id, json_in params)
{
    (void)id;
    json_in added = read_path(params, "event.added"), removed = read_path(params, "event.removed");
    for (uint32_t i = 0; i < read_count(removed); i++) {
        const char *uri = read_text(read_member(read_at(removed, i), "uri")),
                   *path = uri ? uri_path(&s->scratch, uri) : NULL;
        for (uint32_t k = 0; path && k < s->folders.n; k++)
            if (!strcmp(s->folders.at[k], uri_real_path(&s->scratch, path)))
                s->folders.at[k] = s->folders.at[--s->folders.n];
    }
    for (uint32_t i = 0; i < read_count(added); i++)
        add_folder(s, read_text(read_member(read_at(added, i), "uri")));
}

static void set_trace(struct server *s, json_in value)
{
    const char *word = read_text(value);
    s->tracing = word && strcmp(word, "off");
}

/* --- beginning and end -------------------------------------------------------------------- */

void lifecycle_initialize(struct server *s, json_in id, json_in params)
{
    if (s->state != STATE_NEW) {
        message_error(s, id, RPC_INVALID, "the session has begun already");
        return;
    }
    struct json *j = &s->json;
    s->state = STATE_RUNNING;
    s->client = read_client(read_member(params, "capabilities"));
    set_trace(s, read_member(params, "trace"));
    s->encoding = agreed_encoding(read_path(params, "capabilities.general.positionEncodings"));
    read_folders(s, params);
    message_begin_answer(s, id);
    json_begin_object(j, JSON_ROW);
    json_key(j, "capabilities");
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "positionEncoding", encoding_names[s->encoding]);
    method_announce(s);
    json_end(j);
    json_key(j, "serverInfo");
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "name", "studbay");
    json_string_member(j, "version", s->version);
    json_end(j);
    message_send(s);
}

/* Plans and logs that somebody else writes: another program, or `studbay log`. */
void lifecycle_initialized(struct server *s, json_in id, json_in params)
{
    (void)id, (void)params;
    struct json *j = &s->json;
    if (!s->client.watches)
        return;
    message_begin_request(s, "client/registerCapability");
    json_begin_object(j, JSON_ROW);
    json_key(j, "registrations");
    json_begin_array(j, JSON_ROW);
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "id", "plans-and-logs");
    json_string_member(j, "method", "workspace/didChangeWatchedFiles");
    json_key(j, "registerOptions");
    json_begin_object(j, JSON_ROW);
    json_key(j, "watchers");
    json_begin_array(j, JSON_ROW);
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "globPattern", "**/*.{bay,log}");
    message_send(s);
}

void lifecycle_shutdown(struct server *s, json_in id, json_in params)
{
    (void)params;
    s->state = STATE_SHUT;
    message_null(s, id);
}

void lifecycle_exit(struct server *s, json_in id, json_in params)
{
    (void)id, (void)params;
    s->status = s->state == STATE_SHUT ? 0 : 1;
    s->state = STATE_ENDED;
}

void lifecycle_set_trace(struct server *s, json_in id, json_in params)
{
    (void)id;
    set_trace(s, read_member(params, "value"));
}

/* It was obeyed when it came, before what waits was answered. */
void lifecycle_cancel(struct server *s, json_in id, json_in params)
{
    (void)s, (void)id, (void)params;
}
