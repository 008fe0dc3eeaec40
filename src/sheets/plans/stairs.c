/* Stairs: the plan says which rooms they join and with how many risers, not where in them they lie.
 * Their sign has treads and an arrow that shows whether they lead up or down. */
#include "sheets/plans/plan.h"

enum { WIDE = 13000, HIGH = 5000, TREADS = 6, GAP = 800 };

static const struct pen thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE},
                        edge = {BLACK, WHITE, LINE_EDGE, DASH_NONE};

static void draw_sign(struct sheet *s, um left, um top, um wide, um high)
{
    um y = top + high / 2;
    struct spot head[3] = {
        {left + wide - 600, y}, {left + wide - 2400, y - 800}, {left + wide - 2400, y + 800}};
    paper_rect(s, (struct area){left, top, left + wide, top + high}, 0, edge);
    for (int i = 1; i < TREADS; i++)
        paper_line(s, left + wide * i / TREADS, top, left + wide * i / TREADS, top + high, thin);
    paper_line(s, left + 600, y, left + wide - 2400, y, edge);
    paper_path(s, head, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
}

static void key_stairs(struct sheet *s, um x, um y, const void *what)
{
    (void)what;
    draw_sign(s, x - 4000, y - 1500, 8000, 3000);
}

static const char *stairs_words(const struct plan_view *v, const struct room *room,
                                const struct stairs *x)
{
    const struct room *other = x->from == room ? x->to : x->to == room ? x->from : NULL;
    const char *way = !other || !other->level || other->level == room->level ? ""
                      : other->level->floor > room->level->floor             ? "UP "
                                                                             : "DN ",
               *where = other ? (other->title ? other->title : other->name) : NULL;
    const char *risers = x->risers ? arena_counted(v->r->arena, x->risers, "riser", "risers") : "";
    return where ? arena_printf(v->r->arena, "%s%s%sto %s", way, risers, *risers ? " " : "", where)
                 : arena_printf(v->r->arena, "stairs %s", risers);
}

/* Below the sign, on so many lines of that width. */
static bool draw_with(struct plan_view *v, const struct room *room, const char *words, um width,
                      unsigned shunned)
{
    struct lettering l = {.caps = CAPS_NOTE, .anchor = AT_MIDDLE};
    const char *const *lines;
    uint32_t count = paper_lines(v->s, width, l, words, &lines);
    um wide = WIDE, high = HIGH + (um)count * (GAP + CAPS_NOTE) + GAP / 2;
    struct area a;
    for (uint32_t i = 0; i < count; i++) {
        um one = paper_text_width(v->s, l, lines[i]);
        wide = one > wide ? one : wide;
    }
    if (!plan_find_free(v, room, wide, high, shunned, &a))
        return false;
    um middle = (a.left + a.right) / 2;
    plan_take(v->taken, a, BY_WORDS);
    paper_begin(v->s, ROLE_NOTE, NULL, NULL);
    draw_sign(v->s, middle - WIDE / 2, a.top, WIDE, HIGH);
    for (uint32_t i = 0; i < count; i++)
        paper_text(v->s, middle, a.top + HIGH + (um)(i + 1) * (GAP + CAPS_NOTE), l, lines[i]);
    paper_end(v->s);
    page_key(v->page, (struct key){.draw = key_stairs,
                                   .words = "stairs in this room, not to scale",
                                   .tall = true});
    return true;
}

static bool draw_one(struct plan_view *v, const struct room *room, const struct stairs *x)
{
    const unsigned all = BY_WALL | BY_SIGN | BY_STEM | BY_LINE | BY_WORDS;
    const char *words = stairs_words(v, room, x);
    return draw_with(v, room, words, INT32_MAX, all | BY_DOOR | BY_THING) ||
           draw_with(v, room, words, WIDE + 2 * MM, all | BY_DOOR | BY_THING) ||
           draw_with(v, room, words, INT32_MAX, all) ||
           draw_with(v, room, words, WIDE + 2 * MM, all);
}

void plan_draw_stairs(struct plan_view *v)
{
    bool headed = false;
    for (uint32_t i = 0; i < v->tile->rooms.n; i++)
        for (uint32_t k = 0; k < v->tile->rooms.at[i]->stairs.n; k++) {
            const struct room *room = v->tile->rooms.at[i];
            if (draw_one(v, room, &room->stairs.at[k]))
                continue;
            if (!headed)
                plan_list(v, true, "Stairs without room on the plan");
            headed = true;
            plan_list(v, false,
                      arena_printf(v->r->arena, "%s: %s", plan_room_name(v, room),
                                   stairs_words(v, room, &room->stairs.at[k])));
        }
}
