/* JSON that came in, read by jansson: this is the one file that sees it. What is not there, or is
 * not of the sort that was asked for, reads as nothing, so that messages are looked into without
 * asking at each step. */
#ifndef STUDBAY_LSP_READ_H
#define STUDBAY_LSP_READ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct json_t;

/* A value; NULL is none. It lives as long as the text that it is part of. */
typedef const struct json_t *json_in;

/* Reads a whole text; NULL where it is no JSON. Give it back with read_free. Surrogates that stand
 * alone, which an editor may send, are read as U+FFFD: they count as one unit there and here. */
json_in read_json(const char *text, size_t size);
void read_free(json_in value);

json_in read_member(json_in object, const char *name);

/* A member of a member: "textDocument.uri". */
json_in read_path(json_in object, const char *path);

uint32_t read_count(json_in array);
json_in read_at(json_in array, uint32_t i);
bool read_is_object(json_in value);
bool read_is_array(json_in value);
bool read_is_null(json_in value);

/* A text with a NUL behind it; NULL where it is none. */
const char *read_text(json_in value);
size_t read_size(json_in text);

/* Whether it is a whole number, and which. */
bool read_is_number(json_in value);
int64_t read_number(json_in value, int64_t otherwise);
bool read_is_true(json_in value);

/* Whether two values are the same. */
bool read_is_same(json_in a, json_in b);

#endif
