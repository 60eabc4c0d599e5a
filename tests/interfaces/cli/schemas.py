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
    chosen_by={"enum": ["reserve", "short", "as set", "only one", None]},
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

SCHEMAS: dict[str, Schema] = {
    "setup": document(
        "setup", step_mm=NUMBER, setups=many(SETUP), comparison={"anyOf": [COMPARISON, {"type": "null"}]}
    ),
    "tunes": document(
        "tunes",
        base=MAYBE_TEXT,
        masses_kg=many(NUMBER),
        builds=many(
            thing(
                build=BUILD,
                rider=SOME,
                tunes=many(thing(mass_kg=NUMBER, refusal=TEXT, setup={"anyOf": [SETUP, {"type": "null"}]})),
            )
        ),
    ),
    "coil": document(
        "coil",
        build=BUILD,
        may={"enum": ["yes", "no", "waits"]},
        reasons=many(
            thing(
                question={"enum": ["progression", "room", "coil bind", "eyes", "permission"]},
                may={"enum": ["yes", "no", "waits"]},
                found=MAYBE_NUMBER,
                allowed=MAYBE_NUMBER,
                unit=TEXT,
                part=TEXT,
                waits=TEXT,
            )
        ),
        laid={"anyOf": [LAID, {"type": "null"}]},
        laid_waits=TEXT,
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
    "tyres": document(
        "tyres",
        build=BUILD,
        rider=MAYBE_TEXT,
        terrain={"enum": ["smooth", "mixed", "rough"]},
        wanted_drop_pct=NUMBER,
        grade_pct=NUMBER,
        edge_mm=NUMBER,
        speed_kmh=NUMBER,
        base=TEXT,
        front=TYRE,
        rear=TYRE,
    ),
    "damping": document(
        "damping",
        build=BUILD,
        rider=MAYBE_TEXT,
        speed_mm_s=NUMBER,
        base=TEXT,
        values=many(VALUE),
        dials=many(DIAL),
    ),
    "written": document("written", folder=SOME, files=many(SOME)),
    "error": document("error", kind=SOME, error=SOME, faults=many(FAULT)),
}
"""Every kind of document that a command of this folder prints, besides that of `doctor`."""
