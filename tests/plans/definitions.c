/* Definitions in the plan, with every clause that they can have: features of features.c. */
#include "draft.h"

#include <stdio.h>
#include <string.h>

/* Definitions that devices, boxes, cables and rooms of a clean plan use, where one is given. */
void feature_definitions(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(
        &d->definitions,
        "box-type deep-square : square-2-1-8-deep { volume 34 in3 }\n"
        "box-type own-square \"A box of our own\" {\n  gangs 2\n  volume 60 in3\n  depth 2-1/8\"\n"
        "  ring 1/2\" adds 3.6 in3\n  mount any\n  clamp none\n  metal\n  divided no\n  wet no\n"
        "  old-work no\n  fastened screws\n  wide 4\"\n  fan 35 lb\n  holds 50 lb\n}\n"
        "kind pottery : workshop { wet no; unfinished no; habitable no; sleeping no; counts-area "
        "}\n"
        "device bench-lamp : luminaire {\n  sort luminaire\n  load 30 W\n  yokes 0\n"
        "  fixture-wires 2 of 18\n  fittings 1\n  clear-of-insulation no\n  housing 6\"\n  mount "
        "ceiling\n"
        "  fan-box no\n  integral no\n}\n"
        "device bench-outlet : receptacle {\n  height 40\"\n  rating 15 A\n  outlets 2\n"
        "  tamper-resistant\n  demand general\n  fixed no\n  motor no\n  continuous no\n}\n"
        "device own-switch \"A switch of our own\" {\n  sort control\n  yokes 1\n  gangs 1\n"
        "  rating 15 A\n  volts 120 V\n  place any\n  multi no\n  wants-neutral no\n"
        "  terminal in takes line\n  terminal out gives leg\n  terminal case takes ground\n"
        "  position on joins in out\n  position off\n}\n"
        "device own-pair \"A lamp and a fan\" {\n  sort luminaire\n  mount ceiling\n"
        "  takes 18 to 12\n  part lamp { load 20 W; terminal hot takes line leg; terminal white "
        "takes neutral; light "
        "}\n"
        "  part blower { load 40 W; volts 120 V; motor; terminal hot takes line leg; terminal "
        "white "
        "takes neutral }\n"
        "  terminal case takes ground\n}\n"
        "device own-halves \"Two outlets\" {\n  sort receptacle\n  yokes 1\n  outlets 2\n"
        "  rating 15 A\n  part half 2 { terminal hot takes line leg; terminal neutral takes "
        "neutral; tab hot; tab neutral }\n  terminal case takes ground\n}\n"
        "trade \"bench plug\" means bench-outlet\n"
        "device own-data : data { cable cat6 }\n"
        "device own-guard : receptacle-gfci { protects gfci }\n"
        "cable 14/6 : nm {\n  size 14\n  conductors black red blue yellow white white-red\n"
        "  ground bare\n  ground-size 14\n  neutral-size 14\n  diameter 0.6\"\n  suits dry\n  "
        "metal copper\n"
        "  rated 60 C from 90 C\n  stock 1000'\n  family nm\n}\n\n");
    buf_puts(&d->definitions,
             "raceway own-tube : emt \"A tube of our own\" {\n  family emt\n  inside 1.5\"\n  "
             "across 1.7\"\n"
             "  support 8', 3'\n  stick 12'\n  metal\n  may-fish\n  grounds 60 A, 200'\n"
             "  suits dry damp concealed exposed\n}\n"
             "box-type own-body : body-t-1 \"A body of our own\" {\n  conduit-body 1.8 in2\n  "
             "volume 14 in3\n}\n"
             "raceway own-hose : lfnc-1 { stock 40' 80' }\n"
             "cable 8/3-thin : 8/3 { neutral-size 10 }\n"
             "cable 6/3-thin : 6/3 { neutral-size 8 }\n"
             "cable 10/2-clad : 10/2 { metal copper-clad }\n"
             "device own-water : water-heater { takes 14 to 8; al-cu }\n"
             "cable own-wire : thhn { single; size 12; conductors black; diameter 0.14\"; stock "
             "200' }\n");
    d->defined = true;
}

void feature_amendment(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_printf(&d->ends, "amend nec-2023 because \"city ordinance 14\" {\n  %s\n}\n",
               ONE_OF(d, "table receptacle-ratings { without 15 A }",
                      "table receptacle-ratings { without 20 A }",
                      "list switch-neutral-places { workshop }",
                      "table box-fill { each-further 1 }",
                      "table connectors {\n    columns of, 14, 12\n    tiny, 2, 1\n  }",
                      "without connectors"));
}
