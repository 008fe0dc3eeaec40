/* What the standard library and a plan define: kinds, devices, cables, box types and the editions
 * of the books with their tables.
 *
 * All figures of codes and catalogues are read through here. Amounts: currents in A, voltages in V,
 * loads in VA, volumes in in3, resistances in ohm for 1000 ft, times in min, shares as fractions
 * (3 % is 0.03), temperatures in C; lengths are exact (base/length.h). */
#ifndef STUDBAY_RESOLVE_LIBRARY_H
#define STUDBAY_RESOLVE_LIBRARY_H

#include "base/length.h"
#include "base/map.h"
#include "resolve/book.h"

struct rule;

struct node; /* the statement of a definition */

/* --- kinds, cables, box types ------------------------------------------------------------- */

struct raceway_def;

struct kind_def {
    const char *name, *title;
    const struct node *node;
    const struct kind_def *base; /* what a book asks of it holds of this one too */
    bool habitable, sleeping, wet, unfinished, counts_area;
    bool of_plan, used;
};

/* Copper-clad aluminium carries what aluminium does, and its surface is that of copper. */
enum metal { COPPER, ALUMINIUM, COPPER_CLAD };
/* GROUND_RACEWAY: no wire, the metal raceway that the conductors lie in. */
enum ground_kind { GROUND_NONE, GROUND_BARE, GROUND_GREEN, GROUND_RACEWAY };

/* Insulated conductors in a cable, and gangs of a box: what is beyond is told where it stands. */
enum { MOST_CONDUCTORS = 16, MOST_GANGS = 12 };

struct cable_def {
    const char *name, *title, *family;
    const struct node *node;
    const struct cable_def *base;
    const char *size; /* "12", "1/0"; NULL for a cable of no size (data) */
    int gauge;        /* 14, 12 ... 1, 0 for 1/0, -1 for 2/0: larger is thinner */
    const char *ground_size, *neutral_size; /* neutral_size NULL: that of the others */
    const char *const *colors;              /* insulated conductors: black, white, red ... */
    uint8_t conductors;
    uint8_t whites; /* white or white-striped ones among them */
    enum ground_kind ground;
    enum metal metal;
    length diameter;
    int rated, adjusted_from; /* C: columns of the ampacity tables */
    int terminals; /* C: the column that counts where its terminals are marked for it; 0 none */
    const length *stock; /* lengths in which it is sold */
    uint8_t stock_count;
    const char *const *suits;
    uint8_t suits_count;
    bool power;  /* it has a size and a ground or two conductors: not data, coax or speaker wire */
    bool single; /* one conductor, of which as many as are needed go into a raceway */
    const struct cable_def *of; /* of a set of single conductors that was worked out, and of a spool
                                   of one colour: the conductor */
    const struct raceway_def *raceway; /* it is no cable but sticks or coils of this, to be cut */
    bool of_plan, used, faulty;
};

/* A raceway of one trade size. */
struct raceway_def {
    const char *name, *title, *family;
    const struct node *node;
    const struct raceway_def *base;
    length inside, outside; /* diameters; inside 0: a family, of no size */
    length apart, from_box; /* of its supports; 0 not said */
    length stick;           /* 0: it is bought in coils */
    const length *stock;    /* lengths of the coils in which it is sold */
    uint8_t stock_count;
    const char *const *suits;
    uint8_t suits_count;
    bool metal, may_fish;
    double grounds_amps; /* of metal: the largest breaker whose ground it is alone; 0: any */
    length grounds_long; /* and how long it may be for that */
    bool of_plan, used, faulty;
};

/* The cable as a plan names it: of conductors that were worked out, the conductor. */
static inline const struct cable_def *library_as_written(const struct cable_def *cable)
{
    return cable && cable->of ? cable->of : cable;
}

enum mount { MOUNT_ANY, MOUNT_WALL, MOUNT_CEILING, MOUNT_FLOOR };

/* What holds a box: nails or screws in the side of a stud or joist, a bracket or brace from one to
 * the next, or screws in the finish. */
