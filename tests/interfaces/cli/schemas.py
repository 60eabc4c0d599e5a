"""The shape of every kind of JSON that a command prints. Nothing may stand there that is not listed here.

The page docs/reference/json.md tells the same in words; a test holds the two together.
"""

from typing import Any

Schema = dict[str, Any]

TEXT: Schema = {"type": "string"}
SOME: Schema = {"type": "string", "minLength": 1}
NUMBER: Schema = {"type": "number"}
MAYBE_NUMBER: Schema = {"type": ["number", "null"]}
MAYBE_TEXT: Schema = {"type": ["string", "null"]}
WHOLE: Schema = {"type": ["integer", "null"]}


def thing(optional: tuple[str, ...] = (), /, **fields: Schema) -> Schema:
    """An object with these fields and no others; all are there but those named as optional."""
    return {
        "type": "object",
        "properties": fields,
        "required": [name for name in fields if name not in optional],
        "additionalProperties": False,
    }


def many(of: Schema) -> Schema:
    """An array."""
    return {"type": "array", "items": of}


def document(kind: str, /, **fields: Schema) -> Schema:
    """A whole answer: its format and version come first."""
    return thing(format={"const": f"bikewright/{kind}"}, version={"const": 1}, **fields)


BUILD = thing(bike=SOME, revision=TEXT, build=SOME, size=SOME, key={"type": "string", "pattern": "^[0-9a-f]{64}$"})
VALUE: Schema = {
    "oneOf": [
        thing(key=SOME, state=MAYBE_TEXT, value=NUMBER),
        thing(key=SOME, state=MAYBE_TEXT, value={"type": "null"}, waits=SOME),
    ]
}
CURVE: Schema = {
    "oneOf": [
        thing(("gap",), key=SOME, at=MAYBE_TEXT, **{along: many(NUMBER)}, values=many(MAYBE_NUMBER), gap=SOME)
        for along in ("wheel_travel_mm", "fork_travel_mm")
    ]
}
REFUSAL = thing(address=SOME, text=SOME)
JUDGED = thing(
    verdict={"enum": ["met", "low", "high", "unknown"]}, low=MAYBE_NUMBER, high=MAYBE_NUMBER, short_by=NUMBER
)
CONSEQUENCE = thing(
    ("alone", "verdict"),
    key=SOME,
    state=MAYBE_TEXT,
    before=MAYBE_NUMBER,
    after=MAYBE_NUMBER,
    change=MAYBE_NUMBER,
    steps=MAYBE_NUMBER,
    alone=many(NUMBER),
    verdict=thing(before=JUDGED, after=JUDGED),
)
CAUSE = thing(
    address=SOME,
    differences=many(thing(address=SOME, before={}, after={})),
    steps=NUMBER,
    pulls=many(thing(key=SOME, alone=NUMBER)),
    headlines=many(thing(family=SOME, lead=CONSEQUENCE, echoes=many(CONSEQUENCE))),
)
COMPARISON = thing(
    before=BUILD,
    after=BUILD,
    felt={"type": "boolean"},
    refusals=many(REFUSAL),
    verdicts=many(CONSEQUENCE),
    causes=many(CAUSE),
    stopped=many(thing(address=SOME, reason=SOME)),
)
POINT: Schema = {"type": "array", "items": NUMBER, "minItems": 2, "maxItems": 2}
MAYBE_POINT: Schema = {"anyOf": [POINT, {"type": "null"}]}
NAMED_POINTS = many({"type": "array", "prefixItems": [SOME, many(POINT)], "minItems": 2, "maxItems": 2})
POSE = thing(
    title=SOME,
    state=SOME,
    ground=many(POINT),
    **dict.fromkeys(("front_axle", "rear_axle", "bb", "crown", "steerer_top", "head_upper", "head_lower"), POINT),
    front_radius=NUMBER,
    rear_radius=NUMBER,
    hand=MAYBE_POINT,
    stem_clamp=MAYBE_POINT,
    saddle=MAYBE_POINT,
    seat_axis={"anyOf": [many(POINT), {"type": "null"}]},
    crank_mm=MAYBE_NUMBER,
    crank_deg=NUMBER,
    ring_radius_mm=MAYBE_NUMBER,
    bodies=many(thing(name=SOME, kind={"enum": ["link", "shock", "frame"]}, points=many(POINT))),
    pins=many({"type": "array", "prefixItems": [SOME, POINT], "minItems": 2, "maxItems": 2}),
    instant_centre=MAYBE_POINT,
    outlines=NAMED_POINTS,
    axle_path={"anyOf": [many(POINT), {"type": "null"}]},
    rider={"type": "array", "items": {"type": "array"}},
)
PIN = {"type": "object", "required": ["name", "x_mm", "z_mm"]}
FAULT = thing(file=SOME, line=WHOLE, column=WHOLE, key=TEXT, found=TEXT, allowed=TEXT, remedy=TEXT)

