/* What lies under the sessions with the language server: places of a text in each encoding (LSP
 * 3.17, "Position" and "Text Documents"), addresses of files (RFC 3986, RFC 8089), messages out of
 * a stream of bytes ("Base Protocol"), and bytes that are none, on the pipe too. */
#include "lsp_client.h"

#include "lsp/uri.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

/* --- places ------------------------------------------------------------------------------- */

/* a, e with an accent (2 bytes), a foot mark U+2032 (3), a house U+1F3E0 (4, two units of UTF-16),
 * b; then lines that end in each of the three ways. */
static const char text[] = "a\xc3\xa9\xe2\x80\xb2\xf0\x9f\x8f\xa0"
                           "b\r\nc\rd\n\ne";

static void places_are_counted_in_each_encoding(void **state)
{
    (void)state;
    static const struct {
        size_t off;
        uint32_t line, units[ENCODINGS]; /* UTF-16, UTF-8, UTF-32 */
    } places[] = {
        {0, 0, {0, 0, 0}},   {1, 0, {1, 1, 1}},   {3, 0, {2, 3, 2}},  {6, 0, {3, 6, 3}},
        {10, 0, {5, 10, 4}}, {11, 0, {6, 11, 5}}, {13, 1, {0, 0, 0}}, {14, 1, {1, 1, 1}},
        {15, 2, {0, 0, 0}},  {17, 3, {0, 0, 0}},  {18, 4, {0, 0, 0}}, {19, 4, {1, 1, 1}},
    };
    for (int e = 0; e < ENCODINGS; e++) {
        struct arena arena = {0};
        struct line_table t;
        line_table_make(&t, &arena, text, sizeof text - 1, (enum encoding)e);
        assert_int_equal(t.starts.n, 5);
        for (int backward = 0; backward < 2; backward++)
            for (size_t k = 0; k < sizeof places / sizeof *places; k++) {
                size_t i = backward ? sizeof places / sizeof *places - 1 - k : k;
                struct place_in_text at = line_table_place(&t, places[i].off);
                assert_int_equal(at.line, places[i].line);
                assert_int_equal(at.units, places[i].units[e]);
                assert_int_equal(line_table_offset(&t, at), places[i].off);
            }
        arena_free(&arena);
    }
}

/* "If the character value is greater than the line length it defaults back to the line length";
 * what lies inside a character is its start, and a line behind the last one is the end. */
static void places_that_are_none_are_the_nearest(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct line_table t;
    line_table_make(&t, &arena, text, sizeof text - 1, ENCODE_UTF16);
    assert_int_equal(line_table_offset(&t, (struct place_in_text){0, 99}), 11);
    assert_int_equal(line_table_offset(&t, (struct place_in_text){1, 99}), 14);
    assert_int_equal(line_table_offset(&t, (struct place_in_text){0, 4}),
                     6); /* between surrogates */
    assert_int_equal(line_table_offset(&t, (struct place_in_text){99, 0}), sizeof text - 1);
    assert_int_equal(line_table_place(&t, 999).line, 4);
    assert_int_equal(line_table_place(&t, 12).units, 6); /* between \r and \n */
    assert_int_equal(line_table_place(&t, 8).units, 3);  /* inside the house */
    line_table_make(&t, &arena, NULL, 0, ENCODE_UTF16);
    assert_int_equal(line_table_offset(&t, (struct place_in_text){0, 5}), 0);
    assert_int_equal(line_table_place(&t, 0).line, 0);
    arena_free(&arena);
}

