/* What a plan says beside what is built: stock, prices, waivers, what it changes of a book. */
#ifndef STUDBAY_MODEL_ORDERS_H
#define STUDBAY_MODEL_ORDERS_H

#include "base/arena.h"
#include "base/length.h"
#include "base/source.h"

#include <stdbool.h>
#include <stdint.h>

struct cable_def;
struct diag;
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
    const char *what; /* words as the plan writes them, one blank between; interned */
    double amount;
    struct span at; /* of a price list: its line; else nothing */
};

/* Kinds of work that are counted for an estimate, each by the word of `rate`. */
enum work_kind {
#define WORK(id, word, one, many, of) WORK_##id,
#include "model/works.def"
#undef WORK
    WORKS
};

struct work_words {
    const char *word, *one, *many, *of;
};

extern const struct work_words model_works[WORKS];

/* Whether it is counted in feet. */
static inline bool work_is_of_feet(enum work_kind w)
{
    return w == WORK_LAY || w == WORK_PULL;
}

/* The parts of an estimate that a share may be on. */
enum money_part {
    PART_OF_MATERIALS,
    PART_OF_WORK,
    PART_OF_RENTALS,
    PART_OF_ALLOWANCES,
    MONEY_PARTS
};

struct rental {
    const char *what;
    double price;  /* of one day, or of the job where no days are said */
    uint32_t days; /* 0: not said */
};

struct allowance {
    const char *what;
    double price;
};

/* A markup or a tax. */
struct surcharge {
    double percent;
    bool tax;
    enum money_part on; /* MONEY_PARTS: on all of it */
    const struct node *node;
};

/* What a plan says of the price of the work. */
struct terms {
    double rate[WORKS]; /* min for one; negative: not said */
    const struct node *rate_node[WORKS];
    double wage; /* of an hour; negative: not said */
    const struct node *wage_node;
    VEC(struct rental) rentals;
    VEC(struct allowance) allowances;
    VEC(struct surcharge) surcharges; /* in the order of the plan */
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

/* What the plan says of money and time; where it has none read, nothing. */
const struct terms *model_terms(const struct model *m);

/* The price of a thing, by the words of a price statement; negative where neither the plan nor its
 * price list names one. */
double model_price(const struct model *m, const char *what);

/* Takes over the prices of a list, comma-separated with a header (RFC 4180), of what the plan
 * itself has no price for. Lines that cannot be read are findings, and name no price. Linear. */
void model_read_prices(struct model *m, struct diag *diag, struct source *list);

/* Where the price list of a plan lies: `own`, garage.prices.csv for garage.bay; else prices.csv, of
 * all the plans of its folder. NULL for standard input. */
const char *model_price_list(struct arena *arena, const char *plan, bool own);

#endif
