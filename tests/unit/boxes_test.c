/* Whether a box serves has one answer: for the type that is chosen, for one that the plan names,
 * and for what would mend it. What is asked is in NFPA 70: 314.15 (wet places), 314.16 (room),
 * 314.23 (how it is fastened), 314.27 (what hangs from it). */
#include "compiled.h"
#include "facts/boxes.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "generate.h"
#include "loads/drops.h"
#include "loads/loads.h"
#include "wiring/wiring.h"

#include <dirent.h>

static const char *const rules[] = {"box-gangs",
                                    "box-mount",
                                    "fan-support",
                                    "luminaire-support",
                                    "box-overfilled",
                                    "weather-protection",
                                    "low-voltage-in-power-box"};

enum { RULES = sizeof rules / sizeof *rules, SORTS = 11, ROOMS = 2, BOXES = SORTS * ROOMS };

/* One box of each sort; a leg is named for its room. */
static const struct {
    const char *name, *at, *holds;
    bool power;
} sorts[SORTS] = {
    {"A", "west at 1' up 18\"", "cover in-use; receptacle-wr", true},
    {"B", "west at 3' up 18\"", "cover in-use; receptacle-wr; data", true},
    {"C", "west at 5' up 18\"", "data", false},
    {"D", "west at 7' up 48\"", "switch leg first; switch leg second", true},
    {"E", "north at 2' up 6'", "luminaire leg first", true},
    {"F", "overhead at 3', 3'", "luminaire leg first", true},
    {"G", "overhead at 6', 6'", "paddle-fan leg second 70 W", true},
    {"H", "overhead at 9', 3'", "cover blank", true},
    {"I", "floor at 5', 5'", "cover in-use; receptacle-wr", true},
    {"J", "north at 6' up 18\"", "cover in-use; gangs 3; receptacle-wr", true},
    {"K", "overhead at 3', 8'", "switch leg first", true},
};

static const char *const room_names[ROOMS] = {"shed", "porch"};
static const char *const placing_room_kinds[ROOMS] = {"workshop", "deck"};

static void write_room(struct buf *out, unsigned room, const char *const types[BOXES])
{
    buf_printf(out, "room %s { kind %s; corner %u', 0'; size 12' by 10'\n", room_names[room],
               placing_room_kinds[room], 20 * room);
    for (unsigned i = 0; i < SORTS; i++) {
        const char *type = types[room * SORTS + i];
        buf_printf(out, "  box %s %s { %s%s; %s }\n", sorts[i].name, sorts[i].at,
                   type ? "type " : "", type ? type : "", sorts[i].holds);
    }
    buf_printf(out, "}\ncircuit P.%u { breaker 20 A; run P -> %s.A", room + 1, room_names[room]);
    for (unsigned i = 1; i < SORTS; i++)
        if (sorts[i].power)
            buf_printf(out, " -> %s", sorts[i].name);
    buf_puts(out, " }\n");
}

/* The plan with a type written in each box; NULL: none. */
static void compile_boxes(struct compilation *c, const char *const types[BOXES])
{
    struct buf text = {0};
    buf_puts(&text, "plan \"Boxes\" { edition nec-2023 }\n"
                    "panel P { in shed south at 3' up 5'; main 60 A; spaces 8 }\n");
    for (unsigned room = 0; room < ROOMS; room++)
        write_room(&text, room, types);
    compile_text(c, buf_text(&text));
    buf_free(&text);
    assert_int_equal(c->model->boxes.n, BOXES);
}

/* The next finding of these rules about a box, from the place `*at` on. */
static const struct finding *next_finding(const struct compilation *c, const struct box *b,
                                          uint32_t *at)
{
    const char *address = address_of_box(c->model->arena, b, false);
    while (*at < c->diag.findings.n) {
        const struct finding *f = &c->diag.findings.at[(*at)++];
        for (unsigned k = 0; k < RULES; k++)
            if (finding_is(f, rules[k]) && f->subject && !strcmp(f->subject, address))
                return f;
    }
    return NULL;
}

static bool is_accepted(const struct compilation *c, uint32_t box)
{
    uint32_t at = 0;
    return !next_finding(c, c->model->boxes.at[box], &at);
}

/* Whether the compiler takes the type for a box where the library has no other. */
static bool is_chosen(struct compilation *bare, uint32_t box, struct box_type *type)
{
    struct model *m = bare->model;
    struct library lib = *m->lib, *whole = m->lib;
    lib.box_type_list.at = &type;
    lib.box_type_list.n = 1;
    m->lib = &lib;
    bool chosen = wiring_box_that_serves(m, bare->wiring, m->boxes.at[box]) == type;
    m->lib = whole;
    return chosen;
}

/* The type that a mend names, "type X, 18 in3" or "..., such as X"; NULL: none. */
static const char *mended_type(const struct compilation *c, const struct finding *f)
{
    const char *such = f->mend ? strstr(f->mend, "such as ") : NULL;
    const char *at = such                                       ? such + strlen("such as ")
                     : f->mend && !strncmp(f->mend, "type ", 5) ? f->mend + 5
                                                                : NULL;
    return at ? arena_copy(c->model->arena, at, strcspn(at, ", ")) : NULL;
}

/* Writes the type of the n-th mend of each box, of the last where it has fewer. Gives how many
 * there are. */
static unsigned mend_boxes(const struct compilation *c, unsigned n, const char *types[BOXES])
{
    unsigned mended = 0;
    for (uint32_t box = 0; box < BOXES; box++) {
        uint32_t at = 0;
        unsigned left = n + 1;
        for (const struct finding *f;
             left && (f = next_finding(c, c->model->boxes.at[box], &at));) {
            const char *type = mended_type(c, f);
            types[box] = type ? type : types[box];
            mended += type != NULL;
            left -= type != NULL;
        }
    }
    return mended;
}