CHECKED = thing(
    ("waits",),
    size=SOME,
    value=MAYBE_NUMBER,
    verdict={"enum": ["met", "low", "high", "unknown"]},
    short_by=NUMBER,
    waits=SOME,
)
CHECKED_LINE = thing(
    key=SOME,
    state=MAYBE_TEXT,
    gear=MAYBE_TEXT,
    rider=MAYBE_TEXT,
    low=MAYBE_NUMBER,
    high=MAYBE_NUMBER,
    why=TEXT,
    stands={"enum": ["met", "open", "missed"]},
    sizes=many(CHECKED),
)

FIT_ANGLE = thing(
    name={"enum": ["knee", "knee_most", "hip", "trunk", "elbow", "shoulder"]},
    value_deg=NUMBER,
    low_deg=MAYBE_NUMBER,
    high_deg=MAYBE_NUMBER,
    verdict={"enum": ["inside", "low", "high"]},
    by_deg=NUMBER,
    source=SOME,
)
FIT_POSTURE = thing(
    name={"enum": ["standing", "climb", "seated"]},
    state=SOME,
    stands={"enum": ["settled", "stated-sag", "table"]},
    refusal=TEXT,
    front_share_pct=MAYBE_NUMBER,
    front_lift_grade_pct=MAYBE_NUMBER,
    knee_to_bar_mm=MAYBE_NUMBER,
    angles=many(FIT_ANGLE),
)
FIT_SADDLE = thing(
    height_mm=NUMBER,
    chosen=SOME,
    inseam_mm=NUMBER,
    inseam_measured={"type": "boolean"},
    inseam_spread_mm=MAYBE_NUMBER,
    pedal_to_saddle_mm=NUMBER,
    rules=many(
        thing(name=SOME, source=SOME, height_mm=MAYBE_NUMBER, waits=TEXT, bike_above_mm=MAYBE_NUMBER),
    ),
)
FIT_POST = thing(
    post=TEXT,
    drop_mm=NUMBER,
    **dict.fromkeys(
        (
            "collar_mm",
            "lowest_mm",
            "highest_mm",
            "inserted_mm",
            "insertion_min_mm",
            "clamp_over_collar_mm",
            "lowered_over_collar_mm",
            "drop_room_mm",
            "saddle_to_tyre_mm",
        ),
        MAYBE_NUMBER,
    ),
    refusal=TEXT,
    waits=TEXT,
    shelf=many(thing(name=SOME, drop_mm=NUMBER, fits={"type": "boolean"}, reason=TEXT)),
    longest=TEXT,
)
FIT_COCKPIT = thing(
    **dict.fromkeys(
        (
            "seated_length_mm",
            "seated_drop_mm",
            "climb_length_mm",
            "hand_height_mm",
            "hand_over_bb_mm",
            "foot_ahead_mm",
        ),
        NUMBER,
    ),
    stance_mm=MAYBE_NUMBER,
    heel_to_stay_mm=MAYBE_NUMBER,
    waits=many(SOME),
)
PERCENTILE = thing(
    measure={"enum": ["stature", "inseam", "span", "mass"]},
    value=NUMBER,
    percent=MAYBE_NUMBER,
    beyond={"enum": ["", "below", "above"]},
    measured={"type": "boolean"},
)

