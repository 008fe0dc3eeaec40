"""Counts again, from other reports, what the reports trim, permit, test, protection and materials say of a plan.

    recount.py <PLANS

PLANS is an array of objects, each with the path of a plan as "plan" and with its reports by their names, as
`studbay report --format json` writes them; tests/unit/walk_test.c writes it.

tests/unit/agree_test.c writes plans with site logs, and the reports cuts, materials, labels, todo and trim with them: of those
every figure that stands in two reports is compared, whatever the plan's errors.

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
        if r["group"] in ("devices", "luminaires") and not r["item"].endswith(" for a plug"):
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
        words = re.fullmatch(r"cover (?:in-use |weatherproof )?((?:blank )?)(\d-gang|round)", item)
        if words:
            covers["blank" if words[1] else words[2]] += n
        body = re.fullmatch(r"cover conduit-body (gasket )?\S+", item)
        if body:
            covers["body cover with gasket" if body[1] else "body cover"] += n
    plates = collections.Counter()
    for r in trim["rows"]:
        if r["group"] == "plates":
            plates[r["item"].split(":")[0]] += r["quantity"]
    same(plan, "plates by gangs", covers, plates)
    by_box = {b["box"]: b for b in boxes}
    for r in trim["rows"]:
        if r["group"] == "plates" and r["item"] != "blank" and not r["item"].startswith("body cover"):
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


# --- one story with the site log ---------------------------------------------------------------------------------------


def feet(words):
    """24'-6 1/2\" as feet."""
    found = re.fullmatch(r"(?:(\d+)')?-?(?:(\d+)?(?:[ -]?(\d+)/(\d+))?\")?", words)
    if not found or not words:
        return None
    whole, inches, over, under = (int(g) if g else 0 for g in found.groups())
    return whole + (inches + (over / under if under else 0)) / 12


def near(plan, what, ours, theirs, within=0.02):
    if (ours is None) != (theirs is None) or (ours is not None and abs(ours - theirs) > within):
        wrong.append(f"{plan}: {what}: counted {ours}, the report says {theirs}")


def check_coils(plan, name, cuts):
    """Pieces and rest are the coil; the totals are the pieces."""
    coils = collections.OrderedDict()
    for r in cuts["rows"]:
        coils.setdefault((r["cable"], r["coil"]), []).append(r)
    sums = collections.defaultdict(lambda: [0, 0.0, 0.0, 0])
    for (cable, coil), pieces in coils.items():
        left = pieces[0]["stock_ft"]
        for number, r in enumerate(pieces):
            left -= r["cut_ft"]
            near(plan, f"{name}: left on {coil} after {r['run']}", left, r["remainder_ft"], 0.02 * (number + 2))
            same(plan, f"{name}: piece of {coil}", number + 1, r["piece"])
        total = sums[cable]
        total[0] += len(pieces)
        total[1] += sum(r["cut_ft"] for r in pieces)
        total[2] += left
        total[3] += 1
    same(plan, f"{name}: cables with pieces", set(sums), {t["cable"] for t in cuts["totals"]})
    for t in cuts["totals"]:
        ours = sums[t["cable"]]
        same(plan, f"{name}: pieces of {t['cable']}", ours[0], t["pieces"])
        same(plan, f"{name}: coils of {t['cable']}", ours[3], t["coils"])
        near(plan, f"{name}: cut of {t['cable']}", ours[1], t["cut_ft"], 0.02 * (ours[0] + 1))
        near(plan, f"{name}: left of {t['cable']}", ours[2], t["remainder_ft"], 0.02 * (ours[0] + 1))


def raceway_of(run):
    """What a run lies in, and how many conductors it has there; None, 1 of a cable."""
    found = re.fullmatch(r"(.+) in (\S+)", run["cable"] or "")
    if not found:
        return None, 1
    conductors = 0
    for part in found[1].split(" + "):
        many = re.fullmatch(r"(\d+) (?!green$|bare$)[a-z]\S*", part)
        conductors += int(many[1]) if many else 1
    return found[2], conductors


def hangs(run):
    return run.get("pulled_ft") is not None and not run.get("pull_again")


def parted(makeup):
    """Labels of cables of which some conductors go on uncut into another, and some do not."""
    found = set()
    for row in makeup["rows"]:
        for p in row.get("passes") or []:
            labels = {c["label"] for c in p["conductors"]}
            found |= labels if len(labels) > 1 else set()
    return found


