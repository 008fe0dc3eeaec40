/* The small plan in the title strip: where on its level a sheet's subject lies. */
#ifndef STUDBAY_SHEETS_KEY_PLAN_H
#define STUDBAY_SHEETS_KEY_PLAN_H

#include "sheets/sheets.h"

/* The rooms of the page's level as outlines in the field; of the room in which one stands the wall
 * that one faces is heavy, with an arrow. Nothing where the page has no level. */
void key_plan_draw(const struct page *p, struct area field);

#endif
