#include "rules/check.h"

#include "loads/demand.h"

#include <string.h>

/* The rules that are checked here, in the order of their reading. */
static const struct {
    enum rule_id rule;
    void (*check)(const struct checked *c);
} checks[] = {
    {R_BREAKER_NONSTANDARD, check_breaker_ratings},
    {R_CONDUCTOR_UNDERSIZED, check_conductors},
    {R_BREAKER_OVERLOADED, check_breaker_loads},
    {R_RECEPTACLE_RATING, check_receptacle_ratings},
    {R_VOLTAGE_DROP, check_voltage_drop},
    {R_APPLIANCE_SHARE, check_appliance_shares},
    {R_CONTROL_OVERLOADED, check_control_loads},
    {R_CABLE_NOT_SUITED, check_cable_places},
    {R_BURIAL_DEPTH, check_burial},
    {R_MIXED_SIZES, check_mixed_sizes},
    {R_SWITCH_KIND, check_switch_kinds},
    {R_TWO_CABLES, check_parallel_feeds},
    {R_SHARED_NEUTRAL_PROTECTION, check_shared_neutrals},
    {R_BORROWED_NEUTRAL, check_borrowed_neutrals},
    {R_YOKE_DISCONNECT, check_yokes},
    {R_TWO_DIMMERS, check_dimmer_pairs},
    {R_DIMMER_MISUSED, check_dimmer_loads},
    {R_BOX_OVERFILLED, check_box_fill},
    {R_ROOMS_OVERLAP, check_rooms_overlap},
    {R_BOX_IN_OPENING, check_places}, /* box-off-wall and boxes-collide with it */
    {R_BUNDLED, check_bundles},
    {R_BORE_TOO_LARGE, check_bores}, /* bore-near-edge and engineered-member-bored with it */
    {R_NOTCH_TOO_DEEP, check_notches},
    {R_PLATE_NEEDED, check_plates},
    {R_OPENINGS_DISAGREE, check_openings},
    {R_RUN_BLOCKED, check_blocked_runs},
    {R_BOX_GANGS, check_box_gangs},
    {R_BOX_MOUNT, check_box_mounts},
    {R_FAN_SUPPORT, check_fan_boxes},
    {R_LUMINAIRE_SUPPORT, check_luminaire_boxes},
    {R_LUMINAIRE_THROUGH, check_through_wiring},
    {R_BOX_BURIED, check_buried_boxes},
    {R_LOW_VOLTAGE_IN_POWER, check_divided_boxes},
    {R_BREAKER_POLES, check_breaker_poles},
    {R_MULTIWIRE_DISCONNECT, check_multiwire_breakers},
    {R_MULTIWIRE_SAME_PHASE, check_multiwire_lines},
    {R_BREAKER_TWO_WIRES, check_breaker_wires},
    {R_GROUND_UNDERSIZED, check_grounds},
    {R_FEEDER_UNDERSIZED, check_feeder_loads},
    {R_FEEDER_FOUR_WIRE, check_feeder_cables}, /* and sub-panel-bonding */
    {R_PANEL_FULL, check_panel_spaces},        /* and space-conflict, phase-imbalance */
    {R_MAIN_MISSING, check_mains},
    {R_PANEL_PLACE, check_panel_places},
    {R_PANEL_CLEARANCE, check_panel_clearances},
    {R_SURGE_PROTECTION, check_surge_protection},
    {R_DISCONNECT_MISSING, check_disconnects},
    {R_DIRECTORY_VAGUE, check_directory_words},
    {R_DIRECTORY_DUPLICATE, check_directory_doubles},
    {R_RECEPTACLE_SPACING, check_receptacle_spacing},
    {R_COUNTER_SPACING, check_counter_spacing},
    {R_ISLAND_RECEPTACLE, check_islands},
    {R_BASIN_RECEPTACLE, check_basins},
    {R_HALL_RECEPTACLE, check_halls},
    {R_FOYER_RECEPTACLE, check_foyers},
    {R_LAUNDRY_RECEPTACLE, check_laundries},
    {R_GARAGE_RECEPTACLE, check_garages}, /* box-height with this, outdoors, decks and basins */
    {R_BASEMENT_RECEPTACLE, check_basements},
    {R_OUTDOOR_RECEPTACLE, check_outdoors},
    {R_DECK_RECEPTACLE, check_decks},
    {R_HVAC_RECEPTACLE, check_hvac_receptacles},
    {R_RECEPTACLE_OVER_HEATER, check_receptacles_over_heaters},
    {R_LIGHTING_OUTLET, check_lighting_outlets},
    {R_STAIR_SWITCHING, check_stair_switching},
    {R_CLOSET_LUMINAIRE, check_closet_luminaires},
    {R_RECESSED_IN_INSULATION, check_recessed},
    {R_WET_ZONE, check_wet_zones},
    {R_WEATHER_PROTECTION, check_weather_protection},
    {R_HANDLE_TOO_HIGH, check_handle_heights},
    {R_LABELS_ALIKE, check_labels},
    {R_CUT_TOO_LONG, check_cut_too_long},
    {R_CUT_TOO_SHORT, check_cut_too_short},
    {R_CABLE_PULLED_DIFFERS, check_cable_pulled},
    {R_GFCI_MISSING, check_gfci_missing},
    {R_AFCI_MISSING, check_afci_missing},
    {R_TAMPER_RESISTANT, check_tamper_resistant},
    {R_GFCI_REACH, check_gfci_reach},
    {R_SMALL_APPLIANCE, check_small_appliance_circuits},
    {R_LAUNDRY_CIRCUIT, check_laundry_circuit},
    {R_BATH_CIRCUIT, check_bath_circuit},
    {R_GARAGE_CIRCUIT, check_garage_circuit},
    {R_INDIVIDUAL, check_individual_circuits},
    {R_NO_OTHER_OUTLETS, check_no_other_outlets},
    {R_SMOKE_ALARM, check_smoke_alarms},
    {R_CO_ALARM, check_co_alarms},
    {R_ALARM_INTERCONNECT, check_alarm_interconnect},
    {R_ALARM_SWITCHED, check_alarm_switched},
    {R_ALARM_TOO_NEAR, check_alarm_distances},
    {R_EXTENSION_AFCI, check_extension_afci},
    {R_REPLACEMENT, check_replacements},
    {R_NO_GROUND, check_no_ground},
};