/* Every byte of texts made at random, by the plain way of counting. */
static void places_agree_with_counting(void **state)
{
    (void)state;
    static const char *const parts[] = {
        "x",  "'",    "\xc3\xa9", "\xe2\x80\xb2", "\xf0\x9f\x8f\xa0",
        "\n", "\r\n", "\r",       "        ",     "box R1 north at 4'"};
    static const unsigned units[][ENCODINGS] = {{1, 1, 1}, {1, 1, 1},   {1, 2, 1}, {1, 3, 1},
                                                {2, 4, 1}, {0},         {0},       {0},
                                                {8, 8, 8}, {18, 18, 18}};
    uint64_t seed = 7;
    for (int round = 0; round < 300; round++) {
        struct buf b = {0};
        struct arena arena = {0};
        struct line_table t[ENCODINGS];
        size_t offs[64];
        uint32_t lines[64], at[64][ENCODINGS], line = 0, now[ENCODINGS] = {0};
        bool after_return = false;
        int n = 0;
        while (n < 60) {
            seed = seed * 6364136223846793005u + 1442695040888963407u;
            unsigned p = (unsigned)(seed >> 33) % 10;
            if (p == 5 && after_return)
                continue; /* it would be one end of a line with what stands before it */
            offs[n] = b.n;
            lines[n] = line;
            memcpy(at[n], now, sizeof now);
            n++;
            buf_puts(&b, parts[p]);
            bool ends = p >= 5 && p <= 7;
            line += ends;
            for (int e = 0; e < ENCODINGS; e++)
                now[e] = ends ? 0 : now[e] + units[p][e];
            after_return = p == 7;
        }
        for (int e = 0; e < ENCODINGS; e++) {
            line_table_make(&t[e], &arena, b.at, b.n, (enum encoding)e);
            for (int i = 0; i < n; i++) {
                int k = (i * 7) % n;
                struct place_in_text is = line_table_place(&t[e], offs[k]);
                assert_int_equal(is.line, lines[k]);
                assert_int_equal(is.units, at[k][e]);
                assert_int_equal(line_table_offset(&t[e], is), offs[k]);
            }
        }
        arena_free(&arena);
        buf_free(&b);
    }
}

/* --- addresses ---------------------------------------------------------------------------- */

static void addresses_are_paths(void **state)
{
    (void)state;
    struct arena arena = {0};
    assert_string_equal(uri_path(&arena, "file:///home/x/a%20b.bay"), "/home/x/a b.bay");
    assert_string_equal(uri_path(&arena, "FILE://localhost/x%C3%A9.bay#7"), "/x\xc3\xa9.bay");
    assert_string_equal(uri_path(&arena, "file:///100%.bay"), "/100%.bay");
    assert_null(uri_path(&arena, "untitled:Untitled-1"));
    assert_null(uri_path(&arena, "file://elsewhere/x.bay"));
    assert_null(uri_path(&arena, "file:///a%00b"));
    assert_null(uri_path(&arena, "file:relative"));
    for (int c = 1; c < 256; c++) {
        char path[] = "/plans/x.bay";
        path[7] = (char)c;
        assert_string_equal(uri_path(&arena, uri_of_path(&arena, path)), path);
    }
    assert_string_equal(uri_of_path(&arena, "/a b'.bay"), "file:///a%20b%27.bay");
    arena_free(&arena);
}

/* --- messages ----------------------------------------------------------------------------- */

/* The messages and faults of a stream as it comes in pieces of `step` bytes: "{..}" or "!" */
static void read_stream(const char *bytes, size_t step, struct buf *out)
{
    struct stream s = {0};
    const char *message;
    size_t size, n = strlen(bytes);
    out->n = 0;
    for (size_t i = 0; i < n; i += step) {
        stream_add(&s, bytes + i, n - i < step ? n - i : step);
        for (enum framed f; (f = stream_next(&s, &message, &size)) != FRAMED_NOTHING;)
            if (f == FRAMED_MESSAGE)
                buf_printf(out, "[%.*s]", (int)size, message);
            else
                buf_puts(out, f == FRAMED_TOO_LARGE ? "?" : "!");
    }
    stream_free(&s);
}

