/* What is to be bought, item by item: the one list that the reports materials and estimate read. */
#ifndef STUDBAY_EMIT_REPORTS_MATERIALS_H
#define STUDBAY_EMIT_REPORTS_MATERIALS_H

#include "emit/money.h"
#include "emit/results.h"

/* In the order in which they are listed. */
enum purchase_group {
    CABLES,
    PANELS,
    BREAKERS,
    BOX_TYPES,
    RINGS,
    DEVICES,
    COVERS,
    SUNDRIES,
    SUPPORTS,
    PURCHASE_GROUPS
};

struct purchase {
    enum purchase_group group;
    const char *name, *unit; /* interned; "each", "coil" */
    const char *told;        /* as a clerk is told it; NULL: its name */
    uint64_t quantity;
    double price; /* of one; negative: none */
};

typedef VEC(struct purchase *) purchase_list;

/* Those that are left to buy, by group and name. Linear but for the sort. */
purchase_list materials_find(const struct results *r);

/* As a clerk is told it. */
const char *materials_told(const struct results *r, const struct purchase *p);

/* What all of them cost; 0 where they have no price. */
money materials_money(const struct purchase *p);

#endif
