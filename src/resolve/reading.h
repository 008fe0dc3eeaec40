/* What the files that read definitions share. */
#ifndef STUDBAY_RESOLVE_READING_H
#define STUDBAY_RESOLVE_READING_H

#include "base/length.h"
#include "base/map.h"
#include "resolve/written.h"

struct value;

/* What a definition may hold of each; definitions.c tells what goes beyond. */
enum {
    MOST_TERMINALS = 32,
    MOST_POSITIONS = 8,
    MOST_PARTS = 8,
    MOST_OF_A_PART = 15,
    MOST_RINGS = 16,
    MOST_STOCK_LENGTHS = 255,
};

/* Definitions are declared first, then read when they are needed, bases before those that stand on
 * them: they may stand in any order. */
enum state { UNREAD, READING, READ };

struct declared {
    enum form_id form;
    const struct node *node;
    void *definition;
    enum state state;
    bool of_plan;
};

struct reading {
    struct library *lib;
    struct arena *arena;
    struct map near; /* names of definitions, for suggestions */
    VEC(struct declared *) order;
    bool of_plan;
};

/* Clauses of a definition; `inherited` where it says nothing. def_choice: which of the words
 * (NULL-ended). */
const char *def_name(const struct library *lib, const struct node *n);
const char *def_title(const struct node *n, const char *name);
double def_amount(const struct node *n, enum form_id form, double inherited);
uint8_t def_count(const struct node *n, enum form_id form, uint8_t inherited);
length def_length(const struct node *n, enum form_id form, length inherited);
bool def_flag(const struct node *n, enum form_id form, bool inherited);
int def_choice(const struct node *n, enum form_id form, const char *const *words, int inherited);
/* A size as text, interned; NULL where the value is none. */
const char *def_size(struct library *lib, const struct value *v);

/* Words of mounts, NULL-ended, in the order of enum mount. */
extern const char *const def_mounts[];

/* devices.c. Words that a terminal takes or gives, NULL-ended, in the order of enum net_bit. */
extern const char *const def_nets[];
void device_read(struct reading *r, struct declared *decl, const struct declared *base);

/* library.c. Notes that a name means a definition. */
void resolve_mention(struct library *lib, const struct node *n, const struct value *v,
                     const struct declared *d);

/* definitions.c. What is wrong with a definition that has been read; a device, cable or box type
 * that cannot work is marked as faulty. */
void resolve_check_definition(struct reading *r, const struct declared *d);

#endif