static void messages_come_out_of_a_stream(void **state)
{
    (void)state;
    static const struct {
        const char *bytes, *read;
    } streams[] = {
        {"Content-Length: 2\r\n\r\n{}Content-Length: 3\r\n\r\n{ }", "[{}][{ }]"},
        {"content-length:2\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n{}",
         "[{}]"},
        {"Content-Type: x\nContent-Length: 2\n\n{}", "[{}]"},
        {"Content-Length: 0\r\n\r\nContent-Length: 2\r\n\r\n{}", "[][{}]"},
        {"Content-Length: 9\r\n\r\n{}", ""},
        {"Content-Length: two\r\n\r\n{}Content-Length: 2\r\n\r\n{}", "![{}]"},
        {"Content-Length: -2\r\n\r\n{}Content-Length: 2\r\n\r\n{}", "![{}]"},
        {"Content-Type: x\r\n\r\n{}Content-Length: 2\r\n\r\n{}", "![{}]"},
        {"{\"jsonrpc\": \"2.0\"}\n\nContent-Length: 2\r\n\r\n{}", "![{}]"},
        {"Content-Length: 99999999999999999999\r\n\r\nContent-Length: 2\r\n\r\n{}", "![{}]"},
    };
    struct buf is = {0};
    for (size_t i = 0; i < sizeof streams / sizeof *streams; i++)
        for (size_t step = 1; step < 80; step += step < 8 ? 1 : 71) {
            read_stream(streams[i].bytes, step, &is);
            assert_string_equal(buf_text(&is), streams[i].read);
        }
    buf_free(&is);
}

static void what_is_too_large_is_passed_over(void **state)
{
    (void)state;
    struct stream s = {0};
    const char *message;
    size_t size, left = (size_t)LARGEST_MESSAGE + 1;
    static char part[1 << 20];
    char head[64];
    snprintf(head, sizeof head, "Content-Length: %zu\r\n\r\n", left);
    stream_add(&s, head, strlen(head));
    assert_int_equal(stream_next(&s, &message, &size), FRAMED_TOO_LARGE);
    for (size_t n; left; left -= n) {
        n = left < sizeof part ? left : sizeof part;
        stream_add(&s, part, n);
        assert_true(s.in.n < 2 * sizeof part); /* nothing of it is kept */
    }
    stream_add(&s, "Content-Length: 2\r\n\r\n{}", 23);
    assert_int_equal(stream_next(&s, &message, &size), FRAMED_MESSAGE);
    assert_int_equal(size, 2);
    stream_free(&s);
}

static void what_is_no_message_is_answered_by_its_code(void **state)
{
    (void)state;
    static const struct {
        const char *sent, *code, *id;
    } bad[] = {
        {"{\"jsonrpc\": \"2.0\", \"id\": 1, ", "-32700", "null"},
        {"", "-32700", "null"},
        {"\xff\xfe{}", "-32700", "null"},
        {"[]", "-32600", "null"},
        {"7", "-32600", "null"},
        {"{}", "-32600", "null"},
        {"{\"id\": 4, \"method\": 7}", "", ""}, /* as an answer of the editor, which is nobody's */
        {"{\"id\": {}, \"method\": \"shutdown\"}", "-32600", "null"},
        {"{\"id\": 1.5, \"method\": \"shutdown\"}", "-32600", "null"},
        {"{\"id\": 5, \"method\": \"shutdown\", \"params\": 3}", "-32600", "5"},
        {"{\"id\": \"x\", \"method\": \"no/such\"}", "-32601", "\"x\""},
        {"{\"id\": 6, \"method\": \"textDocument/didOpen\"}", "-32600", "6"},
        {"{\"id\": 9, \"result\": null}", "", ""},
        {"{\"method\": \"no/such\"}", "", ""},
        {"{\"method\": \"textDocument/didOpen\"}", "", ""},
        {"{\"method\": \"textDocument/didChange\", \"params\": {\"textDocument\": 3}}", "", ""},
        {"{\"method\": \"textDocument/didClose\", \"params\": []}", "", ""},
        {"{\"method\": \"$/cancelRequest\"}", "", ""},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct server s;
        char code[64], id[64];
        client_begin(&s, "{}");
        client_message(&s, bad[i].sent);
        client_wait(&s);
        char *said = client_said(&s);
        snprintf(code, sizeof code, "\"code\": %s,", bad[i].code);
        snprintf(id, sizeof id, "\"id\": %s,", bad[i].id);
        if (*bad[i].code) {
            assert_non_null(strstr(said, code));
            assert_non_null(strstr(said, id));
        } else {
            assert_string_equal(said, "");
        }
        free(said);
        client_message(&s, "{\"id\": 88, \"method\": \"shutdown\"}"); /* it is alive */
        client_wait(&s);
        said = client_said(&s);
        assert_non_null(strstr(said, "\"id\": 88, \"result\": null"));
        free(said);
        server_end(&s);
    }
}

