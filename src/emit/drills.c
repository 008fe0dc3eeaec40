#include "emit/drills.h"

#include "model/model.h"

bool drills_bit_wants_cord(const struct results *r, length bit)
{
    length from = code_length(&r->model->code, SET_DRILLS_CORDED_FROM_BIT, 0);
    return from > 0 && bit >= from;
}

bool drills_wood_wants_cord(const struct results *r, length wood)
{
    length from = code_length(&r->model->code, SET_DRILLS_CORDED_FROM_WOOD, 0);
    return from > 0 && wood >= from;
}
