/* Resistance of conductors by the edition's table (NFPA 70 Chapter 9, Table 8: direct current, 75
 * C, uncoated). */
#include "loads/drops.h"

double size_resistance(struct model *m, enum metal metal, const char *size)
{
    const struct table *t = code_table(&m->code, metal == ALUMINIUM ? TABLE_RESISTANCE_ALUMINIUM
                                                                    : TABLE_RESISTANCE_COPPER);
    if (!t || !size)
        return 0;
    bool solid =
        gauge_of(size) >= (int)code_setting(&m->code,
                                            metal == ALUMINIUM ? SET_RESISTANCE_ALUMINIUM_SOLID_TO
                                                               : SET_RESISTANCE_COPPER_SOLID_TO,
                                            0);
    return value_amount(table_cell(t, size, solid ? COL_SOLID : COL_STRANDED), 0);
}

double cable_resistance(struct model *m, const struct cable_def *cable)
{
    return size_resistance(m, cable->metal, cable->size);
}