enum fastened {
    FASTENED_UNSAID,
    FASTENED_NAILS,
    FASTENED_SCREWS, /* in a stud or joist, or in a block between two */
    FASTENED_BRACKET,
    FASTENED_BRACE,
    FASTENED_SURFACE
};

struct box_ring {
    length depth;
    double adds;
};

struct box_type {
    const char *name, *title;
    const struct node *node;
    uint8_t gangs; /* 0: a round box without a yoke */
    double volume; /* 0: marked on the thing itself (compartments, brackets) */
    length depth;
    length wide; /* in the wall; 0: by its gangs */
    enum mount mount;
    enum fastened fastened;
    bool clamp_internal, metal, divided, wet, old_work, integral;
    double section;    /* in2, of a conduit body; 0: it is none */
    double fan, holds; /* lb, 0 where not said */
    uint8_t fittings;
    const struct box_ring *rings;
    uint8_t ring_count;
    bool of_plan, used, faulty;
};

/* The ring that a box takes for the finish of its wall: the shallowest that comes through it; NULL
 * where it has none. */
const struct box_ring *library_box_ring_for(const struct box_type *type, length finish);

/* --- devices ------------------------------------------------------------------------------ */

enum device_sort {
    SORT_RECEPTACLE,
    SORT_LUMINAIRE,
    SORT_CONTROL,
    SORT_APPLIANCE,
    SORT_ALARM,
    SORT_EQUIPMENT,
    SORT_LOW_VOLTAGE
};

/* Sorts of nets that a terminal may take or give. */
enum net_bit {
    NET_LINE = 1,
    NET_NEUTRAL = 2,
    NET_GROUND = 4,
    NET_LEG = 8,
    NET_TRAVELER = 16,
    NET_LINE_A = 32,
    NET_LINE_B = 64,
    NET_INTERCONNECT = 128,
};

/* What a terminal is for, worked out once when its definition is read. */
enum terminal_role {
    ROLE_LINE,     /* takes a hot: line, line a or b, a leg where it says so */
    ROLE_LOAD,     /* hands on behind the device what another terminal of it takes */
    ROLE_LEG,      /* gives a leg */
    ROLE_TRAVELER, /* joins the switch before it, or the one behind */
    ROLE_NEUTRAL,
    ROLE_GROUND,
    ROLE_INTERCONNECT,
};

struct terminal {
    const char *name;
    const struct node *node;
    bool gives;
    uint8_t nets; /* net_bit */
    enum terminal_role role;
    char pole;      /* 'a', 'b': of a line or leg of two poles, of the two travelers; 0 */
    bool onward;    /* a traveler of a four-way that goes on to the next switch */
    bool contact;   /* a position joins it */
    uint8_t shared; /* in a part: 1 + place of the device's own terminal that it is; 0 the part's */
    uint8_t continues; /* ROLE_LOAD: 1 + place of the terminal that it hands on; 0 none */
};

enum { NO_TERMINAL = UINT8_MAX };

struct switch_position {
    const char *name;
    const struct node *node;
    uint8_t joins[2][2]; /* places of terminals that touch; unused pairs NO_TERMINAL */
};

enum switch_kind { SINGLE_POLE, THREE_WAY, FOUR_WAY, TWO_POLE };

/* The terminals of a device or of one of its parts, and what its handle joins. */
struct body {
    const struct terminal *terminals; /* of a part: its own, then the device's */
    uint8_t terminal_count;
    const struct switch_position *positions; /* those that join terminals of it, with the others */
    uint8_t position_count;
    uint8_t contacts; /* 1 << switch_kind: what its contacts can be on a leg */
    uint8_t serves;   /* the same with what it is made as too, where its place decides */
    bool control;     /* it works a leg */
};

