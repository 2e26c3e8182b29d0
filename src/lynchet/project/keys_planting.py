"""Keys of what grows on the beds."""

from __future__ import annotations

from lynchet.project.keys import Key, table

PLANTING = table(
    "what is wished of the beds and known of them",
    {
        "food": Key("flag", "food is grown"),
        "children": Key("flag", "children use the garden", default=False, origin="not said"),
        "pets": Key("flag", "dogs, cats or other animals use the garden", default=False, origin="not said"),
        "zone": Key("text", "hardiness zone, 1 to 13, with a or b for a half"),
        "wishes": Key("texts", "plants wished, by common or botanical name of the plant table, or kinds (herbs)",
                      least=0),
        "avoid": Key("texts", "plants, kinds or traits (toxic, spreading, trailing, self-seeding) to keep out",
                     least=0),
        "suggest": Key("flag", "choose plants for ground the wishes leave open", default=True, origin="not said"),
        "moisture": Key("word", "how the beds' soil is in the growing season", words=("dry", "medium", "wet")),
        "ph": Key("number", "acidity of the beds' soil, from a soil test", low=3.0, high=10.0),
        "region": Key("text", "region, for plants that spread there: British Isles, New England, ..."),
        "last_frost": Key("text", "day of the last spring frost in half the years, MM-DD, from a station's table"),
        "first_frost": Key("text", "day of the first autumn frost in half the years, MM-DD"),
        "bed_soil": Key("length", "depth of good soil in the beds, topsoil and compost together", low=0.0, high=1.0,
                        rule="topsoil and compost, 0.2 m (8 in) at least",
                        rule_us="topsoil and compost, 8 in (0.2 m) at least", origin="PRACTICE: one spit"),
        "compost": Key("length", "depth of compost dug into it", low=0.0, high=0.3, default="50 mm",
                       default_us="2 in", origin="PRACTICE: a quarter of one spit"),
        "mulch": Key("length", "depth of mulch on it; what is deeper than the freeboard lowers the soil", low=0.0,
                     high=0.3, default="50 mm", default_us="2 in", origin="PRACTICE"),
    },
)  # fmt: skip