/* What waits when it is cancelled is answered by an error, and no other; what was answered before
 * is not answered again. */
static void what_is_cancelled_is_told_so(void **state)
{
    (void)state;
    struct server s;
    client_begin(&s, "{}");
    client_message(&s, "{\"id\": 1, \"method\": \"no/such\"}");
    client_message(&s, "{\"id\": \"1\", \"method\": \"no/such\"}");
    client_message(&s, "{\"method\": \"$/cancelRequest\", \"params\": {\"id\": 1}}");
    client_wait(&s);
    char *said = client_said(&s);
    assert_non_null(strstr(said, "\"id\": 1, \"error\": {\"code\": -32800"));
    assert_non_null(strstr(said, "\"id\": \"1\", \"error\": {\"code\": -32601"));
    free(said);
    client_message(&s, "{\"method\": \"$/cancelRequest\", \"params\": {\"id\": 1}}");
    client_wait(&s);
    said = client_said(&s);
    assert_string_equal(said, "");
    free(said);
    server_end(&s);
}

/* Surrogates that stand alone are one unit, as in the editor; pairs are one character. */
static void surrogates_are_read(void **state)
{
    (void)state;
    struct server s;
    client_begin(&s, "{}");
    client_message(&s, "{\"method\": \"textDocument/didOpen\", \"params\": {\"textDocument\": "
                       "{\"uri\": \"file:///plans/x.bay\", \"version\": 1, \"text\": "
                       "\"# \\ud83c\\udfe0 \\ud83c x \\udfe0 \\\\ud83c \\u0000 \\u00e9\"}}}");
    client_wait(&s);
    assert_non_null(s.documents);
    static const char is[] = "# \xf0\x9f\x8f\xa0 \xef\xbf\xbd x \xef\xbf\xbd \\ud83c \0 \xc3\xa9";
    assert_int_equal(s.documents->text.n, sizeof is - 1);
    assert_memory_equal(s.documents->text.at, is, sizeof is - 1);
    server_end(&s);
}

/* --- the pipe ----------------------------------------------------------------------------- */

/* Starts the program between two pipes, of which this side keeps in[1] and back[0]. */
static pid_t start_program(const int *in, const int *back)
{
    pid_t child = fork();
    if (!child) {
        dup2(in[0], STDIN_FILENO);
        dup2(back[1], STDOUT_FILENO);
        close(in[0]);
        close(in[1]);
        close(back[0]);
        close(back[1]);
        execl(getenv("STUDBAY"), "studbay", "lsp", (char *)NULL);
        _exit(127);
    }
    close(in[0]);
    close(back[1]);
    return child;
}