void rules_run(const struct checked *c)
{
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++)
        checks[i].check(c);
}

double rating_at_most(const struct checked *c, double amps)
{
    return standard_rating(&c->model->code, amps, false);
}

double rating_at_least(const struct checked *c, double amps)
{
    return standard_rating(&c->model->code, amps, true);
}

const char *conductor_words(const struct checked *c, const struct cable_def *cable)
{
    return arena_printf(c->model->arena, "%s AWG %s", cable->size,
                        cable->metal == ALUMINIUM ? "aluminium" : "copper");
}

static bool alike(const struct cable_def *a, const struct cable_def *b)
{
    bool family =
        a->family == b->family || (a->family && b->family && !strcmp(a->family, b->family));
    return family && a->metal == b->metal && a->conductors == b->conductors &&
           a->whites == b->whites && a->power == b->power;
}

const struct cable_def *next_larger_cable(const struct checked *c, const struct cable_def *cable)
{
    const struct cable_def *best = NULL;
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *other = c->model->lib->cable_list.at[i];
        if (other->size && alike(cable, other) && other->gauge < cable->gauge &&
            (!best || other->gauge > best->gauge))
            best = other;
    }
    return best;
}

uint32_t receptacles_in(const struct part *part)
{
    const struct device_def *def = part->device->def;
    if (!def || !def->outlets)
        return 0;
    return part->device->part_count > 1 ? 1 : def->outlets;
}

struct span breaker_span(const struct circuit *circuit)
{
    return circuit->breaker_node ? node_span(circuit->breaker_node) : circuit_span(circuit);
}

struct span circuit_span(const struct circuit *circuit)
{
    return circuit->node && circuit->node->value_count ? node_name_span(circuit->node)
                                                       : node_span(circuit->node);
}

const char *circuit_words(const struct checked *c, const struct circuit *circuit)
{
    const char *address = circuit_address(c->model->arena, circuit, true);
    return circuit->feeds ? address : arena_printf(c->model->arena, "circuit %s", address);
}

const struct unit *unit_of_run(const struct run *run)
{
    return run->circuit ? run->circuit->unit : run->low_voltage ? run->low_voltage->unit : NULL;
}

const char *run_subject(const struct checked *c, const struct run *run)
{
    struct arena *arena = c->model->arena;
    const char *address = run_address(arena, run, false);
    if (!run->circuit)
        return arena_printf(arena, "run %s", address);
    return arena_printf(arena, "run %s\n%s%s", address, run->circuit->feeds ? "" : "circuit ",
                        circuit_address(arena, run->circuit, false));
}

const char *amount_words(const struct checked *c, double amount, int places)
{
    char *text = arena_printf(c->model->arena, "%.*f", places, amount);
    if (!strchr(text, '.'))
        return text;
    char *end = text + strlen(text);
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        end[-1] = '\0';
    return text;
}
