/* Resistance of conductors by the edition's table (NFPA 70 Chapter 9, Table 8: direct current, 75
 * C, uncoated). */
#include "loads/drops.h"
#include "loads/loads.h"

double resistance_of_size(struct model *m, enum metal metal, const char *size)
{
    struct code *code = &m->code;
    bool copper = metal == COPPER;
    const char *solid_to = code_size(code, copper ? SET_RESISTANCE_COPPER_SOLID_TO
                                                  : SET_RESISTANCE_ALUMINIUM_SOLID_TO);
    if (library_gauge_of(size) >= library_gauge_of(solid_to))
        return code_cell_resistance(
            code, copper ? COL_RESISTANCE_COPPER_SOLID : COL_RESISTANCE_ALUMINIUM_SOLID, size, 0);
    return code_cell_resistance(
        code, copper ? COL_RESISTANCE_COPPER_STRANDED : COL_RESISTANCE_ALUMINIUM_STRANDED, size, 0);
}

double resistance_of_cable(struct model *m, const struct cable_def *cable)
{
    return resistance_of_size(m, cable->metal, cable->size);
}