def check_pieces(plan, runs, cuts, whole, todo, partly):
    not_cut = {n[len("Not cut: "):].split(" is longer")[0].split(";")[0] for n in cuts["notes"] if n.startswith("Not cut: ")}
    asked = {r["label"]: r["cut_ft"] for r in runs if r["label"] and r["label"] not in partly and r["cable"] and r["cut_ft"] and not hangs(r) and r["run"] not in not_cut}
    lies = {r["label"]: raceway_of(r) for r in runs if r["label"]}
    sticks = {raceway for raceway, _ in lies.values() if raceway}
    pieces = [r for r in cuts["rows"] if r["run"] not in not_cut and r["cable"] not in sticks and r["label"] not in partly]
    same(plan, "pieces to cut, each once", sorted(l for l in asked for _ in range(lies[l][1])), sorted(r["label"] for r in pieces))
    for r in pieces: # of two runs of one name one may be too long for a coil
        near(plan, f"cut of {r['run']}", asked.get(r["label"]), r["cut_ft"])
    for run in runs:
        raceway = raceway_of(run)[0]
        if raceway and run["label"] in asked and not run["measured"]:
            laid = sum(r["cut_ft"] for r in cuts["rows"] if r["label"] == run["label"] and r["cable"] == raceway)
            if not run["route_ft"] - 0.02 <= laid <= run["route_ft"] + 1.02: # rounded up to a step of 1 ft at most
                wrong.append(f"{plan}: raceway of {run['run']}: its way is {run['route_ft']} ft, the sticks {laid} ft")
    same(plan, "still to cut, in the list of all", sorted((r["coil"], r["label"] or "", r["cut_ft"], r["remainder_ft"]) for r in cuts["rows"]),
         sorted((r["coil"], r["label"] or "", r["cut_ft"], r["remainder_ft"]) for r in whole["rows"] if not r.get("pulled")))
    pulled = collections.defaultdict(list)
    for r in whole["rows"]:
        if r.get("pulled"):
            pulled[r["label"]].append(r["cut_ft"])
    loose = any(t["coil"] is None for t in todo["totals"])
    for r in runs:
        if r.get("pulled_ft") is not None and r["label"] not in partly and not loose:
            if not any(abs(l - r["pulled_ft"]) < 0.02 for l in pulled[r["label"]]):
                wrong.append(f"{plan}: {r['run']} hangs with {r['pulled_ft']} ft, and the list of all has {pulled[r['label']]}")
    rows = [t for t in todo["rows"] if t["stage"] == "pull"]
    same(plan, "what is to be pulled", sorted(r["label"] for r in runs if r["label"] and not hangs(r) and (r["cut_ft"] or r["label"] in {t["label"] for t in rows})),
         sorted(t["label"] for t in rows))
    missing = {r["label"] for r in cuts["rows"] if r["label"]} - {t["label"] for t in rows}
    same(plan, "cut, and not to be pulled", set(), missing)


def check_todo_coils(plan, whole, todo):
    stock, pulled = {}, collections.defaultdict(list)
    for r in whole["rows"]:
        stock[r["cable"], r["coil"]] = r["stock_ft"]
        if r.get("pulled"):
            pulled[r["cable"], r["coil"]].append(r["cut_ft"])
    listed = {(t["cable"], t["coil"]) for t in todo["totals"]}
    same(plan, "coils of the cut list that todo has not", set(), set(stock) - listed)
    for t in todo["totals"]:
        coil = t["cable"], t["coil"]
        if t["coil"] is None:
            continue
        same(plan, f"pieces off {t['coil']}", len(pulled[coil]), t["pieces"])
        near(plan, f"pulled off {t['coil']}", sum(pulled[coil]), t["pulled_ft"], 0.02 * (t["pieces"] + 1))
        near(plan, f"left on {t['coil']}", t["stock_ft"] - t["pulled_ft"], t["left_ft"])
        if coil in stock:
            near(plan, f"length of {t['coil']}", stock[coil], t["stock_ft"])