SHARES = thing(men_pct=MAYBE_NUMBER, women_pct=MAYBE_NUMBER, mixed_pct=NUMBER)
SPAN: Schema = {"anyOf": [thing(low_mm=NUMBER, high_mm=NUMBER, gap={"type": "boolean"}), {"type": "null"}]}
EDGE = thing(stature_mm=NUMBER, inseam_mm=NUMBER, bound=MAYBE_TEXT)
BAND_LINE = thing(inseam_over_stature=NUMBER, low=EDGE, high=EDGE)
BAND = thing(
    middle={"anyOf": [BAND_LINE, {"type": "null"}]},
    lines=many(BAND_LINE),
    outline=many(POINT),
    nearest={"anyOf": [thing(stature_mm=NUMBER, misses=SOME), {"type": "null"}]},
)
OWN_RIDER: Schema = {"anyOf": [thing(stature_mm=NUMBER, inseam_mm=MAYBE_NUMBER, chosen=SOME), {"type": "null"}]}
PART = thing(count={"type": "integer"}, of={"type": "integer"}, pct=MAYBE_NUMBER)
MAYBE_TRUTH: Schema = {"type": ["boolean", "null"]}
BUYERS = thing(
    file=SOME,
    agree=PART,
    agree_first=PART,
    returned_of_fits=PART,
    returned_of_misfits=PART,
    people=many(
        thing(
            line={"type": "integer"},
            height_mm=NUMBER,
            inseam_mm=NUMBER,
            size=MAYBE_TEXT,
            returned=MAYBE_TRUTH,
            named=many(SOME),
            first=MAYBE_TEXT,
            nearest=MAYBE_TEXT,
            misses=MAYBE_TEXT,
        )
    ),
)
FACTS = thing(
    ("waits",),
    reach_mm=NUMBER,
    stack_mm=NUMBER,
    **dict.fromkeys(("head_tube_mm", "seat_tube_mm", "rear_centre_mm", "wheelbase_mm"), MAYBE_NUMBER),
    **dict.fromkeys(("front_share_pct", "trunk_deg", "shoulder_deg", "seated_length_mm"), MAYBE_NUMBER),
    waits=SOME,
)
MAYBE_ENDS: Schema = {"anyOf": [POINT, {"type": "null"}]}
RULE = {"enum": ["equal", "posture", "share"]}

