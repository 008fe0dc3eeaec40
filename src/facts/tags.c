#include "facts/tags.h"

#include "facts/facts.h"
#include "facts/pulls.h"
#include "facts/rooms.h"
#include "model/address.h"
#include "model/site.h"

#include <string.h>

enum { LETTERS_KEPT = 3 };

static bool is_figure(char c)
{
    return c >= '0' && c <= '9';
}

/* "studio" -> "stu", "bath2" -> "bat2", "counter-left12" -> "cou12": the first letters and the
 * figures at the end. */
static void add_short(struct buf *b, const char *name)
{
    size_t end = strlen(name), kept = 0, figures = end;
    while (figures && is_figure(name[figures - 1]))
        figures--;
    for (size_t i = 0; i < figures && kept < LETTERS_KEPT; i++)
        if (name[i] != '-' && name[i] != '_') {
            buf_putc(b, name[i]);
            kept++;
        }
    buf_add(b, name + figures, end - figures);
}

/* The circuit's handle where the plan says it, "P14", else the panel and the circuit's name
 * shortened: "P bat". What was found may be found anew, and a label stays. */
static void add_handle(struct arena *arena, struct buf *b, const struct circuit *c,
                       const struct unit *unit, bool by_word)
{
    const char *handle =
        by_word ? NULL : address_handle(arena, c, (struct seat){c->space, c->half}, true);
    if (c->panel && c->panel->unit && c->panel->unit != unit)
        buf_printf(b, "%s.", c->panel->unit->name);
    if (handle) {
        buf_puts(b, handle);
        return;
    }
    if (c->panel)
        buf_printf(b, "%s ", c->panel->name);
    add_short(b, c->name);
}

/* Of a low-voltage cable its name, shortened. */
static void add_circuit(struct arena *arena, struct buf *b, const struct run *run,
                        const struct unit *unit, bool by_word)
{
    if (run->circuit && run->circuit->feeds)
        buf_puts(b, "feed");
    else if (run->circuit)
        add_handle(arena, b, run->circuit, facts_unit_of_run(run), by_word);
    else if (run->low_voltage)
        add_short(b, run->low_voltage->name);
    if (unit)
        buf_printf(b, " %s", unit->name);
    buf_putc(b, ' ');
}

static void add_end(struct buf *b, struct end e, const struct room *before)
{
    if (e.box) {
        if (e.box->room != before) {
            add_short(b, e.box->room->name);
            buf_putc(b, ' ');
        }
        add_short(b, e.box->name);
    } else {
        add_short(b, e.panel ? e.panel->name : "?");
    }
}

/* The tree may have turned a run round; its places in the text have turned with it. A feeder is
 * written in its panel, from nowhere to nowhere. */
static bool is_turned(const struct run *run)
{
    return !(run->circuit && run->circuit->feeds) && run->from_span.off > run->to_span.off;
}

static const char *make_tag(struct arena *arena, const struct run *run, const struct unit *unit,
                            bool by_word)
{
    const char *name = facts_pull_name(run);
    if (name) {
        const char *label = run->of_two ? arena_printf(arena, "%s %c", name, run->of_two) : name;
        return unit ? arena_printf(arena, "%s %s", unit->name, label) : label;
    }
    bool turned = is_turned(facts_pulled_with(run));
    struct end first = turned ? facts_pull_to(run) : facts_pull_from(run),
               last = turned ? facts_pull_from(run) : facts_pull_to(run);
    struct buf b = {0};
    add_circuit(arena, &b, run, unit, by_word);
    add_end(&b, first, NULL);
    buf_putc(&b, '-');
    add_end(&b, last, first.box ? first.box->room : NULL);
    if (run->of_two)
        buf_printf(&b, " %c", run->of_two);
    const char *tag = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return tag;
}

const char *facts_run_tag(struct arena *arena, const struct run *run)
{
    return make_tag(arena, run, facts_unit_of_run(run), false);
}

const char *facts_run_tag_by_word(struct arena *arena, const struct run *run)
{
    const struct circuit *c = run->circuit;
    bool other = c && !c->feeds && c->space && !c->number && !facts_pull_name(run);
    return other ? make_tag(arena, run, facts_unit_of_run(run), true) : NULL;
}

const char *facts_run_tag_in_unit(struct arena *arena, const struct run *run)
{
    return make_tag(arena, run, NULL, false);
}

const char *facts_tag_without_panel(const char *tag, const struct run *run)
{
    const struct circuit *c = run->circuit;
    if (!c || c->feeds || !c->panel || !c->space || facts_pull_name(run) ||
        strncmp(tag, c->panel->name, strlen(c->panel->name)))
        return NULL;
    tag += strlen(c->panel->name);
    return tag + (*tag == '-');
}

const char *facts_tag_folded(struct arena *arena, const char *tag)
{
    char *folded = arena_copy(arena, tag, strlen(tag));
    for (char *p = folded; *p; p++) {
        if (*p >= 'a' && *p <= 'z')
            *p = (char)(*p - 'a' + 'A');
        if (*p == 'O')
            *p = '0';
        else if (*p == 'I' || *p == 'L')
            *p = '1';
        else if (*p == 'S')
            *p = '5';
    }
    return folded;
}