def check_bought(plan, name, cuts, materials):
    coils, bought = collections.Counter(), collections.Counter()
    for r in materials["rows"]:
        found = re.fullmatch(r"(?:cable|raceway) (\S+) (.*)", r["item"])
        if found and r["unit"] in ("coil", "stick"):
            coils[found[1]] += r["quantity"]
            bought[found[1]] += r["quantity"] * feet(found[2])
    same(plan, f"{name}: coils bought", coils, collections.Counter({t["cable"]: t["bought_coils"] for t in cuts["totals"] if t["bought_coils"]}))
    for t in cuts["totals"]:
        near(plan, f"{name}: feet bought of {t['cable']}", bought[t["cable"]], t["bought_ft"], 0.1)
    near(plan, f"{name}: the sum of prices", sum(r["price"] or 0 for r in materials["rows"]), materials["totals"]["price"], 0.05)


def check_labels(plan, runs, labels):
    ends = collections.Counter(l["label"] for l in labels)
    same(plan, "labels, two for each cable", collections.Counter({k: 2 * n for k, n in collections.Counter(r["label"] for r in runs if r["label"]).items()}), ends)
    lengths = collections.defaultdict(set)
    for r in runs:
        lengths[r["label"]].add(r["pulled_ft"] if hangs(r) else r["cut_ft"])
    for l in labels:
        measures = [w for w in l["lines"][-1].split(", ") if re.fullmatch(r"[0-9'\"/ -]+", w) and ("'" in w or '"' in w)]
        told = feet(measures[0]) if measures else None
        if told is not None and not any(x is not None and abs(x - told) < 0.02 for x in lengths[l["label"]]):
            wrong.append(f"{plan}: label {l['label']} tells {told} ft, the runs {lengths[l['label']]}")


def check_stages(plan, runs, bores, todo):
    left = dict()
    for stage, n, all_ in re.findall(r"(set|bore|lay|pull|staple|make up|inspect|cover|trim|test) (\d+) of (\d+)", todo["says"]):
        left[stage] = int(n), int(all_)
    counted, rows = collections.Counter(), collections.Counter()
    for t in todo["rows"]:
        counted[t["stage"]] += t["count"]
        rows[t["stage"]] += 1
    for stage, (n, all_) in left.items():
        same(plan, f"left to {stage}", (counted if stage in ("set", "bore") else rows)[stage], n)
        if n > all_:
            wrong.append(f"{plan}: {stage}: {n} of {all_}")
    holes = sum(b["count"] for b in bores["rows"])
    same(plan, "holes of todo", holes, left["bore"][1])
    same(plan, "holes of the totals", holes, sum((t["holes"] or 0) + (t.get("notches") or 0) for t in bores["totals"]))
    stapled = {t["label"]: t["count"] for t in todo["rows"] if t["stage"] == "staple"}
    for r in runs:
        if r["label"] in stapled:
            same(plan, f"staples of {r['run']}", r["supports"], stapled[r["label"]])
    for stage in ("staple", "pull"):
        n, all_ = left.get(stage, (0, 0))  # what there is none of is not told
        done = all_ - n
        if done < 0:
            wrong.append(f"{plan}: {stage}: fewer than none done")


def check_parts(plan, boxes, runs, reports):
    """What is bought of the whole job is what the boxes and the runs say."""
    bought = {r["item"]: r["quantity"] for r in reports["materials --all"]["rows"]}
    types = collections.Counter(b["type"] for b in boxes if b["type"] and not any("existing" in str(v) for v in (b["type"],)))
    for item, n in types.items():
        if item in bought and n < bought[item]:
            wrong.append(f"{plan}: {bought[item]} of {item} are bought for {n} boxes")
    supports = collections.Counter()
    for r in runs:
        if r["label"]:
            supports[raceway_of(r)[0] if r["cable"] else "no cable"] += r["supports"] or 0
    held = sum(n for item, n in bought.items() if item.split(" ")[0] in ("staple", "clip"))
    if supports[None] and held and not supports[None] <= held + 1e-9 <= 1.1 * supports[None] + 12:
        wrong.append(f"{plan}: {held} staples for {supports[None]}")
    for item, n in bought.items(): # a raceway is laid, too, where no conductor is large enough
        if item.startswith("strap "):
            least = supports[item.split(" ")[1]]
            if not least <= n <= 1.1 * (least + supports["no cable"]) + 12:
                wrong.append(f"{plan}: {n} of {item} for {least}")
    for item, n in {r["item"]: r["quantity"] for r in reports["materials"]["rows"]}.items():
        if not item.startswith("cable ") and n > bought.get(item, 0):
            wrong.append(f"{plan}: {n} of {item} are left to buy, and {bought.get(item, 0)} are bought in all")
    if not reports["log"]:
        same(plan, "without a log, materials and --all", reports["materials"]["rows"], reports["materials --all"]["rows"])
        same(plan, "without a log, cuts and --all", reports["cuts"]["rows"], reports["cuts --all"]["rows"])
    for name in ("", " --all"):
        items = {r["item"]: r["quantity"] for r in reports["materials" + name]["rows"]}
        for t in reports["trim" + name]["totals"]:
            same(plan, f"{t['item']} to buy{name}", items.get(t["item"]), t["quantity"])