/* Runs the program with that on its input, which is closed behind it; gives the exit status. */
static int run_program(const char *bytes, struct buf *out)
{
    int in[2], back[2];
    assert_int_equal(pipe(in), 0);
    assert_int_equal(pipe(back), 0);
    pid_t child = start_program(in, back);
    assert_int_equal(write(in[1], bytes, strlen(bytes)), (ssize_t)strlen(bytes));
    close(in[1]);
    char part[4096];
    for (ssize_t n; (n = read(back[0], part, sizeof part)) > 0;)
        buf_add(out, part, (size_t)n);
    close(back[0]);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/* "The server should exit with success code 0 if the shutdown request has been received before;
 * otherwise with error code 1." */
static void the_program_ends_as_it_should(void **state)
{
    (void)state;
#define INITIALIZE                                                                                 \
    "Content-Length: "                                                                             \
    "58\r\n\r\n{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"initialize\",\"params\":{}}"
#define SHUTDOWN "Content-Length: 44\r\n\r\n{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"shutdown\"}"
#define EXIT     "Content-Length: 33\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"exit\"}"
    static const struct {
        const char *bytes;
        int status;
    } runs[] = {
        {INITIALIZE SHUTDOWN EXIT, 0},
        {INITIALIZE EXIT, 1},
        {EXIT, 1},
        {INITIALIZE, 1},
        {"", 1},
        {"no message", 1},
    };
    signal(SIGPIPE, SIG_IGN);
    for (size_t i = 0; i < sizeof runs / sizeof *runs; i++) {
        struct buf out = {0};
        assert_int_equal(run_program(runs[i].bytes, &out), runs[i].status);
        if (!strncmp(runs[i].bytes, INITIALIZE, 40))
            assert_non_null(strstr(buf_text(&out), "\"positionEncoding\": \"utf-16\""));
        buf_free(&out);
    }
}

/* Bytes that come one by one, with nothing between them for a while, are one message; a reader that
 * goes away ends the program, which does not die of it. */
static void the_program_waits_and_ends(void **state)
{
    (void)state;
    int in[2], back[2];
    assert_int_equal(pipe(in), 0);
    assert_int_equal(pipe(back), 0);
    pid_t child = start_program(in, back);
    for (const char *p = INITIALIZE; *p; p++) {
        assert_int_equal(write(in[1], p, 1), 1);
        if (*p == ':' || *p == '\n')
            usleep(1000);
    }
    char part[16];
    assert_true(read(back[0], part, sizeof part) > 0);
    close(back[0]);
    assert_true(write(in[1], SHUTDOWN, strlen(SHUTDOWN)) > 0);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    close(in[1]);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 1);
}

/* An editor that writes far more than a pipe holds before it reads anything is answered all the
 * same, each message once. */
static void nobody_waits_for_the_other(void **state)
{
    (void)state;
    enum { ASKED = 5000 };
    int in[2], back[2];
    assert_int_equal(pipe(in), 0);
    assert_int_equal(pipe(back), 0);
    pid_t child = start_program(in, back);
    struct buf all = {0}, out = {0};
    buf_puts(&all, INITIALIZE);
    for (int i = 0; i < ASKED; i++) {
        char json[96];
        snprintf(json, sizeof json, "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"no/such\"}",
                 i + 10);
        buf_printf(&all, "Content-Length: %zu\r\n\r\n%s", strlen(json), json);
    }
    buf_puts(&all, SHUTDOWN EXIT);
    for (size_t at = 0; at < all.n;) {
        ssize_t n = write(in[1], all.at + at, all.n - at);
        assert_true(n > 0);
        at += (size_t)n;
    }
    char part[4096];
    for (ssize_t n; (n = read(back[0], part, sizeof part)) > 0;)
        buf_add(&out, part, (size_t)n);
    int status, answers = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    for (const char *p = buf_text(&out); (p = strstr(p, "-32601")); p++)
        answers++;
    assert_int_equal(answers, ASKED);
    assert_true(WIFEXITED(status) && !WEXITSTATUS(status));
    close(in[1]);
    close(back[0]);
    buf_free(&all);
    buf_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_are_counted_in_each_encoding),
        cmocka_unit_test(places_that_are_none_are_the_nearest),
        cmocka_unit_test(places_agree_with_counting),
        cmocka_unit_test(addresses_are_paths),
        cmocka_unit_test(messages_come_out_of_a_stream),
        cmocka_unit_test(what_is_too_large_is_passed_over),
        cmocka_unit_test(what_is_no_message_is_answered_by_its_code),
        cmocka_unit_test(what_is_cancelled_is_told_so),
        cmocka_unit_test(surrogates_are_read),
        cmocka_unit_test(the_program_ends_as_it_should),
        cmocka_unit_test(the_program_waits_and_ends),
        cmocka_unit_test(nobody_waits_for_the_other),
    };
    return cmocka_run_group_tests_name("lsp_bytes", tests, NULL, NULL);
}