/* How a load counts in a load calculation. */
enum demand_class {
    DEMAND_GENERAL,   /* within the load of the floor area: lighting, receptacles for anything */
    DEMAND_SPECIFIC,  /* plugged in, at its own rating */
    DEMAND_FIXED,     /* an appliance fastened in place */
    DEMAND_EQUIPMENT, /* fastened in place, and in no group that may be reduced */
    DEMAND_RANGE,
    DEMAND_COOKING, /* a cooktop or a wall oven: with others it may count as one range */
    DEMAND_DRYER,
    DEMAND_HEAT,
    DEMAND_STORAGE_HEAT, /* charged at night, all at once */
    DEMAND_COOLING,
    DEMAND_HEAT_PUMP, /* heats and cools */
    DEMAND_VEHICLE,
};

/* A strip of metal between terminals of two parts, which is broken off where they are to be apart.
 */
struct tab_def {
    const char *terminal; /* of the part that writes it */
    const char *to; /* a terminal of another sort of part; NULL: the same of the part beside */
    const struct node *node;
};

enum { MOST_TABS = 4 };

struct part_def {
    const char *name;
    uint8_t count; /* how many parts of this name a device has */
    double load;   /* VA, negative: the device's own */
    double volts;  /* 0: the device's own */
    bool continuous, motor, light;
    bool has_demand; /* else the device's own */
    enum demand_class demand;
    const struct node *node;
    const struct terminal *own; /* the terminals that the part itself writes */
    uint8_t own_count;
    struct tab_def tabs[MOST_TABS];
    uint8_t tab_count;
    struct body body;
};

/* The terminal of part `b` that a tab ties to this one of part `a`, which stands beside it: both by
 * their places in the bodies. NO_TERMINAL where there is none. */
uint8_t device_tied(const struct part_def *a, uint8_t terminal, const struct part_def *b);

enum multi { MULTI_YES, MULTI_COMPANION, MULTI_NO };
enum protection { PROTECTS_NOTHING = 0, PROTECTS_GFCI = 1, PROTECTS_AFCI = 2, PROTECTS_BOTH = 3 };

/* Of definitions that cannot work: found where they are read, or by the proof. */
extern const struct rule rule_definition_faulty;

struct device_def {
    const char *name, *title;
    const struct node *node;
    const struct device_def *base;
    enum device_sort sort;
    uint8_t yokes, outlets, gangs, fittings;
    double rating, volts, load;
    int terminals; /* C: its terminals are marked for it; 0 not said */
    const char *takes_from,
        *takes_to;     /* the thinnest and the thickest conductor of its terminals; NULL not said */
    const char *cable; /* interned: the low-voltage cable that ends at it; NULL not said */
    bool two_line;     /* it takes line-a and line-b */
    bool has_neutral;
    length housing; /* it stands in the ceiling, so wide; 0: it does not */
    bool continuous, wants_neutral, first_only, integral, fixed, fan_box, clear_of_insulation,
        motor;
    bool tamper_resistant; /* a receptacle whose slots have shutters */
    bool fuel_fired;       /* it burns gas, oil or wood */
    bool co_alr;           /* its terminals are marked for aluminium too */
    bool al_cu;            /* the same of larger ones */
    enum demand_class demand;
    enum multi multi;
    enum protection protects;
    bool has_height;
    length height;
    enum mount mount;
    uint8_t fixture_wires;
    const char *fixture_wire_size;
    struct body body;
    const struct node *handle; /* the definition whose positions it has, its own or a base's */
    bool made_to_suit;         /* it is made as single-pole, three-way and four-way */
    const struct part_def *parts;
    uint8_t part_count;
    bool of_plan, used;
    bool faulty; /* it, or what it is based upon, cannot work, which has been said */
};

/* Whether a terminal of the body takes, or (`gives`) gives, one of these nets (net_bit). */
bool body_has(const struct body *b, bool gives, uint8_t nets);

/* --- editions ----------------------------------------------------------------------------- */

struct table_row {
    const char *key; /* interned: "14", "1/0", "15 A", "receptacle" */
    const struct node *node;
    const struct value *cells; /* the first is the key */
    uint16_t count;
    uint64_t recalled; /* by cell, the last bit for all from there on */
};

