"""The things that the documents of `schemas` are made of. Nothing may stand in one that is not listed here."""

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


BUILD = thing(
    bike=SOME,
    revision=TEXT,
    build=SOME,
    size=SOME,
    by_size=many(SOME),
    key={"type": "string", "pattern": "^[0-9a-f]{64}$"},
)
BY_SIZE = many(thing(key=SOME, values=many({"type": ["string", "number", "null"]})))
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
SIDE_BY_SIDE = document(
    "side-by-side",
    builds=many({**BUILD, "properties": {"of": SOME, **BUILD["properties"]}, "required": ["of", *BUILD["required"]]}),
    rows=many(
        thing(
            key=SOME,
            state=MAYBE_TEXT,
            builds=many(
                thing(
                    ("verdict", "waits"),
                    value=MAYBE_NUMBER,
                    change=MAYBE_NUMBER,
                    steps=MAYBE_NUMBER,
                    verdict=JUDGED,
                    waits=SOME,
                )
            ),
        )
    ),
    pairs=many(
        {
            **COMPARISON,
            "properties": {"from": {"type": "integer"}, "to": {"type": "integer"}, **COMPARISON["properties"]},
            "required": ["from", "to", *COMPARISON["required"]],
        }
    ),
)
BRIEF_LINE = thing(
    ("low", "high", "felt_step"),
    name=SOME,
    low=NUMBER,
    high=NUMBER,
    felt_step=NUMBER,
    size=TEXT,
    rider=TEXT,
    why=TEXT,
    key=SOME,
    state=MAYBE_TEXT,
    gear=MAYBE_TEXT,
    value=MAYBE_NUMBER,
    verdict={"enum": ["met", "low", "high", "unknown", None]},
    short_by=NUMBER,
    apart={"enum": ["", "size", "other line", "no band"]},
    waits=TEXT,
    felt_step_used=MAYBE_NUMBER,
    felt_from={"enum": ["line", "other", "catalogue"]},
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
    bodies=many(thing(name=SOME, kind={"enum": ["link", "shock"]}, points=many(POINT))),
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

TYRE = thing(
    end={"enum": ["front", "rear"]},
    tyre=SOME,
    recommended_bar=NUMBER,
    least_bar=NUMBER,
    most_bar=NUMBER,
    set_by={"enum": ["drop", "edge"]},
    drop_bar=NUMBER,
    edge_bar=NUMBER,
    least_is_limit={"type": "boolean"},
    most_is_limit={"type": "boolean"},
    load_n=NUMBER,
    descent_load_n=NUMBER,
    width_mm=NUMBER,
    stiffness_n_per_mm=NUMBER,
    casing_n_per_mm=MAYBE_NUMBER,
    drop_mm=NUMBER,
    drop_pct=NUMBER,
    contact_mm=NUMBER,
    loaded_radius_mm=NUMBER,
    reserve=NUMBER,
    limit_bar=MAYBE_NUMBER,
    limit_from=TEXT,
    set_bar=MAYBE_NUMBER,
    set_reserve=MAYBE_NUMBER,
    base_bar=MAYBE_NUMBER,
    base_reserve=MAYBE_NUMBER,
    assumed=many(SOME),
)
DIAL = thing(
    end={"enum": ["fork", "shock"]},
    circuit={"enum": ["rebound", "compression", "high_compression"]},
    how={"enum": ["measured", "offset", "set", "unknown"]},
    total_clicks=WHOLE,
    from_closed=WHOLE,
    from_open=WHOLE,
    turns_from_closed=MAYBE_NUMBER,
    offset_clicks=WHOLE,
    offset_least=WHOLE,
    offset_most=WHOLE,
    least_from_closed=WHOLE,
    most_from_closed=WHOLE,
    base_from_closed=WHOLE,
    wanted_ratio=MAYBE_NUMBER,
    ratio=MAYBE_NUMBER,
    neighbours=many(thing(from_closed=WHOLE, ratio=NUMBER)),
    scale=MAYBE_NUMBER,
    refusal=TEXT,
    waits=TEXT,
    assumption=TEXT,
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
HEEL_ROOM = thing(room_mm=NUMBER, link=SOME, travel_mm=NUMBER, crank_deg=NUMBER)
TUBE_ROOM = thing(
    part={"enum": ["brake lever", "grip or bar"]},
    room_mm=NUMBER,
    side={"enum": ["over", "under", "beside"]},
    at_deg=NUMBER,
    touch_deg=MAYBE_NUMBER,
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
    heel_to_rocker={"anyOf": [{"type": "null"}, HEEL_ROOM]},
    top_tube=many(TUBE_ROOM),
    bar_turn_free_deg=MAYBE_NUMBER,
    bar_turn_most_deg=NUMBER,
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
HANDS = thing(
    ("waits",),
    stem=SOME,
    bar=SOME,
    **dict.fromkeys(("stem_mm", "width_mm", "rise_mm", "spacers_mm", "reach_mm", "height_mm"), NUMBER),
    **dict.fromkeys(("trunk_deg", "shoulder_deg", "front_share_pct"), MAYBE_NUMBER),
    waits=SOME,
)
THREE_MM = thing(width_mm=MAYBE_NUMBER, reach_mm=MAYBE_NUMBER, height_mm=MAYBE_NUMBER)
RULE = {"enum": ["equal", "posture", "share"]}
COIL = thing(name=SOME, rate_n_per_mm=NUMBER, rate_used_n_per_mm=NUMBER)
END_SETUP = thing(
    end={"enum": ["front", "rear"]},
    part=SOME,
    kind={"enum": ["air", "coil"]},
    wanted_sag_pct=NUMBER,
    sag_pct=NUMBER,
    sag_mm=NUMBER,
    least_sag_pct=MAYBE_NUMBER,
    most_sag_pct=MAYBE_NUMBER,
    force_n=NUMBER,
    pressure_bar=MAYBE_NUMBER,
    limit_low_bar=MAYBE_NUMBER,
    limit_high_bar=MAYBE_NUMBER,
    spacers=WHOLE,
    chosen_by={"enum": ["reserve", "short", "as set", "nearest", "only one", None]},
    turns=MAYBE_NUMBER,
    drop_ratio=MAYBE_NUMBER,
    step_ratio=MAYBE_NUMBER,
    coil={"anyOf": [COIL, {"type": "null"}]},
    air=many(
        thing(spacers=WHOLE, pressure_bar=MAYBE_NUMBER, refusal=TEXT, drop_ratio=MAYBE_NUMBER, step_ratio=MAYBE_NUMBER)
    ),
    coils=many(
        thing(
            coil=COIL,
            exact_turns=NUMBER,
            turns=MAYBE_NUMBER,
            base_turns=NUMBER,
            base_sag_pct=MAYBE_NUMBER,
            refusal=TEXT,
        )
    ),
    unknown=many(SOME),
)
TYRES = thing(
    terrain={"enum": ["smooth", "mixed", "rough"]},
    wanted_drop_pct=NUMBER,
    grade_pct=NUMBER,
    edge_mm=NUMBER,
    speed_kmh=NUMBER,
    base=TEXT,
    front=TYRE,
    rear=TYRE,
)
DAMPING = thing(speed_mm_s=NUMBER, base=TEXT, circuits=many(DIAL))
SETUP = thing(
    build=BUILD,
    rider=thing(name=SOME, mass_kg=NUMBER, stature_mm=NUMBER),
    refusals=many(REFUSAL),
    reference=MAYBE_TEXT,
    springs=many(END_SETUP),
    tyres={"anyOf": [TYRES, {"type": "null"}]},
    tyres_wait=TEXT,
    damping={"anyOf": [DAMPING, {"type": "null"}]},
    damping_waits=TEXT,
    cockpit=thing(
        saddle_height_mm=MAYBE_NUMBER,
        saddle_from={"enum": ["settings", "rider", "size", ""]},
        saddle_back_mm=NUMBER,
        stem_spacers_mm=NUMBER,
        bar_roll_deg=NUMBER,
        lever_reach_mm=MAYBE_NUMBER,
        lever_bite_mm=MAYBE_NUMBER,
        lever_angle_deg=MAYBE_NUMBER,
    ),
)
FEEL = dict.fromkeys(("breakaway_n", "sag_force_n", "mid_force_n", "end_force_n", "end_ramp", "energy_j"), NUMBER)
LAID = thing(
    sag_pct=NUMBER,
    air=thing(shock=SOME, pressure_bar=NUMBER, spacers=WHOLE, **FEEL),
    coil=thing(shock=SOME, coil=COIL, turns=NUMBER, **FEEL),
    support_n=NUMBER,
    support_from_closed=WHOLE,
    support_waits=TEXT,
    support_speed_mm_s=NUMBER,
    wheel_travel_mm=many(NUMBER),
    air_force_n=many(NUMBER),
    coil_force_n=many(NUMBER),
)
