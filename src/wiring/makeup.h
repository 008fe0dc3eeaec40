#ifndef STUDBAY_WIRING_MAKEUP_H
#define STUDBAY_WIRING_MAKEUP_H

struct arena;
struct model;
struct wiring;

/* The make-up of every box and panel from the nets: what one conductor end and one terminal of a
 * yoke share is a landing, all else a splice with pigtails; all grounds of a box are one splice;
 * conductors that go no further are capped. Runs whose cable does not serve are left out. */
struct makeup *wiring_make_up(struct arena *arena, struct model *m, const struct wiring *w);

#endif
