/* What a plan says beside what is built: stock, prices, waivers, what it changes of a book. */
#ifndef STUDBAY_MODEL_ORDERS_H
#define STUDBAY_MODEL_ORDERS_H

#include "base/length.h"

#include <stdbool.h>
#include <stdint.h>

struct cable_def;
struct edition;
struct model;
struct node;
struct raceway_def;
struct rule;
struct unit;

struct coil {
    uint32_t id;
    struct cable_def *cable;     /* NULL: a raceway, or one that is not known */
    struct raceway_def *raceway; /* a stick or a coil of it; else NULL */
    const char *color;           /* of single conductors, interned; NULL: not said */
    length length;
    double price; /* negative: none */
    uint32_t count;
    bool on_hand;
    bool counted; /* the plan says how many there are */
    const char *name, *title;
    const struct node *node;
};

struct price {
    const char *what; /* words as the plan writes them, one blank between */
    double amount;
};

struct waiver {
    const struct node *node;
    struct unit *unit;
    const struct rule *rule;
    const char *subject;           /* the address it covers; NULL: the whole plan */
    const struct circuit *circuit; /* where it names one */
    const char *because, *by, *on;
    bool used; /* it lets a finding stand */
};

/* What a plan changes of a book that it is checked by. */
struct amendment {
    const struct edition *edition;
    const char *because;
    const char **tables; /* tables and lists that it changes or takes away, each once */
    uint32_t table_count;
};

/* What a plan says of the load that the house already has. */
struct existing_load {
    double va;
    const char *what; /* NULL: not said */
};

/* The price of a thing, by the words of a price statement; negative where the plan names none. */
double model_price(const struct model *m, const char *what);

#endif
