"""Drawings to test with: made-up, plausible bikes and curves, hostile names among them."""

import math

from bikewright.reports.bike_drawing import BikePose, Body, draw_bike, usual_dimensions
from bikewright.reports.chart import Axis, Band, Chart, Marker, Series, draw_chart
from bikewright.reports.shapes import Sheet
from bikewright.reports.sheet_frame import TitleBlock

HOSTILE = "<script>alert(1)</script> & \"quoted\" 'name' ]]> \u202egnp.exe\x00"
"""What a bike may be called by someone who means ill, or by a broken file."""

TEXTS = {
    "wheelbase": "1245 mm",
    "bb_height": "343 mm",
    "rear_centre_horizontal": "437 mm",
    "front_centre_horizontal": "808 mm",
    "reach": "470 mm",
    "stack": "630 mm",
    "head_angle": "64.3°",
    "seat_angle": "75.0°",
}


def quillback(
    title: str = "now", head_angle_deg: float = 64.3, axle_to_crown_mm: float = 565.0, bb_height_mm: float = 343.0
) -> BikePose:
    """A full-suspension bike with a four-bar linkage, on level ground, bottom bracket over x = 0."""
    radius, offset, wheelbase, rear_centre = 372.0, 44.0, 1245.0, 438.0
    bb = (0.0, bb_height_mm)
    rear = (-math.sqrt(rear_centre**2 - (radius - bb_height_mm) ** 2), radius)
    front = (rear[0] + wheelbase, radius)
    angle = math.radians(head_angle_deg)
    up, ahead = (-math.cos(angle), math.sin(angle)), (math.sin(angle), math.cos(angle))

    def along(start: tuple[float, float], far_up: float, far_ahead: float = 0.0) -> tuple[float, float]:
        return start[0] + far_up * up[0] + far_ahead * ahead[0], start[1] + far_up * up[1] + far_ahead * ahead[1]

    crown = along(front, axle_to_crown_mm, -offset)
    head_upper = along(crown, 120.0)
    clamp = along(head_upper, 45.0, 45.0)
    seat = (math.cos(math.radians(75.0)), math.sin(math.radians(75.0)))
    low = (-8.0, bb_height_mm + 28.0)
    main, horst = (-12.0, bb_height_mm + 42.0), (rear[0] + 35.0, radius - 22.0)
    upper, rocker, eye = (-118.0, bb_height_mm + 245), (-38.0, bb_height_mm + 235), (22.0, bb_height_mm + 255)
    mount = (eye[0] + 190.0, eye[1] + 89.0)
    return BikePose(
        title=title,
        state="table",
        ground=((0.0, 0.0), (100.0, 0.0)),
        front_axle=front,
        rear_axle=rear,
        front_radius=radius,
        rear_radius=radius,
        bb=bb,
        crown=crown,
        steerer_top=head_upper,
        head_upper=head_upper,
        head_lower=along(crown, 10.0),
        hand=(clamp[0] - 40.0, clamp[1] + 32.0),
        stem_clamp=clamp,
        saddle=(low[0] - 660 * seat[0] - 10.0, low[1] + 660 * seat[1] + 60.0),
        seat_axis=(low, (low[0] - 400 * seat[0], low[1] + 400 * seat[1])),
        crank_mm=170.0,
        ring_radius_mm=65.0,
        bodies=(
            Body("chainstay", "link", (main, horst)),
            Body("seatstay", "link", (horst, rear, upper)),
            Body("rocker", "link", (upper, rocker, eye)),
            Body("shock", "shock", (mount, eye)),
        ),
        pins=(("main", main), ("horst", horst), ("upper", upper), ("rocker", rocker), ("eye", eye), ("mount", mount)),
        instant_centre=(420.0, radius + 62.0),
        axle_path=tuple((rear[0] - 0.0007 * t * (160 - t), rear[1] + t) for t in range(0, 161, 4)),
    )


def side_view(name: str = "Ravelin Quillback") -> Sheet:
    """A full sheet with all usual dimensions and the pose before."""
    block = TitleBlock(
        title="side view", bike=name, build="single-crown air fork, 160 mm", size="M", state="table",
        revision="0007", not_modelled="flex of tyres, frame and wheels",
    )  # fmt: skip
    pose = quillback()
    before = quillback("0005, fork 20 mm shorter", 65.2, 545.0, 336.0)
    return draw_bike(pose, before=before, dimensions=usual_dimensions(pose, TEXTS), block=block)


def leverage_chart(name: str = "Leverage ratio, Quillback M, standing") -> Chart:
    """Three curves, one with a gap, a band and two markers."""
    x = tuple(1.6 * i for i in range(101))
    now = tuple(2.95 - 0.75 * t / 160 + 0.12 * math.sin(3 * t / 160) for t in x)
    before = tuple(2.85 - 0.45 * t / 160 + 0.1 * math.sin(3 * t / 160) for t in x)
    pinned = tuple(None if 60 < t < 75 else 3.0 - 0.8 * t / 160 for t in x)
    low, high = tuple(2.8 - 0.5 * t / 160 for t in x), tuple(3.0 - 0.55 * t / 160 for t in x)
    return Chart(
        name,
        Axis("rear wheel travel", "mm"),
        Axis("leverage ratio"),
        (Series("now", x, now), Series("before: 0005", x, before, "before"), Series("pinned", x, pinned, "pinned")),
        (Band("brief", x, low, high),),
        (Marker(48.0, now[30], "sag 30 %: 2.82"), Marker(160.0, now[-1], "end 2.22")),
        "friction, bending of links",
    )


def leverage_sheet(name: str = "Leverage ratio, Quillback M, standing") -> Sheet:
    """That chart, drawn."""
    return draw_chart(leverage_chart(name))
