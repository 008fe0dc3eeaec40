#include "propose/sites.h"

#include "facts/places.h"
#include "facts/rooms.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "model/model.h"
#include "model/site.h"
#include "rules/placing.h"

length sites_usual_height(const struct siting *p)
{
    return code_length(&p->now->model->code, SET_DEFAULT_HEIGHTS_RECEPTACLE, 0);
}

length sites_counter_height(const struct siting *p)
{
    return code_length(&p->now->model->code, SET_DEFAULT_HEIGHTS_ABOVE_COUNTER, 0);
}

bool sites_has_receptacle(const struct box *b)
{
    return placing_box_has_receptacle(b);
}

/* Whether a room that is no place outdoors has a wall there too. */
static bool is_house_wall(const struct siting *p, const struct room *r, const struct place *place)
{
    const struct skeleton *f = p->now->routes->frame;
    const struct face *face = frame_face_of(f, r, place->wall);
    if (face->line == NO_INDEX)
        return false;
    const struct line *l = &f->lines[face->line];
    length at = face->forward ? face->lo + place->from_left : face->hi - place->from_left;
    for (uint32_t i = 0; i < l->face_count; i++) {
        const struct face *other = f->sorted[l->first_face + i];
        if (other->lo <= at && at <= other->hi &&
            !room_used_as(p->now->model, other->room, LIST_WEATHER_PLACES))
            return true;
    }
    return false;
}

/* All that are free, or those on walls of the house alone. */
static void collect(const struct siting *p, const struct room *r, length up, bool house,
                    place_list *out)
{
    for (uint32_t wall = 0; wall < r->wall_count; wall++) {
        place_list places = {0};
        mountings_places(&p->now->arena, p->free, (struct room *)r, wall, up, &places);
        for (uint32_t i = 0; i < places.n; i++)
            if (!siting_is_refused(p, r, &places.at[i]) &&
                (!house || is_house_wall(p, r, &places.at[i])))
                *vec_push(&p->now->arena, out) = places.at[i];
    }
}

void sites_of_room(const struct siting *p, const struct room *r, length up, place_list *out)
{
    collect(p, r, up, room_used_as(p->now->model, r, LIST_WEATHER_PLACES), out);
    if (!out->n)
        collect(p, r, up, false, out);
}

const char *sites_receptacle(const struct siting *p, const struct room *r,
                             const struct place *place)
{
    struct model *m = p->now->model;
    struct box b = {.room = (struct room *)r, .place = *place};
    if (!room_used_as(m, r, LIST_WEATHER_PLACES) || facts_is_weathered(m, &b) != ANSWER_YES)
        return "receptacle";
    return facts_is_wet(m, &b) == ANSWER_YES ? "receptacle-wr; cover in-use" : "receptacle-wr";
}

void sites_add(struct siting *p, const struct room *r, const struct place *place)
{
    bool usual = place->where == ON_WALL && place->up == sites_usual_height(p);
    siting_add(p, r,
               (struct added){.place = *place,
                              .name = added_name(p->arena, p->of, p->of->model->rooms.at[r->id],
                                                 &p->added, p->alike, "R"),
                              .where = added_where(p->arena, r, place, usual),
                              .holds = sites_receptacle(p, r, place)});
}
