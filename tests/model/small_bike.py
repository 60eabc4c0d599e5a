"""A small bike of eight parts and three sizes, as the texts of its files; tests change a line and read it."""

from pathlib import Path

BIKE = """\
format = 1
name = "Quillback"
maker = "Ravelin Frame Works"

[datum]
fork = "single-crown-150"
shock = "air-230-60"
headset = "plain"
front_tyre = "trail-29"
rear_tyre = "trail-29"
front_wheel = "wheel-29"
rear_wheel = "wheel-29"

[sizes.S]
reach_mm = 430   # to the steering axis
stack_mm = 610
head_angle_deg = 64.5
rear_centre_mm = 436

[sizes.M]
reach_mm = 455
stack_mm = "62 cm"
head_angle_deg = 64.5

[sizes.L]
reach_mm = 480
stack_mm = 630
head_angle_deg = 64.5

[sizes.L.linkage]
shift_x_mm = -4

[linkage]
brake_on = "seatstay"

[linkage.pins]
main = { x_mm = 10, z_mm = 60, joins = ["frame", "chainstay"] }
horst = { x_mm = -380, z_mm = 40, joins = ["chainstay", "seatstay"] }
axle = { x_mm = -435, z_mm = 30, joins = ["seatstay", "wheel"] }
upper = { x_mm = -120, z_mm = 300, joins = ["seatstay", "rocker"] }
rocker = { x_mm = -60, z_mm = 280, joins = ["rocker", "frame"] }
shock_rear = { x_mm = 0, z_mm = 310, joins = ["rocker", "shock"] }
shock_front = { x_mm = 224.5, z_mm = 260, joins = ["shock", "frame"] }

[linkage.chips.dropout]
pin = "horst"
body = "seatstay"
positions = { low = {}, high = { dx_mm = 1, dz_mm = 4 } }

[limits]
fork_travel_max_mm = 160

[outlines.down-tube]
near = "front_tyre"
points_mm = [[100, 50], [400, 450]]
"""

PARTS = """\
format = 1

[fork.single-crown-150.chassis]
bottomed_length_mm = 400
offset_mm = 44

[fork.single-crown-150.spring]
kind = "air"
travel_mm = 150

[fork.long]
chassis = { bottomed_length_mm = 400, offset_mm = 44 }
spring = { kind = "air", travel_mm = 170 }

[coil.coil-500]
rate_n_per_mm = "500 lbf/in"

[shock.air-230-60]
chassis = { eye_to_eye_mm = 230, stroke_mm = 60 }
spring = { kind = "air" }

[shock.coil-230-60]
chassis = { eye_to_eye_mm = 230, stroke_mm = 60 }
spring = "500 lbf/in"
"""

MORE_PARTS = """\
format = 1

[headset.plain]
lower_stack_mm = 12

[headset.slacker]
lower_stack_mm = 12
printed_angle_deg = 1
printed_at_head_tube_mm = 120

[tyre.trail-29]
bead_seat_mm = 622
width_mm = "2.4 in"

[wheel.wheel-29]
bead_seat_mm = 622

[wheel.wheel-27-5]
bead_seat_mm = 584
"""

RIDERS = """\
format = 1

[tall]
mass_kg = 82
stature_mm = "188 cm"
"""

BRIEF = """\
format = 1

[[line]]
quantity = "head_angle_deg@stated-sag"
low = 64
high = 66
why = "steep terrain"

[[line]]
quantity = "reach_mm@table"
size = "M"
low = 450
"""

BUILDS = """\
format = 1

[race]
size = "L"
rider = "tall"
shock = "coil-230-60"
chips.dropout = "high"
settings.sag_rear_pct = 28

[race.loads.bottle]
mass_kg = 0.8

[mid]
size = "M"
"""

TEXTS = {
    "bike.toml": BIKE,
    "parts/suspension.toml": PARTS,
    "parts/rest.toml": MORE_PARTS,
    "riders.toml": RIDERS,
    "brief.toml": BRIEF,
    "builds.toml": BUILDS,
}


def lay(folder: Path, texts: dict[str, str] | None = None) -> Path:
    """Write the small bike into a folder, some of its files with other texts."""
    for name, text in {**TEXTS, **(texts or {})}.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8", newline="")
    return folder


def with_change(name: str, old: str, new: str) -> dict[str, str]:
    """The text of one file with one piece of it exchanged; the piece must be there."""
    assert old in TEXTS[name], f"{old!r} is not in {name}"
    return {name: TEXTS[name].replace(old, new, 1)}
