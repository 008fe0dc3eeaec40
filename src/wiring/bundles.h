/* Which cables lie together without spacing, and what is left of their ampacity. */
#ifndef STUDBAY_WIRING_BUNDLES_H
#define STUDBAY_WIRING_BUNDLES_H

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct bores;
struct bundle;
struct conductor_asks;
struct model;
struct routes;
struct run;
struct wiring;

/* By run id the largest bundle of each run: in its holes, and where it is stapled. `ranked`: all
 * runs, in an order that does not hang on that of the statements. n log n. */
const struct bundle *bundles_find(struct arena *arena, struct model *m, const struct routes *routes,
                                  const struct wiring *wiring, const struct bores *bores,
                                  const struct run *const *ranked);

/* Notes in `routes->lying` what the bundles leave to each run (table adjustment), but for lengths
 * that are too short to count on a circuit (table mixed-ampacities). Whether a cable that was
 * chosen does not serve as it lies now: then all is wired anew, and those that are chosen are
 * larger. `asks` by circuit id. */
bool bundles_lay(struct model *m, struct routes *routes, const struct wiring *wiring,
                 const struct bores *bores, const struct conductor_asks *asks);

#endif
