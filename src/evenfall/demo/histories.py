"""Months of the made-up horses: what each wore, when it was filmed, and what became of it.

Five of them have a story with films: Juniper trots, and one thing is changed at a time. Tansy came heavy
behind, and the weight comes off step by step. Marble paces, and two things were changed at once; later something was
tried off, on and off again on one day. Biscuit is asked for a fox trot, for whom even is not the goal. Damson was shod
the same again: nothing changed, until left and right did.
"""

from evenfall.demo.shoes import Hoof, bar, keg, shod, toe_plate
from evenfall.demo.story import (
    DemoCheck,
    DemoLadder,
    DemoSigns,
    DemoStep,
    DemoTrial,
    DemoWeighing,
    Goes,
    History,
    Limb,
    Worn,
)
from evenfall.store.records import HorseFields

__all__ = [
    "BISCUIT",
    "COPPER",
    "DAMSON",
    "DAMSON_GOES",
    "DAMSON_SIDES_PCT",
    "HAZEL",
    "JUNIPER",
    "MARBLE",
    "PILGRIM",
    "SABLE",
    "TANSY",
]

FORES: tuple[Limb, Limb] = ("LF", "RF")
HINDS: tuple[Limb, Limb] = ("LH", "RH")
FARRIER = "Ruth Aldine, farrier"

# Juniper: one change at a time ---------------------------------------------------------------------------------

_JUNIPER = Hoof(0.122, 0.118)
_JUNIPER_FORE = bar(_JUNIPER, "3/8x3/4")
_JUNIPER_STOUT = bar(_JUNIPER, "7/16x3/4", weighed_kg=0.383)
_AS_SHE_CAME = shod(_JUNIPER, _JUNIPER_FORE, _JUNIPER_FORE, head="level", note="as she came")
_HEAD_RAISED = shod(
    _JUNIPER, _JUNIPER_FORE, _JUNIPER_FORE, head="raised", note="head asked higher, nothing else"
)
_STOUTER = shod(_JUNIPER, _JUNIPER_FORE, _JUNIPER_STOUT, head="raised", note="hinds a stouter bar")

JUNIPER = History(
    21,
    HorseFields("", height_m=1.50, mass_kg=430, owner="the barn", markings="star, one white sock behind"),
    "Mara",
    78.0,
    Goes(0.60, 47, 48, 38),
    worn=(
        Worn(92, _AS_SHE_CAME, 47.4),
        Worn(57, _HEAD_RAISED, 46.6, head_deg=-5.0),
        Worn(29, _STOUTER, 41.8, 1.5, head_deg=-5.0),
    ),
    filmed={
        90: "first films, as she came",
        83: "nothing changed yet: filmed again to know her own spread",
        69: "the same again",
        56: "one day after the head was asked higher",
        50: "a week on",
        36: "three weeks on; little to see",
        28: "one day after the stouter hind shoes",
        22: "a week on",
        8: "three weeks on",
    },
    weighings=(
        DemoWeighing(57, HINDS, "new", (0.326, 0.328)),
        DemoWeighing(29, HINDS, "pulled", (0.314, 0.311), "four weeks of sand and lane"),
        DemoWeighing(29, HINDS, "new", (0.383, 0.381)),
    ),
    ladder=DemoLadder(
        (
            DemoStep("head raised", "Head raised, shoes as she came", _HEAD_RAISED, "the head before any shoe"),
            DemoStep("stouter", "Hinds a stouter bar, head raised", _STOUTER, "only since the head was not enough"),
            DemoStep(
                "head level",
                "Head level again, shoes kept",
                shod(_JUNIPER, _JUNIPER_FORE, _JUNIPER_STOUT, head="level"),
                "as soon as the gait holds",
            ),
            DemoStep(
                "lighter in front",
                "Fronts a size lighter",
                shod(_JUNIPER, bar(_JUNIPER, "5/16x3/4"), _JUNIPER_STOUT, head="level"),
            ),
            DemoStep(
                "plain behind",
                "Plain hinds",
                shod(_JUNIPER, bar(_JUNIPER, "5/16x3/4"), _JUNIPER_FORE, head="level"),
                "where she is to end",
            ),
        ),
        at=1,
        since_days=29,
    ),
)  # fmt: skip

# Tansy: the weight comes off ------------------------------------------------------------------------------------