struct table {
    const char *name, *source;
    bool recalled; /* as a whole, so that a row that is not there is recalled to be none */
    const char *const *columns;
    uint16_t column_count;
    VEC(struct table_row) rows;   /* in the order of the base edition, then of those that add */
    struct map row_of;            /* key -> index of the row + 1 */
    struct map settings;          /* name -> const struct value */
    struct map recalled_settings; /* name -> anything */
};

struct edition {
    const char *name, *title, *label; /* label: "NEC 2023", "IRC 2024", for messages */
    const struct node *node;
    const struct edition *base;
    bool of_plan, used;
    VEC(const struct node *) amendments; /* amend statements of the plan */
    struct map said; /* name -> what its statements and those of the amendments say of that table;
                        made when a table is first asked for */
    bool indexed;
    struct map
        tables; /* name -> struct table, merged with those of the bases when first asked for */
    const struct edition *shared; /* the same one in a library that stands behind this one, which
                                     has all its tables merged; NULL: none */
};

struct mentions;

struct library {
    struct diag *diag;
    struct names *names;
    struct mentions *mentions; /* what names mean (mention.h); NULL: nobody asks */
    struct map kinds, cables, raceways, box_types, devices, editions; /* (0, name) -> definition */
    VEC(struct kind_def *) kind_list;
    VEC(struct cable_def *) cable_list;
    VEC(struct raceway_def *) raceway_list;
    VEC(struct box_type *) box_type_list;
    VEC(struct device_def *) device_list;
    VEC(struct edition *) edition_list;
};

/* Reads the definitions of files (F_FILE nodes) into the library: definition-cycle, duplicate-name,
 * unknown-name of bases. `of_plan`: they stand in a plan; those of the library come first, cannot
 * be redefined, and may be based upon. */
void library_add(struct library *lib, struct node *const *files, uint32_t count, bool of_plan);

/* Begins an empty library, which has its diag and names, with the definitions of one that lives
 * longer and stays as it is: plans that are read one after another share it. Its names are the
 * parent of those here. */
void library_share(struct library *lib, const struct library *shared);

/* Notes that the plan uses a definition, if it is one of its own: of those of the library nobody
 * asks, and other plans share them. */
#define library_use(definition) ((void)((definition)->of_plan && ((definition)->used = true)))

/* Whether a kind is the one of that name, or based upon it. */
bool library_kind_is(const struct kind_def *kind, const char *name);

struct kind_def *library_kind(const struct library *lib, const char *name);
struct cable_def *library_cable(const struct library *lib, const char *name);
struct raceway_def *library_raceway(const struct library *lib, const char *name);
struct box_type *library_box_type(const struct library *lib, const char *name);
struct device_def *library_device(const struct library *lib, const char *name);
struct edition *library_edition(const struct library *lib, const char *name);

/* --- tables of an edition ----------------------------------------------------------------- */

/* The table of that name (interned) in the edition, merged with those of its bases; NULL where it
 * has none. For words that book.def does not have: what C asks for by a word of its own goes
 * through code_table. */
struct table *edition_table(struct library *lib, struct edition *e, const char *name);
/* Merges all tables of all editions beforehand. */
void library_merge_tables(struct library *lib);

/* What was found for a table of book.def, or that there is none; `told`: that it is missing has
 * been reported. */
struct known_table {
    struct table *table;
    const char *reader; /* who asked last */
    const char *unsure; /* its row, column or setting that alone is not known; NULL: no part */
    bool sought, told;
    bool recalled;                               /* some figure of it */
    bool read_whole, read_recalled, read_unsure; /* what of it was read, by whomever */
};

struct known_item {
    const struct value *value; /* of a setting; NULL for "none" too */
    const char *text;          /* of a setting that is a size, once it was asked for */
    uint16_t place;            /* of a column in its table */
    bool sought, missing, told;
};

struct known_rule {
    const char *name, *article; /* the rule's name, interned; the article, NULL for none */
    bool sought;
};

