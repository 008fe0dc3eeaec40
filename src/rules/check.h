/* The functions of the rules, one each, and what several of them use. */
#ifndef STUDBAY_RULES_CHECK_H
#define STUDBAY_RULES_CHECK_H

#include "rules/rules.h"

void check_breaker_ratings(const struct checked *c);
void check_conductors(const struct checked *c);
void check_breaker_loads(const struct checked *c);
void check_receptacle_ratings(const struct checked *c);
void check_voltage_drop(const struct checked *c);
void check_box_fill(const struct checked *c);
void check_bundles(const struct checked *c);
void check_bores(const struct checked *c);
void check_plates(const struct checked *c);
void check_notches(const struct checked *c);
void check_rooms_overlap(const struct checked *c);
void check_places(const struct checked *c);
void check_openings(const struct checked *c);
void check_blocked_runs(const struct checked *c);
void check_appliance_shares(const struct checked *c);
void check_control_loads(const struct checked *c);
void check_cable_places(const struct checked *c);
void check_burial(const struct checked *c);
void check_mixed_sizes(const struct checked *c);
void check_switch_kinds(const struct checked *c);
void check_parallel_feeds(const struct checked *c);
void check_shared_neutrals(const struct checked *c);
void check_borrowed_neutrals(const struct checked *c);
void check_yokes(const struct checked *c);
void check_dimmer_pairs(const struct checked *c);
void check_dimmer_loads(const struct checked *c);
void check_box_gangs(const struct checked *c);
void check_box_mounts(const struct checked *c);
void check_fan_boxes(const struct checked *c);
void check_luminaire_boxes(const struct checked *c);
void check_through_wiring(const struct checked *c);
void check_buried_boxes(const struct checked *c);
void check_divided_boxes(const struct checked *c);
void check_receptacle_spacing(const struct checked *c);
void check_counter_spacing(const struct checked *c);
void check_islands(const struct checked *c);
void check_basins(const struct checked *c);
void check_halls(const struct checked *c);
void check_foyers(const struct checked *c);
void check_laundries(const struct checked *c);
void check_garages(const struct checked *c);
void check_basements(const struct checked *c);
void check_outdoors(const struct checked *c);
void check_decks(const struct checked *c);
void check_hvac_receptacles(const struct checked *c);
void check_receptacles_over_heaters(const struct checked *c);
void check_lighting_outlets(const struct checked *c);
void check_stair_switching(const struct checked *c);
void check_closet_luminaires(const struct checked *c);
void check_recessed(const struct checked *c);
void check_wet_zones(const struct checked *c);
void check_weather_protection(const struct checked *c);
void check_handle_heights(const struct checked *c);
void check_labels(const struct checked *c);
void check_panel_spaces(const struct checked *c);
void check_mains(const struct checked *c);
void check_panel_places(const struct checked *c);
void check_panel_clearances(const struct checked *c);
void check_surge_protection(const struct checked *c);
void check_feeder_loads(const struct checked *c);
void check_feeder_cables(const struct checked *c);
void check_grounds(const struct checked *c);
void check_directory_words(const struct checked *c);
void check_directory_doubles(const struct checked *c);
void check_breaker_poles(const struct checked *c);
void check_multiwire_breakers(const struct checked *c);
void check_multiwire_lines(const struct checked *c);
void check_breaker_wires(const struct checked *c);
void check_disconnects(const struct checked *c);
void check_cut_too_long(const struct checked *c);
void check_cut_too_short(const struct checked *c);
void check_cable_pulled(const struct checked *c);
void check_gfci_missing(const struct checked *c);
void check_afci_missing(const struct checked *c);
void check_tamper_resistant(const struct checked *c);
void check_gfci_reach(const struct checked *c);
void check_small_appliance_circuits(const struct checked *c);
void check_laundry_circuit(const struct checked *c);
void check_bath_circuit(const struct checked *c);
void check_garage_circuit(const struct checked *c);
void check_individual_circuits(const struct checked *c);
void check_no_other_outlets(const struct checked *c);
void check_smoke_alarms(const struct checked *c);
void check_co_alarms(const struct checked *c);
void check_alarm_interconnect(const struct checked *c);
void check_alarm_switched(const struct checked *c);
void check_alarm_distances(const struct checked *c);
void check_extension_afci(const struct checked *c);
void check_replacements(const struct checked *c);
void check_no_ground(const struct checked *c);

/* The standard ratings of the edition next to a current: the largest not above it, the smallest not
 * below it; 0 where there is none. */
double rating_at_most(const struct checked *c, double amps);
double rating_at_least(const struct checked *c, double amps);

/* Whether a current is more than another: half a thousandth of an ampere is no more than the way it
 * was reckoned, 24 A at 125 % on 30 A. */
bool amps_exceed(double amps, double limit);

/* Whether the connected load of a branch circuit is more than its breaker; feeders are judged by
 * their load calculation. */
bool is_overloaded(const struct checked *c, const struct circuit *circuit);

/* Whether a list of the edition names a device, or one that it is based on. */
bool device_in_list(const struct checked *c, const struct device_def *def, enum book_table list);

/* "14 AWG copper". */
const char *conductor_words(const struct checked *c, const struct cable_def *cable);

/* Whether every cable that the plan names on a circuit suits its breaker; where one does not,
 * conductor-undersized says so and what follows from it is not said. */
bool conductors_serve(const struct checked *c, const struct circuit *circuit);

/* Whether a cable still serves its circuit where it lies so that its ampacity is only so many
 * amperes; if not, `asked` tells what the circuit asks, as in "the breaker is 20 A". */
bool adjusted_serves(const struct checked *c, const struct circuit *circuit,
                     const struct cable_def *cable, double ampacity, const char **asked);

/* The ampacity of a run's cable where it lies: of its column, or less for the cables beside it; 0
 * where the tables do not know it. */
double ampacity_of_run(const struct checked *c, const struct run *run,
                       const struct cable_def *cable);

/* The smallest conductor in the place of a run's cable that would serve its circuit, NULL where the
 * tables have none. */
const char *least_conductor(const struct checked *c, const struct run *run,
                            const struct cable_def *cable);

/* The cable like this one with the next larger conductors: of its family and metal, with as many
 * conductors and whites. NULL where the library has none. */
const struct cable_def *next_larger_cable(const struct checked *c, const struct cable_def *cable);

/* How many receptacles a part stands for: each half of a split one is one, and so is the one that a
 * cord-and-plug appliance plugs into. */
uint32_t receptacles_in(const struct part *part);

/* How many gangs the devices of a box take. */
uint32_t yokes_in(const struct box *box);

/* Where a circuit's breaker is written, and where its name is. */
struct span breaker_span(const struct circuit *circuit);
struct span circuit_span(const struct circuit *circuit);

/* "circuit P.2" or "feeder P", for messages. */
const char *circuit_words(const struct checked *c, const struct circuit *circuit);

/* The subject of a finding about a run: its address and its circuit's, so that a waiver may name
 * either. */
const char *run_subject(const struct checked *c, const struct run *run);

/* The unit that a run is built in, or NULL. */
const struct unit *unit_of_run(const struct run *run);

/* An amount as a builder says it, without needless zeros; `places` behind the point at most. */
const char *amount_words(const struct checked *c, double amount, int places);

/* A finding about a circuit at `span`. */
#define circuit_finding(c, rule, circuit, span, ...)                                               \
    model_finding((c)->model, (rule), (span), (circuit)->unit,                                     \
                  circuit_address((c)->model->arena, (circuit), false), __VA_ARGS__)

#endif