_TANSY = Hoof(0.120, 0.117, 50.5, 53.5)
_TANSY_FORE = bar(_TANSY, "5/16x3/4")
_HEAVY = shod(_TANSY, _TANSY_FORE, bar(_TANSY, "1/2x1"), head="level", note="as she was trained elsewhere")
_LESS = shod(_TANSY, _TANSY_FORE, bar(_TANSY, "7/16x1"), head="level", note="hinds one size down")
_LESS_AGAIN = shod(_TANSY, _TANSY_FORE, bar(_TANSY, "3/8x1"), head="level", note="hinds another size down")
_PLAIN_BEHIND = shod(_TANSY, _TANSY_FORE, bar(_TANSY, "3/8x3/4"), head="level")
_PLAIN_RAISED = shod(_TANSY, _TANSY_FORE, bar(_TANSY, "3/8x3/4"), head="raised")
_FOUR_LIGHT = shod(_TANSY, _TANSY_FORE, _TANSY_FORE, head="raised")

TANSY = History(
    22,
    HorseFields("", height_m=1.52, mass_kg=450, owner="the Alder family", markings="blaze"),
    "Jon",
    92.0,
    Goes(0.56, 46, 47, 36),
    worn=(
        Worn(94, _HEAVY, 24.6),
        Worn(63, _LESS, 25.1, 8.5),
        Worn(28, _LESS_AGAIN, 25.4, 3.5),
    ),
    filmed={
        92: "heavy behind, as she was trained; even",
        84: "the same",
        70: "the same, three weeks on",
        62: "one day after the first step down: the trot is back",
        56: "a week on",
        42: "three weeks on, even again",
        27: "one day after the second step down; less of the trot than the last time",
        21: "a week on",
        14: "two weeks on, even",
        7: "three weeks on",
    },
    weighings=(
        DemoWeighing(63, HINDS, "pulled", (0.562, 0.558), "as she came; worn at the toe"),
        DemoWeighing(63, HINDS, "new", (0.499, 0.501)),
        DemoWeighing(28, HINDS, "pulled", (0.478, 0.475), "five weeks"),
        DemoWeighing(28, HINDS, "new", (0.428, 0.430)),
        DemoWeighing(28, FORES, "worn", (0.271, 0.268)),
    ),
    ladder=DemoLadder(
        (
            DemoStep("heavy behind", "Heavy hinds, as she came", _HEAVY),
            DemoStep("one size down", "Hinds one size down", _LESS),
            DemoStep("two sizes down", "Hinds two sizes down", _LESS_AGAIN),
            DemoStep("plain behind", "Plain hinds", _PLAIN_BEHIND),
            DemoStep("head raised", "Head raised, shoes as they are", _PLAIN_RAISED, "the head before the last shoe"),
            DemoStep("four light", "Four light shoes alike", _FOUR_LIGHT, "where she is to end"),
        ),
        at=2,
        since_days=28,
    ),
)  # fmt: skip

# Marble: two changes at once ------------------------------------------------------------------------------------

_MARBLE = Hoof(0.114, 0.112, 51.0, 52.5, 0.087)

MARBLE = History(
    23,
    HorseFields("", height_m=1.38, mass_kg=345, owner="Signy", markings="dark mane"),
    "Mara",
    78.0,
    Goes(0.52, 44, 46, 34),
    worn=(
        Worn(78, shod(_MARBLE, bar(_MARBLE, "8x20mm"), bar(_MARBLE, "8x20mm"), head="raised", note="as she came"), 10.4),
        Worn(
            42,
            shod(_MARBLE, bar(_MARBLE, "10x23mm"), bar(_MARBLE, "8x20mm"), head="level", note="two things at once"),
            14.6,
            -1.0,
            head_deg=7.0,
        ),
    ),
    filmed={
        76: "first films: slides toward the pace",
        69: "the same",
        56: "the same, three weeks on",
        41: "one day after heavier fronts, and the head asked lower: two changes at once",
        35: "a week on",
        21: "three weeks on; better, and nobody can say of what",
    },
    trial=DemoTrial(
        14,
        "Soft boots in front, 110 g each, as she may wear in class: four films off, four on, four off again. "
        "All one way; nothing else changed.",
    ),
    weighings=(DemoWeighing(42, FORES, "new", (0.391, 0.393)),),
)  # fmt: skip

# Biscuit: even is not his goal ----------------------------------------------------------------------------------

