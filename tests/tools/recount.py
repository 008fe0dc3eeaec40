"""Counts again, from other reports, what the reports trim, permit, test, protection and materials say of a plan.

    recount.py <PLANS

PLANS is an array of objects, each with the path of a plan as "plan" and with its reports by their names, as
`studbay report --format json` writes them; tests/unit/walk_test.c writes it.

Boxes and their devices come from `report boxes`, circuits from `report panel`, cables from `report runs`, switches from
`report legs`. The sums are made here by other means than there: by words, sets and walks along the cables. Plans
with errors are passed over. Prints each disagreement, and ends with 2 if there is one.
"""
import collections
import json
import re
import sys

CONTROLS = ("switch", "three-way", "four-way", "single-pole", "two-pole", "dimmer", "control", "timer", "occupancy", "photocell", "vacancy", "sensor")
LIGHTS = ("luminaire", "recessed", "lampholder", "light-bar")
LOW_VOLTAGE = ("data", "coax", "doorbell", "chime", "thermostat", "speaker")

wrong = []


def same(plan, what, ours, theirs):
    if ours != theirs:
        wrong.append(f"{plan}: {what}: counted {ours}, the report says {theirs}")


def new_devices(box):
    return [d.removeprefix("new ") for d in box["devices"] or [] if not d.startswith("existing ")]


def sort_of(words):
    """What an application would call a device, by its words alone."""
    name = words.split(" (")[0].split(" leg ")[0].split(" from leg ")[0]
    if name.startswith("receptacle") or (name.endswith("-receptacle") and not name.startswith("switch")):
        return "receptacles"
    if "alarm" in name or name.endswith("detector"):
        return "alarms"
    if any(w in name for w in CONTROLS):
        return "switches and controls"
    if any(w in name for w in LIGHTS):
        return "luminaires"
    if name in LOW_VOLTAGE:
        return None
    return "appliances and equipment"


def check_permit(plan, boxes, panel, runs, permit):
    counted = collections.Counter(sort_of(d) for b in boxes for d in new_devices(b))
    counted.pop(None, None)
    said = {r["item"]: r["quantity"] for r in permit if r["group"] == "openings"}
    same(plan, "openings of a permit", sum(counted.values()), said.pop("all"))
    same(plan, "openings by sort", counted, collections.Counter({k: v for k, v in said.items() if v}))
    grown = {(r["panel"], r["circuit"], r.get("unit")) for r in runs if r["label"]}
    circuits = collections.Counter()
    for c in panel:
        feeds = c["circuit"].startswith("feeder ")
        words = f"{c['breaker_a']} A, {'two poles' if c['poles'] == 2 else 'one pole'}{', feeder' if feeds else ''}"
        if c["breaker_a"] is None:
            continue
        if not c["existing"]:
            circuits[words, "new"] += 1
        elif (c["panel"], c["circuit"], c.get("unit")) in grown:
            circuits[words, "extended"] += 1
        if c["existing"] and c.get("new_breaker"):
            circuits[words, "new breaker"] += 1
    same(plan, "circuits by rating", circuits, collections.Counter({(r["item"], r["measure"]): int(r["quantity"]) for r in permit if r["group"] == "circuits"}))