static void check_mends(const struct compilation *c, const char *name, unsigned *mends)
{
    for (unsigned n = 0; n < RULES; n++) {
        const char *types[BOXES] = {NULL};
        struct compilation mended;
        if (!mend_boxes(c, n, types))
            return;
        compile_boxes(&mended, types);
        for (uint32_t box = 0; box < BOXES; box++) {
            if (types[box] && !is_accepted(&mended, box))
                print_error("box %u, of type %s: the mend %s breaks a rule\n", box, name,
                            types[box]);
            assert_true(!types[box] || is_accepted(&mended, box));
            *mends += types[box] != NULL;
        }
        compile_free(&mended);
    }
}

/* Every type of the library in every sort of place, with every sort of contents. */
static void a_type_is_judged_as_it_is_chosen(void **state)
{
    (void)state;
    static const char *const none[BOXES];
    struct compilation bare;
    unsigned counts[2] = {0}, unknown = 0, mends = 0;
    compile_boxes(&bare, none);
    for (uint32_t i = 0; i < bare.lib.box_type_list.n; i++) {
        struct box_type *type = bare.lib.box_type_list.at[i];
        const char *types[BOXES];
        struct compilation c;
        for (uint32_t box = 0; box < BOXES; box++)
            types[box] = type->name;
        compile_boxes(&c, types);
        for (uint32_t box = 0; box < BOXES; box++) {
            struct box_asks asks = facts_box_asks(bare.model, bare.model->boxes.at[box]);
            asks.stand = bare.routes->mountings->of_box[box].stand;
            if (asks.stand != c.routes->mountings->of_box[box].stand)
                continue; /* as wide as this type it stands otherwise */
            bool accepted = is_accepted(&c, box), chosen = is_chosen(&bare, box, type);
            bool left = facts_is_needless(&asks, type),
                 unsaid = facts_misfits(&asks, type) == MISFIT_UNSAID;
            if (chosen ? !accepted : accepted && !left && !unsaid)
                print_error("%s in box %u: accepted %d, chosen %d\n", type->name, box, accepted,
                            chosen);
            assert_true(!chosen || accepted);
            assert_true(!accepted || chosen || left || unsaid);
            counts[accepted]++;
            unknown += unsaid;
        }
        check_mends(&c, type->name, &mends);
        compile_free(&c);
    }
    compile_free(&bare);
    assert_true(counts[0] > 0 && counts[1] > 0 && unknown > 0 && mends > 0);
}

/* Writes each chosen type into its box, works the wiring out anew and holds it against the rules.
 */
static unsigned write_choices(struct compilation *c)
{
    struct model *m = c->model;
    unsigned written = 0;
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (c->wiring->of_box[i].inferred)
            m->boxes.at[i]->declared = (struct box_type *)c->wiring->of_box[i].type;
    struct wiring *w =
        wire(&c->arena, m, c->routes, c->loads->asks, drop_gauges(&c->arena, m, c->routes));
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        if (!c->wiring->of_box[i].inferred)
            continue;
        assert_ptr_equal(w->of_box[i].type, c->wiring->of_box[i].type);
        assert_int_equal(w->of_box[i].misfits, 0);
        written++;
    }
    compile_free(c);
    return written;
}

static unsigned write_choices_of(const char *folder)
{
    unsigned written = 0;
    DIR *d = opendir(folder);
    assert_non_null(d);
    for (struct dirent *e; (e = readdir(d));) {
        char path[512];
        struct compilation c;
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        if (strlen(e->d_name) < 5 || strcmp(path + strlen(path) - 4, ".bay"))
            continue;
        compile(&c, path, (struct compile_options){.library = plan_library()});
        if (c.model)
            written += write_choices(&c);
        else
            compile_free(&c);
    }
    closedir(d);
    return written;
}

static void what_is_chosen_serves(void **state)
{
    (void)state;
    unsigned written = 0;
    static struct generator g;
    for (uint64_t seed = 1; seed <= 40; seed++) {
        struct buf text = {0};
        struct compilation c;
        generate_plan(&text, &g, seed, (enum generated_sort)(seed % GENERATED_COUNT), 12, 4);
        compile_text(&c, buf_text(&text));
        buf_free(&text);
        written += write_choices(&c);
    }
    assert_true(written > 0);
    assert_true(write_choices_of("examples/studio") > 0);
    assert_true(write_choices_of("examples/small") > 0);
    assert_true(write_choices_of("tests/rules") > 0);
}

/* NFPA 70 314.15: a box in a wet place is listed for it. What mends one that is too small is so. */
static void a_dry_box_stands_in_no_wet_place(void **state)
{
    (void)state;
    const char *types[BOXES] = {NULL};
    struct compilation c;
    types[0] = types[SORTS] = "square-1-1-4-deep";
    types[SORTS + 4] = "cast-shallow-1g";
    compile_boxes(&c, types);
    uint32_t at = 0;
    assert_true(is_accepted(&c, 0));
    const struct finding *f = next_finding(&c, c.model->boxes.at[SORTS], &at);
    assert_non_null(f);
    assert_true(finding_is(f, "weather-protection"));
    assert_string_equal(f->article, "NEC 2023 314.15");
    assert_non_null(strstr(f->mend, "cast-deep-1g"));
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_type_is_judged_as_it_is_chosen),
        cmocka_unit_test(what_is_chosen_serves),
        cmocka_unit_test(a_dry_box_stands_in_no_wet_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
