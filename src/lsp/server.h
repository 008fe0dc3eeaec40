/* The language server (LSP 3.17): what editors ask of a plan while it is written. It takes bytes in
 * and gives bytes out, and knows neither pipes nor clocks (loop.h does).
 *
 * A document is a text that is open in the editor; it stands for the file of the disk wherever that
 * is read. A plan is a file that no other includes, with all that it includes and the site log
 * beside it; it is compiled when one of them has changed and all messages that came are read, or
 * when something is asked of it before. */
#ifndef STUDBAY_LSP_SERVER_H
#define STUDBAY_LSP_SERVER_H

#include "base/json.h"
#include "compile.h"
#include "lsp/position.h"
#include "lsp/read.h"
#include "lsp/stream.h"

/* One text that is open. */
struct document {
    struct document *next;
    struct arena arena; /* what follows, for as long as it is open */
    const char *uri, *real;
    struct buf text;
    int64_t version;
    uint32_t changes; /* counted by the server: a text is known by its document and these */
    struct arena lines_arena;
    struct line_table lines; /* of the text; made when it is asked for */
    bool lines_known;
    struct form_of *form; /* of the text; NULL until it is asked for (forms.h) */
};

/* What was sent of a file last. */
struct told {
    const char *uri;
    uint64_t words;   /* hash of it */
    uint32_t changes; /* of its text, if it is open */
};

typedef VEC(struct told) told_list;

struct plan {
    struct plan *next;
    struct arena arena; /* its name */
    const char *path;   /* that it is compiled by: as the editor names it */
    const char *real;
    bool dirty, compiled;
    struct compilation *c; /* the last that was finished, in one of these */
    struct compilation rooms[2];
    bool is_read; /* the other one was begun: its text was read, and is judged next (reading.h) */
    struct resident resident; /* of the compilations before */
    uint32_t compiles;
    struct arena told_arena;
    told_list told;
    struct plan_lines *lines; /* of its sources; in the arena of the compilation */
};

/* A message that came and is not answered yet. */
struct waiting {
    struct waiting *next;
    struct arena arena; /* it lies in there itself */
    json_in message;
    bool cancelled;
};

/* What the editor can do, as it says when it begins. */
struct client {
    bool snippets, markdown, diagnostic_related, diagnostic_tags, diagnostic_href, diagnostic_data,
        versions, watches, symbols_nested, document_changes, action_literals, prepare_rename;
};

enum server_state { STATE_NEW, STATE_RUNNING, STATE_SHUT, STATE_ENDED };

struct server {
    struct buf out; /* bytes for the editor */
    struct stream in;
    struct buf body; /* of the message that is being written */
    struct json json;
    struct arena scratch; /* of one message */
    enum server_state state;
    int status; /* to exit with, when it has ended */
    enum encoding encoding;
    struct client client;
    const char *version; /* of the program */
    const char *pages; /* the folder of the rules' pages, with a slash; NULL: there is none here */
    struct compilation library;
    struct arena arena; /* for as long as it runs: the folders of the workspace */
    VEC(const char *) folders;
    struct document *documents;
    struct plan *plans;
    struct waiting *first, *last;
    uint32_t changes, compiles, requests_made;
    bool tracing; /* the editor wants to be told of what is compiled */
};

/* `stdlib` as in compile_options; `version` and `pages` live longer than the server. */
void server_begin(struct server *s, const char *stdlib, const char *version, const char *pages);

/* Bytes of the editor: whole messages are read, so that what is cancelled is known, and wait. */
void server_take(struct server *s, const char *bytes, size_t n);

/* Answers one message, or, where none waits and `idle`, compiles one plan that has changed. False:
 * there is nothing to do. */
bool server_step(struct server *s, bool idle);

void server_end(struct server *s);

#endif