SCHEMAS: dict[str, Schema] = {
    "coverage": thing(
        ("buyers",),
        format={"const": "bikewright/coverage"},
        version={"const": 1},
        build=BUILD,
        people=thing(source=SOME, count=WHOLE, women_pct=NUMBER, note=SOME),
        bounds=many(thing(posture=SOME, angle=SOME, low_deg=MAYBE_NUMBER, high_deg=MAYBE_NUMBER)),
        sizes=many(
            thing(
                size=SOME,
                key=SOME,
                men=BAND,
                women=BAND,
                shares=SHARES,
                own_rider=OWN_RIDER,
                **dict.fromkeys(("seat_low_mm", "seat_high_mm", "hand_reach_mm", "hand_height_mm"), MAYBE_NUMBER),
                seated_length_mm=MAYBE_NUMBER,
            )
        ),
        neighbours=many(thing(smaller=SOME, larger=SOME, men=SPAN, women=SPAN, both=SHARES)),
        any=SHARES,
        none=SHARES,
        several=SHARES,
        not_modelled=SOME,
        buyers=BUYERS,
    ),
    "steps": document(
        "steps",
        before=BUILD,
        after=BUILD,
        rule=RULE,
        keep=SOME,
        within=NUMBER,
        met={"type": "boolean"},
        sizes=many(
            thing(
                size=SOME,
                own_rider=OWN_RIDER,
                before=FACTS,
                after=FACTS,
                met={"type": "boolean"},
                reason=MAYBE_TEXT,
                cap_mm=MAYBE_ENDS,
                at_cap={"type": "boolean"},
            )
        ),
        changes=many(thing(address=SOME, value=NUMBER)),
        rules=many(
            thing(
                rule={"enum": ["as drawn", "equal", "posture", "share"]},
                front_share_pts=MAYBE_NUMBER,
                trunk_deg=MAYBE_NUMBER,
                shoulder_deg=MAYBE_NUMBER,
                reach_steps_mm=NUMBER,
                stack_steps_mm=NUMBER,
                rear_centre_mm=MAYBE_ENDS,
                wheelbase_mm=MAYBE_ENDS,
                at_cap=many(SOME),
                missed=many(SOME),
            )
        ),
        not_modelled=SOME,
    ),
    "regroup": document(
        "regroup",
        old=BUILD,
        new=BUILD,
        file=MAYBE_TEXT,
        groups=many(
            thing(
                people={"enum": ["men", "women"]},
                low_mm=NUMBER,
                high_mm=NUMBER,
                old=MAYBE_TEXT,
                new=MAYBE_TEXT,
                loses={"type": "boolean"},
                people_pct=MAYBE_NUMBER,
                count={"type": "integer"},
                rider=thing(stature_mm=NUMBER, inseam_mm=MAYBE_NUMBER),
                moves=many(thing(address=SOME, before=MAYBE_NUMBER, after=MAYBE_NUMBER, steps=MAYBE_NUMBER)),
            )
        ),
        not_modelled=SOME,
    ),
    "fit": document(
        "fit",
        build=BUILD,
        rider=SOME,
        fits={"type": "boolean"},
        reasons=many(SOME),
        percentiles=many(PERCENTILE),
        postures=many(FIT_POSTURE),
        saddle=FIT_SADDLE,
        post=FIT_POST,
        cockpit=FIT_COCKPIT,
    ),
    "cockpit": document(
        "cockpit",
        build=BUILD,
        want={"enum": ["seated-length", "seated-drop", "hand-height", "hand-reach"]},
        wanted_mm=NUMBER,
        by=SOME,
        before=NUMBER,
        value=NUMBER,
        at_first=VALUE,
        reached=VALUE,
        sizes=many(COMPARISON),
    ),
    "answer": document("answer", build=BUILD, refusals=many(REFUSAL), values=many(VALUE), curves=many(CURVE)),
    "comparison": document("comparison", sizes=many(COMPARISON)),
    "check": document(
        "check",
        build=BUILD,
        sizes=many(SOME),
        met={"type": "boolean"},
        refusals=many(thing(sizes=many(SOME), address=SOME, text=SOME)),
        lines=many(CHECKED_LINE),
    ),
    "curves": document("curves", build=BUILD, curves=many(CURVE)),
    "sizes": document("sizes", state=SOME, sizes=many(thing(build=BUILD, values=many(VALUE)))),
    "pose": document("pose", build=BUILD, unit={"const": "mm"}, pose=POSE),
    "catalogue": document(
        "catalogue",
        families={"type": "object", "additionalProperties": SOME},
        states={"type": "object", "additionalProperties": SOME},
        quantities=many(
            thing(
                key=SOME,
                label=SOME,
                unit=TEXT,
                decimals={"type": "integer", "minimum": 0},
                meaning=SOME,
                family=SOME,
                theory=SOME,
                felt_step=MAYBE_NUMBER,
                felt_as={"enum": ["absolute", "relative"]},
                scope={"enum": ["build", "state", "travel", "fork"]},
            )
        ),
    ),
    "new-bike": document(
        "new-bike", folder=SOME, files=many(SOME), pins={"anyOf": [many(PIN), {"type": "null"}]}, done=TEXT
    ),
    "written": document("written", folder=SOME, files=many(SOME)),
    "error": document("error", kind=SOME, error=SOME, faults=many(FAULT)),
}
"""Every kind of document that a command of this folder prints, besides that of `doctor`."""
