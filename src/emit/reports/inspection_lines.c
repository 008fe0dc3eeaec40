/* Every line of two lists: what a submission must contain (merged from pages of building departments, such as
 * https://www.ocplanning.net/building/pme/electricalPlancheckReq.asp and http://www.hillsborough.net/226/Electrical-Plan), and what inspectors correct most often (merged from published lists of building departments and trade
 * papers, such as https://www.ecmweb.com/national-electrical-code/article/21256591/the-top-10-most-commonly-cited-electrical-code-violations). For each: what the
 * plan shows, which rules were checked, what is left to look at. */
#include "emit/reports/inspection_lines.h"

#include "emit/reports/inspection.h"

#include <stddef.h>

#define FIELD(name) (offsetof(struct tally, name) + 1)

#define PERMIT "for the permit"
#define BORING BEFORE_BORING
#define COVER BEFORE_COVER
#define TRIM "trim-out"

const struct inspection_line inspection_lines[] = {
    /* what a submission contains */
    {.stage = PERMIT, .item = "Address, owner, who drew it, date, edition on every sheet", .tell = tell_heading},
    {.stage = PERMIT, .item = "Readable scale", .tell = tell_scale},
    {.stage = PERMIT, .item = "Plot plan with the service", .missing = "the lot and the service on it"},
    {.stage = PERMIT, .item = "Floor plan with every outlet, switch, light and alarm", .tell = tell_floor_plan},
    {.stage = PERMIT, .item = "Outlets of both lines and GFCI outlets marked", .tell = tell_marks},
    {.stage = PERMIT, .item = "Alarms by storey, room and hall, joined, with battery", .rules = {R_SMOKE_ALARM, R_CO_ALARM, R_ALARM_INTERCONNECT}, .tell = tell_alarms},
    {.stage = PERMIT, .item = "Panels: place and ampacity", .tell = tell_panels},
    {.stage = PERMIT, .item = "Panel schedule", .tell = tell_schedule, .missing = "interrupting ratings"},
    {.stage = PERMIT, .item = "Circuit number beside each outlet", .tell = tell_numbers},
    {.stage = PERMIT, .item = "Conductor and raceway sizes, overcurrent protection", .tell = tell_sizes},
    {.stage = PERMIT, .item = "Load calculation", .tell = tell_load},
    {.stage = PERMIT, .item = "One-line diagram", .tell = tell_one_line},
    {.stage = PERMIT, .item = "Lights and switches at stairs and doors, service receptacles, disconnects",
     .rules = {R_LIGHTING_OUTLET, R_STAIR_SWITCHING, R_HVAC_RECEPTACLE, R_DISCONNECT_MISSING}},
    {.stage = PERMIT, .item = "Special equipment: whirlpool tubs", .look = "protection, bonding and access of", .list = FIELD(whirlpools), .only_listed = true},
    {.stage = PERMIT, .item = "Wall spacing readable from the plan", .rules = {R_RECEPTACLE_SPACING}, .tell = tell_spacing},
    {.stage = PERMIT, .item = "Low voltage (may be left out)", .tell = tell_low_voltage},
    {.stage = PERMIT, .item = "Value of the work, count of circuits and openings", .tell = tell_value},

    {.stage = BORING, .item = "Receptacles along the walls",
     .rules = {R_RECEPTACLE_SPACING, R_HALL_RECEPTACLE, R_FOYER_RECEPTACLE, R_LAUNDRY_RECEPTACLE, R_GARAGE_RECEPTACLE, R_BASEMENT_RECEPTACLE, R_BASIN_RECEPTACLE}, .count = FIELD(receptacles),
     .counted = "receptacles", .look = "cabinets and doors stand where they are drawn"},
    {.stage = BORING, .item = "Receptacles over counters, islands, peninsulas", .rules = {R_COUNTER_SPACING, R_ISLAND_RECEPTACLE},
     .count = FIELD(counters.n), .counted = "rooms with counters", .look = "tops are as they are drawn in", .list = FIELD(counters), .only_listed = true},
    {.stage = BORING, .item = "Outdoor, porch and deck receptacles", .rules = {R_OUTDOOR_RECEPTACLE, R_DECK_RECEPTACLE, R_WEATHER_PROTECTION}, .count = FIELD(outdoor.n), .counted = "boxes outside", .look = "covers and gaskets of",
     .list = FIELD(outdoor), .only_listed = true},
    {.stage = BORING, .item = "Luminaires out of closets' shelves and tub zones", .rules = {R_CLOSET_LUMINAIRE, R_WET_ZONE}, .count = FIELD(luminaires), .counted = "luminaires",
     .look = "shelves and rods of", .list = FIELD(closets), .only_listed = true},
    {.stage = BORING, .item = "Outlets over or in a tub or shower", .rules = {R_WET_ZONE}, .count = FIELD(wet.n), .counted = "rooms with a tub or shower"},
    {.stage = BORING, .item = "Lights, and three-way control at stairs", .rules = {R_LIGHTING_OUTLET, R_STAIR_SWITCHING}, .look = "a handle at each landing of", .list = FIELD(stairs),
     .only_listed = true},
    {.stage = BORING, .item = "Boxes high and low enough", .rules = {R_BOX_HEIGHT, R_HANDLE_TOO_HIGH, R_PANEL_PLACE, R_PANEL_CLEARANCE}, .count = FIELD(boxes), .counted = "boxes"},
    {.stage = BORING, .item = "Holes in studs and joists", .rules = {R_BORE_TOO_LARGE, R_BORE_NEAR_EDGE, R_ENGINEERED_BORED}, .count = FIELD(stud_holes),
     .counted = "holes in studs", .look = "holes as they were bored; holes in joists", .number = FIELD(joist_holes)},
    {.stage = BORING, .item = "Notches in studs and joists", .rules = {R_NOTCH_TOO_DEEP, R_RUN_BLOCKED}, .count = FIELD(notches), .counted = "notches",
     .look = "depth of the notches in", .list = FIELD(notched), .only_listed = true},
    {.stage = BORING, .item = "Required circuits, undivided", .rules = {R_SMALL_APPLIANCE, R_LAUNDRY_CIRCUIT, R_BATH_CIRCUIT, R_GARAGE_CIRCUIT, R_NO_OTHER_OUTLETS, R_INDIVIDUAL},
     .count = FIELD(circuits), .counted = "circuits"},
    {.stage = BORING, .item = "Breakers suit conductors and labels",
     .rules = {R_CONDUCTOR_UNDERSIZED, R_BREAKER_OVERLOADED, R_BREAKER_NONSTANDARD, R_RECEPTACLE_RATING, R_FEEDER_UNDERSIZED, R_GROUND_UNDERSIZED, R_APPLIANCE_SHARE}, .count = FIELD(circuits),
     .counted = "circuits", .look = "nameplates of what is wired in agree with the plan"},

    {.stage = COVER, .item = "Ready: boxes set, cables in, stapled, plated, grounds made up, no devices", .tell = tell_ready},
    {.stage = COVER, .item = "Box fill", .rules = {R_BOX_OVERFILLED}, .count = FIELD(cut_boxes), .counted = "boxes", .look = "the volume marked in each box is that of report fill"},
    {.stage = COVER, .item = "Grounds made up", .count = FIELD(splices), .counted = "boxes with more than one cable", .key = "grounds-made-up", .look = "grounds joined and pigtailed; boxes with more than one cable", .number = FIELD(splices)},
    {.stage = COVER, .item = "Metal boxes bonded", .key = "grounds-made-up", .look = "a ground on the box", .list = FIELD(metal_boxes), .only_listed = true},
    {.stage = COVER, .item = "Cable secured near boxes and along its way", .key = "cable-secured", .count = FIELD(runs), .counted = "runs", .look = "staples, flat and not too tight",
     .figures = {{SET_SUPPORTS_FROM_BOX, "at most from where the cable comes in"}, {SET_SUPPORTS_ALONG_CABLE, "of cable between, slack included"}, {SET_SUPPORTS_INTERVAL, "apart at most, staples"}},
     .number = FIELD(staples)},
    {.stage = COVER, .item = "First staple near boxes without clamps", .key = "cable-secured", .look = "the first staple closer to", .list = FIELD(unclamped), .only_listed = true},
    {.stage = COVER, .item = "Plates over holes near the face, and over notches", .rules = {R_PLATE_NEEDED}, .count = FIELD(plates), .counted = "plates", .tell = tell_plates,
     .look = "plates over the holes and notches in", .list = FIELD(plated), .only_listed = true},
    {.stage = COVER, .item = "Sheath reaches into the box, clamps", .key = "sheath-in-box", .look = "sheath past the clamp",
     .figures = {{SET_CABLE_ALLOWANCES_SHEATH_INSIDE, "inside the box: boxes"}}, .number = FIELD(cut_boxes)},
    {.stage = COVER, .item = "Boxes held firmly: ceilings", .key = "box-support", .rules = {R_FAN_SUPPORT, R_LUMINAIRE_SUPPORT, R_BOX_MOUNT}, .look = "hangers and screws of",
     .list = FIELD(ceiling_boxes), .only_listed = true},
    {.stage = COVER, .item = "Boxes held firmly: wide ones", .key = "box-support", .look = "both sides of", .list = FIELD(large_boxes), .only_listed = true},
    {.stage = COVER, .item = "Free conductor at each box", .key = "free-conductor", .tell = tell_free_conductor, .look = "free conductor",
     .figures = {{SET_FREE_CONDUCTOR_AT_BOX, "from where the cable comes in"}, {SET_FREE_CONDUCTOR_PAST_OPENING, "past the opening: boxes"}}, .number = FIELD(wired_boxes)},
    {.stage = COVER, .item = "Cables bundled, or many in a sealed hole", .rules = {R_BUNDLED}, .count = FIELD(runs), .counted = "runs", .look = "cables keep the holes of report bores"},
    {.stage = COVER, .item = "Holes through plates sealed", .key = "holes-sealed", .look = "holes through plates", .number = FIELD(plate_holes)},
    {.stage = COVER, .item = "Fan outlets on boxes for fans", .rules = {R_FAN_SUPPORT}, .count = FIELD(fan_boxes.n), .counted = "boxes", .look = "the mark in", .list = FIELD(fan_boxes), .only_listed = true},
    {.stage = COVER, .item = "White conductors that are hot, re-marked", .key = "whites-marked", .rules = {R_WHITE_AS_RETURN}, .count = FIELD(whites.n), .counted = "runs", .look = "tape at both ends of", .list = FIELD(whites), .only_listed = true},
    {.stage = COVER, .item = "A neutral at switches", .rules = {R_NEUTRAL_MISSING, R_CONDUCTORS_MISSING}, .count = FIELD(switches), .counted = "switches"},
    {.stage = COVER, .item = "Multiwire circuits: pigtails, lines, common disconnect", .key = "multiwire-pigtail",
     .rules = {R_MULTIWIRE_SAME_PHASE, R_MULTIWIRE_DISCONNECT, R_SHARED_NEUTRAL_PROTECTION, R_BORROWED_NEUTRAL}, .count = FIELD(multiwire.n), .counted = "multiwire circuits", .look = "neutrals pigtailed in", .list = FIELD(multiwire), .only_listed = true},
    {.stage = COVER, .item = "Sub-panel: neutral apart from ground", .key = "neutral-apart", .rules = {R_SUB_PANEL_BONDING, R_FEEDER_FOUR_WIRE}, .count = FIELD(sub_panels.n), .counted = "sub-panels", .look = "no bonding screw in",
     .list = FIELD(sub_panels), .only_listed = true},
    {.stage = COVER, .item = "Boxes flush with the finish", .key = "box-setback", .count = FIELD(boxes), .counted = "boxes", .tell = tell_rings, .look = "front edges at the face of the finish, also where it is thick; boxes",
     .number = FIELD(cut_boxes), .list = FIELD(wide_finish)},
    {.stage = COVER, .item = "Recessed luminaires fit for insulation, clear of wood", .rules = {R_RECESSED_IN_INSULATION}, .count = FIELD(recessed.n), .counted = "luminaires", .look = "the label in", .list = FIELD(recessed), .only_listed = true},
    {.stage = COVER, .item = "Cable whole", .key = "cable-whole", .look = "every run from end to end, again after the other trades", .number = FIELD(runs)},
    {.stage = COVER, .item = "Grounding electrode, bonding of the service", .key = "grounding-electrode", .missing = "the service: work for a licensed electrician"},
    {.stage = COVER, .item = "Old boxes that new work touches", .rules = {R_NO_GROUND, R_EXTENSION_AFCI, R_REPLACEMENT}, .count = FIELD(existing_boxes.n), .counted = "boxes", .look = "what is in", .list = FIELD(existing_boxes), .only_listed = true},

    {.stage = TRIM, .item = "GFCI protection", .rules = {R_GFCI_MISSING, R_GFCI_REACH}, .count = FIELD(gfci_asked), .counted = "outlets that want it", .look = "press the test, and see that nothing stands before it, at",
     .list = FIELD(gfci_devices), .only_listed = true},
    {.stage = TRIM, .item = "AFCI protection", .rules = {R_AFCI_MISSING, R_EXTENSION_AFCI}, .count = FIELD(afci_asked), .counted = "outlets and switches that want it",
     .look = "press the test at", .list = FIELD(afci_tests), .only_listed = true},
    {.stage = TRIM, .item = "Tamper-resistant receptacles", .rules = {R_TAMPER_RESISTANT}, .count = FIELD(receptacles), .counted = "receptacles", .look = "the letters TR on each"},
    {.stage = TRIM, .item = "Smoke and carbon monoxide alarms", .rules = {R_SMOKE_ALARM, R_CO_ALARM, R_ALARM_INTERCONNECT, R_ALARM_SWITCHED, R_ALARM_TOO_NEAR},
     .count = FIELD(alarms.n), .counted = "alarms", .look = "batteries; press one and hear all of", .list = FIELD(alarms), .only_listed = true},
    {.stage = TRIM, .item = "Alarms near cooking", .rules = {R_ALARM_TOO_NEAR}, .count = FIELD(near_cooking.n), .counted = "alarms near cooking", .look = "photoelectric, or with a silence button:", .list = FIELD(near_cooking), .only_listed = true},
    {.stage = TRIM, .item = "Circuit directory", .rules = {R_DIRECTORY_VAGUE, R_DIRECTORY_DUPLICATE}, .count = FIELD(circuits), .counted = "circuits", .tell = tell_directory,
     .look = "it hangs in the panel and agrees with report test"},
    {.stage = TRIM, .item = "Whirlpool: access to its motor, GFCI", .key = "whirlpool-access", .look = "an opening to reach", .list = FIELD(whirlpools), .only_listed = true},
    {.stage = TRIM, .item = "Makers' instructions followed", .key = "instructions", .look = "papers of what was bought: report trim"},
};
const uint32_t inspection_line_count = sizeof inspection_lines / sizeof *inspection_lines;