/* The editions a plan is checked by: the electrical code, and the residential building code beside
 * it. They are settled before anything is asked for but the name of the residential code, which
 * stands in the electrical one: what was found once is kept. */
struct code {
    struct library *lib;
    struct edition *electrical, *residential;
    struct known_table tables[BOOK_TABLES];
    struct known_item items[BOOK_ITEMS];
    struct {
        int degrees;
        uint16_t place; /* + 1 */
    } ampacity[2][2];   /* by metal: the columns that were last asked for, by turns */
    struct {
        const struct table *of;
        double *numbers;
        uint32_t count;
    } in_order;                   /* the numbers of the list that was last asked for so */
    struct known_rule *rules;     /* by place in the list of all */
    const char *reader;           /* who asks: a rule, report, drawing or stage, by its name */
    struct map readers;           /* (table, who asked) -> anything */
    struct map recalled_articles; /* texts of articles that were asked for -> anything */
};

/* The table, looked up in the electrical code and its bases, then in the residential code. NULL
 * where neither has it: reported once as a fault of the library, never replaced by a figure of
 * ours. Who takes it so counts as reading all of it: of what is recalled or not known the functions
 * below keep what was read. */
struct table *code_table(struct code *c, enum book_table table);
/* The same without a report where it is missing. */
struct table *code_find_table(struct code *c, enum book_table table);

/* The numbers that a list is of, those above nothing, from the smallest up. */
const double *code_keys_in_order(struct code *c, enum book_table list, uint32_t *count);

/* The number of a value: A, V, VA, in3, a fraction for %, inches for a length; `missing` for NULL.
 */
double value_amount(const struct value *v, double missing);

/* Settings by their measure: code_share(code, SET_BOX_FILL_EACH_FURTHER, 0), code_length, code_yes,
 * code_word ... One that is "none" or missing gives `missing`, NULL or false; where it may not
 * lack, that it is missing is reported like a missing table. code_no: the setting says "no";
 * code_says: it is this word. */
#define NUMBER(m)                                                                                  \
    double code_##m(struct code *c, const struct m##_setting *setting, double missing);
#define WORD(m) const char *code_##m(struct code *c, const struct m##_setting *setting);
NUMBER_MEASURES(NUMBER)
WORD_MEASURES(WORD)
#undef NUMBER
#undef WORD
length code_length(struct code *c, const struct length_setting *setting, length missing);
bool code_yes(struct code *c, const struct yes_no_setting *setting);
bool code_no(struct code *c, const struct yes_no_setting *setting);
bool code_says(struct code *c, const struct word_setting *setting, const char *word);
/* A setting whose name ends with a size: home-run-14. */
length code_length_by(struct code *c, const struct length_setting *setting, const char *size,
                      length missing);
/* The voltage of one line where a supply has two, 120/240 V; else its only one. */
double code_low_voltage(struct code *c, const struct voltage_setting *setting, double missing);

/* The row of a key (interned), which is kept as read; NULL where there is none. */
const struct table_row *code_find_row(struct code *c, enum book_table table, const char *key);
/* The row of a key: NULL where there is none. Keys as in table_row.key, interned: names of kinds,
 * devices and rooms, sizes of cables. */
const struct table_row *row_named(const struct table *t, const char *name);
/* A cell by its column, which knows its table: of the row of a key (interned), or of the row at a
 * place in the table. `missing`, NULL or false where there is none, and for "none". A table that is
 * missing is not reported here: whoever wants that asks for it first. */
#define NUMBER(m)                                                                                  \
    double code_cell_##m(struct code *c, const struct m##_column *column, const char *key,         \
                         double missing);                                                          \
    double code_row_##m(struct code *c, const struct m##_column *column, uint32_t row,             \
                        double missing);
#define WORD(m)                                                                                    \
    const char *code_cell_##m(struct code *c, const struct m##_column *column, const char *key);   \
    const char *code_row_##m(struct code *c, const struct m##_column *column, uint32_t row);