def cents(x):
    return round((x or 0) * 100)


def check_money(plan, e, materials):
    """Each line by itself, and each sum is that of the lines as they are printed."""
    parts = collections.defaultdict(list)
    for r in e["rows"]:
        parts[r["part"]].append(r)
    t = e["totals"]
    for name in ("materials", "work", "rentals", "allowances", "markup", "tax"):
        same(plan, f"{name} of the estimate", sum(cents(r["price"]) for r in parts[name]), cents(t[name]))
    same(plan, "the estimate in all", sum(cents(r["price"]) for r in e["rows"]), cents(t["total"]))
    same(plan, "hours of the estimate", sum(cents(r["hours"]) for r in parts["work"]), cents(t["hours"]))
    for r in parts["materials"] + parts["rentals"] + parts["allowances"]:
        if r["unit_price"] is not None and abs(r["quantity"] * r["unit_price"] * 100 - cents(r["price"])) > 0.5 + r["quantity"] * 0.005:
            wrong.append(f"{plan}: {r['quantity']} of {r['item']} at {r['unit_price']} are {r['price']}")
    for r in parts["work"]:
        if abs(r["minutes"] / 60 - r["hours"]) > 0.005 + 1e-9:
            wrong.append(f"{plan}: {r['item']}: {r['minutes']} min are {r['hours']} h")
        if r["price"] is not None and abs(cents(r["hours"]) * r["unit_price"] - cents(r["price"])) > 0.51:
            wrong.append(f"{plan}: {r['item']}: {r['hours']} h at {r['unit_price']} are {r['price']}")
    for r in parts["markup"] + parts["tax"]:
        if abs(r["of"] * r["percent"] - cents(r["price"])) > 0.5 + abs(r["of"]) * 0.00006:
            wrong.append(f"{plan}: {r['percent']} % of {r['of']} are {r['price']}")
    bought = [(r["item"], r["quantity"], r["unit"], r["price"]) for r in materials["rows"]]
    same(plan, "what the estimate buys", [(r["item"], r["quantity"], r["unit"], r["price"]) for r in parts["materials"]], bought)
    same(plan, "what has no price", sum(r["price"] is None for r in parts["materials"]), t["unpriced"])
    same(plan, "the price of the materials", cents(materials["totals"]["price"]), cents(t["materials"]))


def check_estimate(plan, reports):
    """The work of the estimate is that of the reports that own its counts."""
    whole = collections.Counter({r["item"]: r["quantity"] for r in reports["estimate --all"]["rows"] if r["part"] == "work"})
    left = collections.Counter({r["item"]: r["quantity"] for r in reports["estimate"]["rows"] if r["part"] == "work"})
    for name in ("", " --all"):
        check_money(plan, reports["estimate" + name], reports["materials" + name])
    stages = collections.Counter()
    for t in reports["todo"]["rows"]:
        stages[t["stage"]] += t["count"]
        stages[t["stage"] + " rows"] += 1
    same(plan, "left to set, by the estimate", stages["set"], left["set"] + left["hang"])
    same(plan, "left to bore, by the estimate", stages["bore"], left["bore"] + left["notch"])
    same(plan, "left to pull, by the estimate", stages["pull rows"], left["label"])
    same(plan, "left to staple, by the estimate", stages["staple"], left["staple"])
    same(plan, "left to trim, by the estimate", stages["trim"], left["trim"] + left["blank"] + left["breaker"] + left["filler"])
    same(plan, "left to test, by the estimate", stages["test"], left["test"])
    same(plan, "made dead, by the estimate", stages["make dead"], left["dead"])
    same(plan, "taken out, by the estimate", stages["take out"], left["remove"])
    bores, runs = reports["bores"]["rows"], reports["runs"]["rows"]
    same(plan, "holes of the estimate", sum(b["count"] for b in bores if b["diameter_in"]), whole["bore"])
    same(plan, "notches of the estimate", sum(b["count"] for b in bores if not b["diameter_in"]), whole["notch"])
    same(plan, "labels of the estimate", len(reports["labels"]["rows"]), 2 * whole["label"])
    if abs(sum(r["cut_ft"] or 0 for r in runs if r["label"]) - whole["pull"]) > 0.006 * len(runs):
        wrong.append(f"{plan}: {whole['pull']} ft are pulled, by the estimate")
    if not reports["log"]:
        same(plan, "without a log, the estimate and --all", reports["estimate"]["rows"], reports["estimate --all"]["rows"])
    for w in whole:
        if left[w] > whole[w]:
            wrong.append(f"{plan}: {left[w]} of {w} are left, of {whole[w]}")
    for r in reports["estimate"]["rows"]:
        if r["part"] == "work" and reports["log"] and abs(r["quantity"] + r["done"] - whole[r["item"]]) > 0.011:
            wrong.append(f"{plan}: {r['item']}: {r['quantity']} left and {r['done']} done are not {whole[r['item']]}")


