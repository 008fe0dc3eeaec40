/* JSON written into a buffer: quotes, commas, nesting and indentation are the writer's own. Nothing
 * is allocated but the room in the buffer.
 *
 * What is opened is closed by json_end, the innermost first. A container with JSON_LINES has each
 * of its members on a line of its own, two blanks further in; one with JSON_ROW has them all on one
 * line. */
#ifndef STUDBAY_BASE_JSON_H
#define STUDBAY_BASE_JSON_H

#include "base/buf.h"

#include <stdint.h>

enum json_layout { JSON_ROW, JSON_LINES };

/* At most so many containers stand one in the other. */
enum { JSON_DEPTH = 64 };

struct json {
    struct buf *out;
    unsigned depth, margin;         /* blanks before the members of the innermost JSON_LINES */
    uint64_t arrays, lines, filled; /* a bit for each open container, the outermost first */
    bool keyed, broken;             /* a key stands before the value; a line ends before the key */
};

struct json json_begin(struct buf *out);

/* The name of the next value, in an object. */
void json_key(struct json *j, const char *name);

void json_begin_object(struct json *j, enum json_layout layout);
void json_begin_array(struct json *j, enum json_layout layout);
void json_end(struct json *j);

/* The next member of an object on one line begins another line, below the first. */
void json_break(struct json *j);

/* Values; bytes of a text that are no UTF-8 become U+FFFD, NULL is null. */
void json_text(struct json *j, const char *text);

/* The buffer, ready for a value that the caller writes: a number with its decimals. */
struct buf *json_value(struct json *j);

/* The same with their names. */
void json_string_member(struct json *j, const char *name, const char *text);
void json_integer_member(struct json *j, const char *name, int64_t n);
void json_bool_member(struct json *j, const char *name, bool truth);
void json_texts_member(struct json *j, const char *name, const char *const *texts, uint32_t count);

#endif