NUMBER_MEASURES(NUMBER)
WORD_MEASURES(WORD)
#undef NUMBER
#undef WORD
length code_cell_length(struct code *c, const struct length_column *column, const char *key,
                        length missing);
length code_row_length(struct code *c, const struct length_column *column, uint32_t row,
                       length missing);
bool code_cell_yes(struct code *c, const struct yes_no_column *column, const char *key);
/* A text of C as a key. */
const char *code_key(struct code *c, const char *key);
/* The columns whose names end with a size, in their order: of-14, of-12. How many there are, and of
 * each the size (interned); `most` at the most. */
uint32_t code_sizes(struct code *c, const struct count_column *column, const char **sizes,
                    uint32_t most);
double code_row_count_by(struct code *c, const struct count_column *column, uint32_t row,
                         const char *size, double missing);

/* Whether a list of the edition has the word: any text, or (`_name`) an interned one. */
bool code_list_has(struct code *c, enum book_table list, const char *word);
bool code_list_has_name(struct code *c, enum book_table list, const char *name);
/* The same for a value as a plan has it, with its unit: 120/240 V, 15 A. */
bool code_list_has_value(struct code *c, enum book_table list, const struct value *v);
/* What a short list has, for messages: "120/240 V", "15 A or 20 A"; "" where there is none. */
const char *code_list_words(struct code *c, enum book_table list);
/* The same for a kind of room, or one that it is based upon. */
bool code_list_has_kind(struct code *c, enum book_table list, const struct kind_def *kind);
/* The key of the row for a kind: its own name, else that of the nearest kind that it is based upon;
 * NULL where none has a row. */
const char *table_kind(const struct table *t, const struct kind_def *kind);

/* The name of a rule, interned: the key of its row in the tables that have rows for rules. */
const char *code_rule_name(struct code *c, const struct rule *rule);
/* The article of a rule with the edition's label, "NEC 2023 240.4(D)", or NULL where the table
 * `articles` has none. */
const char *code_article(struct code *c, const struct rule *rule);
/* The same for a row of that table which is not a rule but one case of it, "conductor-load". */
const char *code_case_article(struct code *c, const char *row);
/* The article in a row of a table of articles, "334.12", without the edition's label; NULL where
 * the row (or `row` itself) is not there. */
const char *code_row_article(struct code *c, const struct cite_column *column, const char *row);

/* Takes for a plan that names none the electrical code that the library says is usual
 * (plan-defaults), by the newest one, which serves itself where there is no such. */
void code_take_usual(struct code *c, struct edition *newest);

/* The tables of which a figure was read that is recalled (written from memory, not compared with a
 * published copy) and which have the reader by the schema: a rule, a report. `cites`: it names an
 * article that is; `name` NULL: whoever the reader is. */
const char *const *code_recalled(struct code *c, const char *name, bool cites, uint32_t *count);
/* The tables of that reader that were asked for and are not known of this edition (`unknown`), or
 * of which the row, column or setting that is not known was read, so that they stand as in the one
 * before, each with what is not known: "dryer-demand (Table 120.54 for 6 to 42 dryers)". */
const char *const *code_unknown(struct code *c, const char *name, bool cites, uint32_t *count);
/* Tells each finding what it rests on. */
void code_vouch(struct code *c);

/* Ampacity in A of a conductor size by the column of the highest temperature that is not above
 * `degrees` (C; 0: not known, as for small terminals); 0 where the table has none. The size is
 * interned, as in cable_def.size. */
double code_ampacity(struct code *c, enum metal metal, const char *size, int degrees);

/* The share of its ampacity that a conductor has in air of `air` (C), by the column of its
 * insulation; 0 where the air is too hot for that, 1 without a table. */
double code_ambient_share(struct code *c, double air, int degrees);

/* Gauge of a size as in cable_def.gauge; ANY_GAUGE, thinner than all, where it is no size. */
enum { ANY_GAUGE = 1 << 10 };
int library_gauge_of(const char *size);

#endif
