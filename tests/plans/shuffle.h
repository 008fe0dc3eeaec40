/* For tests: a text whose statements stand in another order. */
#ifndef STUDBAY_TESTS_SHUFFLE_H
#define STUDBAY_TESTS_SHUFFLE_H

#include "base/buf.h"

#include <stdint.h>

/* Appends the text with its statements shuffled: those at the top and in units, boxes in rooms,
 * runs in circuits. What the language says decides keeps its order: devices in a box, and the rooms
 * among themselves, as studs of a shared wall are counted from the room that is named first. The
 * text must be without faults of form. Comments outside of statements are lost. */
void shuffle_text(const char *bytes, size_t size, uint64_t seed, struct buf *out);

#endif