def check_trim(plan, boxes, panel, trim, materials):
    devices = collections.Counter()
    for b in boxes:
        for d in new_devices(b):
            devices[b["room"]] += 1
    said = collections.Counter()
    for r in trim["rows"]:
        if r["group"] in ("devices", "luminaires"):
            said[r["room"]] += r["quantity"]
    same(plan, "devices and luminaires by room", devices, said)
    bought = {r["item"]: r["quantity"] for r in materials}
    for r in trim["totals"]:
        same(plan, f"{r['item']} to buy", bought.get(r["item"]), r["quantity"])
    breakers = collections.Counter()
    for item, n in bought.items():
        if item.startswith("breaker "):
            breakers[item[len("breaker "):]] += n
    same(plan, "breakers", breakers, collections.Counter({r["item"]: r["quantity"] for r in trim["rows"] if r["group"] == "breakers"}))
    covers = collections.Counter()
    for item, n in bought.items():
        words = re.fullmatch(r"cover (?:in-use )?((?:blank )?)(\d-gang|round)", item)
        if words:
            covers["blank" if words[1] else words[2]] += n
    plates = collections.Counter()
    for r in trim["rows"]:
        if r["group"] == "plates":
            plates[r["item"].split(":")[0]] += r["quantity"]
    same(plan, "plates by gangs", covers, plates)
    by_box = {b["box"]: b for b in boxes}
    for r in trim["rows"]:
        if r["group"] == "plates" and r["item"] != "blank":
            for box in r["boxes"]:
                same(plan, f"gangs of the plate of {box}", f"{by_box[box]['gangs']}-gang", r["item"].split(":")[0])


def check_test(plan, boxes, runs, legs, test):
    places = {b["box"] for b in boxes}
    reached = collections.defaultdict(set)
    for r in runs:
        if r["circuit"]:
            for end in (r["from"], r["to"]):
                if end in places:
                    reached[r["panel"], r["circuit"]].add(end)
    for t in test:
        killed = {k for k in t["kills"] or [] if not k.startswith("panel ")}
        same(plan, f"what breaker {t['panel']}.{t['circuit']} kills", sorted(reached[t["panel"], t["circuit"]]), sorted(killed))
        for words in t["switches"] or []:
            found = re.search(r"all (\d+) positions", words)
            leg = [l for l in legs if l["leg"] == words.split(":")[0] and (l["panel"], l["circuit"]) == (t["panel"], t["circuit"])]
            if found and len(leg) == 1:
                same(plan, f"positions of {leg[0]['leg']}", 2 ** len(leg[0]["switches"]), int(found[1]))
    titles = collections.Counter(l["leg"] for l in legs if l["switches"] and l["circuit"])
    same(plan, "legs to try", titles, collections.Counter(w.split(":")[0] for t in test for w in t["switches"] or []))


def check_protection(plan, panel, runs, protection):
    """What protects a box stands on the way from its panel to it, or in a panel before it."""
    panel_of = {c["handle"]: c["panel"] for c in panel if c["handle"]}
    fed_from = {c["circuit"].removeprefix("feeder "): c["panel"] for c in panel if c["circuit"].startswith("feeder ")}
    before = {}
    for r in runs:
        if r["circuit"]:
            before.setdefault((r["panel"], r["circuit"], r["to"]), r["from"])
    for row in protection:
        ways = set()
        for source, circuit, _ in [k for k in before if k[2] == row["box"]]:
            at = row["box"]
            while at and at not in ways:
                ways.add(at)
                at = before.get((source, circuit, at))
            while source and source not in ways:
                ways.add(source)
                source = fed_from.get(source)
        for place in row["reset_at"] or []:
            breaker = re.match(r"breaker (.+)", place)
            panel_named = re.match(r"panel ([^ ,]+)", place)
            at = panel_of.get(breaker[1]) if breaker else panel_named[1] if panel_named else place
            if ways and at not in ways:
                wrong.append(f"{plan}: {row['box']} is said to be reset at {place}, which is not on its way: {sorted(ways)}")


def main():
    for reports in json.load(sys.stdin):
        plan = reports["plan"]
        if reports["permit"]["errors"]:
            continue  # what is built on an error may differ

        def rows(name):
            return reports[name]["rows"]

        boxes, panel, runs, legs = rows("boxes"), rows("panel"), rows("runs"), rows("legs")
        check_permit(plan, boxes, panel, runs, rows("permit"))
        check_trim(plan, boxes, panel, reports["trim"], rows("materials"))
        check_test(plan, boxes, runs, legs, rows("test"))
        check_protection(plan, panel, runs, rows("protection"))
    print("\n".join(wrong))
    sys.exit(2 if wrong else 0)


main()