def said(plan, report, words, ours):
    """What a report says above all else, against its rows; nothing is said of what there is none of."""
    found = re.search(rf"(\d+) (?:{words})", report.get("says") or "")
    same(plan, f"'{words}' of {report['report']}", ours, int(found.group(1)) if found else 0)


def check_sums(plan, reports):
    """The first line of each report is the sum of what stands below it."""
    trim = collections.Counter()
    for r in reports["trim"]["rows"]:
        trim[r["group"]] += r["quantity"]
    said(plan, reports["trim"], r"devices?\b", trim["devices"])
    said(plan, reports["trim"], r"luminaires?\b", trim["luminaires"])
    said(plan, reports["trim"], r"plates?\b", trim["plates"])
    said(plan, reports["trim"], r"breakers?\b", trim["breakers"])
    bought = collections.Counter()
    for r in reports["materials"]["rows"]:
        bought[r["unit"] if r["unit"] in ("coil", "stick") else r["item"].split(" ")[0]] += r["quantity"]
    said(plan, reports["materials"], r"breakers?\b", bought["breaker"])
    said(plan, reports["materials"], r"plates? (?:and|or) covers?\b", bought["cover"])
    said(plan, reports["materials"], r"coils?(?: and sticks| or stick)?\b", bought["coil"] + bought["stick"])
    boxes, runs, labels = reports["boxes"], reports["runs"], reports["labels"]
    old = re.search(r"(\d+) there already", boxes["says"])
    said(plan, boxes, r"box(?:es)? to set", len(boxes["rows"]) - (int(old.group(1)) if old else 0))
    said(plan, runs, r"cables? to pull", sum(r["label"] is not None for r in runs["rows"]))
    said(plan, runs, r"runs? in all", len(runs["rows"]))
    said(plan, labels, r"labels?\b", len(labels["rows"]))
    said(plan, labels, r"home runs?\b", sum(bool(r["home_run"]) for r in labels["rows"]) // 2)
    bores = reports["bores"]
    said(plan, bores, r"holes? to bore", sum(r["count"] for r in bores["rows"] if r["diameter_in"]))
    said(plan, bores, r"notch(?:es)?\b", sum(r["count"] for r in bores["rows"] if not r["diameter_in"]))
    said(plan, bores, r"nail plates?\b", sum(r["plates"] for r in bores["rows"]))
    openings = {r["item"]: r["quantity"] for r in reports["permit"]["rows"] if r["group"] == "openings"}
    said(plan, reports["permit"], "outlets?, switch", openings["all"])


def check_story(plan, reports):
    runs, todo = reports["runs"]["rows"], reports["todo"]
    for name in ("", " --all"):
        check_coils(plan, "cuts" + name, reports["cuts" + name])
        check_bought(plan, "materials" + name, reports["cuts" + name], reports["materials" + name])
    check_pieces(plan, runs, reports["cuts"], reports["cuts --all"], todo, parted(reports["makeup"]))
    check_todo_coils(plan, reports["cuts --all"], todo)
    check_labels(plan, runs, reports["labels"]["rows"])
    check_stages(plan, runs, reports["bores"], todo)
    check_parts(plan, reports["boxes"]["rows"], runs, reports)
    check_sums(plan, reports)
    check_estimate(plan, reports)


def main():
    for reports in json.load(sys.stdin):
        plan = reports["plan"]
        if "cuts --all" in reports:
            check_story(plan, reports)
            continue
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