_BISCUIT = Hoof(0.127, 0.124)
_BISCUIT_FORE = bar(_BISCUIT, "3/8x3/4")

BISCUIT = History(
    24,
    HorseFields("", height_m=1.55, mass_kg=480, owner="the barn", markings="four white socks"),
    "Jon",
    92.0,
    Goes(0.5933, 54, 54, 44),
    worn=(
        Worn(74, shod(_BISCUIT, _BISCUIT_FORE, bar(_BISCUIT, "3/8x3/4", added=(toe_plate(),)), head="level"), 36.2),
        Worn(35, shod(_BISCUIT, _BISCUIT_FORE, bar(_BISCUIT, "3/8x3/4"), head="level", note="toe plates off"), 35.6, 0.8),
    ),
    filmed={
        72: "with the small toe plates behind",
        65: "the same",
        49: "the same",
        34: "one day after the toe plates came off",
        28: "a week on",
        14: "three weeks on: goes as before",
    },
    checks=(
        DemoCheck(
            20,
            "a loose or shifted shoe",
            "left hind, two clenches up; not ridden",
            18,
            FARRIER,
            "nailed on again, the hoof is fine",
        ),
    ),
    weighings=(
        DemoWeighing(74, HINDS, "new", (0.378, 0.381), "with the toe plates"),
        DemoWeighing(35, HINDS, "pulled", (0.366, 0.370), "with the toe plates"),
        DemoWeighing(35, HINDS, "new", (0.339, 0.341)),
    ),
    signs=(DemoSigns(14, (), "Jon"),),
)  # fmt: skip

# Damson: nothing changed, until left and right did --------------------------------------------------------------

_DAMSON = Hoof(0.125, 0.121, 51.5, 53.0)
_DAMSON_ALL = bar(_DAMSON, "3/8x3/4")

DAMSON_GOES = Goes(0.65, 51, 58, 42)
DAMSON_SIDES_PCT = 7.0

DAMSON = History(
    25,
    HorseFields("", height_m=1.57, mass_kg=495, owner="Theodora", markings="none"),
    "Mara",
    78.0,
    DAMSON_GOES,
    worn=(
        Worn(86, shod(_DAMSON, _DAMSON_ALL, _DAMSON_ALL, head="level"), 21.0),
        Worn(29, shod(_DAMSON, _DAMSON_ALL, _DAMSON_ALL, head="level", note="shod the same again"), 21.0),
    ),
    filmed={
        82: "first film of the spring",
        75: "the same",
        68: "the same",
        61: "the same",
        54: "the same",
        47: "the same",
        40: "the same",
        33: "the same",
        28: "one day after new shoes, made like the old ones",
        25: "the same",
        22: "the same",
        18: "the same",
        15: "the same",
        12: "the same",
        8: "the same",
        5: "the same",
        1: "ridden lightly; looks different from before",
    },
    films_an_outing=1,
    sides_pct={1: DAMSON_SIDES_PCT},
    signs=(DemoSigns(1, ("ears_back", "dragging", "stumbles"), "Mara"),),
)

# The others: filmed once ----------------------------------------------------------------------------------------

_PLAIN = Hoof(0.121, 0.118)

COPPER = History(
    26,
    HorseFields("", height_m=1.56, mass_kg=470, owner="the barn"),
    "Jon",
    92.0,
    worn=(Worn(30, shod(_PLAIN, keg(0.33, "1"), keg(0.31, "1"), head="level"), 25.0),),
    checks=(
        DemoCheck(1, "heat or swelling in a leg", "left fore, warm above the fetlock; left in the paddock"),
    ),
)
SABLE = History(
    27,
    HorseFields("", height_m=1.54, mass_kg=455),
    "Mara",
    78.0,
    worn=(Worn(21, shod(_PLAIN, bar(_PLAIN, "5/16x3/4"), bar(_PLAIN, "5/16x3/4"), head="raised"), 25.0),),
)
PILGRIM = History(
    28,
    HorseFields("", height_m=1.42, mass_kg=385, owner="Inés"),
    worn=(Worn(40, shod(_PLAIN, None, None, note="barefoot"), 25.5),),
)
HAZEL = History(
    29,
    HorseFields("", height_m=1.50, mass_kg=440),
    "Jon",
    92.0,
    worn=(
        Worn(
            18, shod(_PLAIN, keg(0.14, "1", material="aluminium"), keg(0.14, "1", material="aluminium")), 31.0
        ),
    ),
)
