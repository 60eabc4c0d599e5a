"""The seatpost in one size at one saddle height: what it can give, whether it holds, the longest drop that fits."""

from collections.abc import Iterable
from dataclasses import dataclass

from bikewright.model.addresses import with_value
from bikewright.model.build import Build
from bikewright.model.parts import Seatpost
from bikewright.studies.evaluate import Answer, evaluate
from bikewright.studies.joints import PostPlace
from bikewright.units import MM


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPost:
    """Another post on the shelf, in this size for this rider."""

    name: str
    drop_mm: float
    fits: bool
    reason: str
    """Why not, or what it waits for; empty where it fits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropperFit:
    """The post in this size at this rider's height. None where a field waits for something."""

    post: str
    """Name of the post on the bike; empty while there is none."""
    drop_mm: float
    collar_mm: float | None
    """Seat tube, along its axis."""
    lowest_mm: float | None
    """Lowest saddle height, not lowered."""
    highest_mm: float | None
    """Highest saddle height, at the minimum insertion."""
    inserted_mm: float | None
    """Below the collar at this rider's height."""
    insertion_min_mm: float | None
    clamp_over_collar_mm: float | None
    """Rail clamp over the collar at this rider's height, not lowered."""
    lowered_over_collar_mm: float | None
    """The same with the post lowered."""
    drop_room_mm: float | None
    """Largest drop that room between collar and rail clamp, less this post's stack, leaves."""
    saddle_to_tyre_mm: float | None
    """Lowered saddle to the tyre with the rear at full travel."""
    refusal: str
    """Why this post cannot be used so, by how much; empty where it can, or where that is not known."""
    waits: str
    """What must be known for a full answer; empty where nothing is missing."""
    shelf: tuple[ShelfPost, ...]
    longest: str
    """Post with the longest drop on the shelf that fits; empty where none does, or no shelf was given."""


def dropper_fit(answer: Answer, shelf: Iterable[Seatpost] = ()) -> DropperFit:
    """The post of a build, and the longest drop of a shelf that fits.

    Parameters
    ----------
    answer : Answer
        Of the build, its saddle at the height of the rider.
    shelf : iterable of Seatpost
        Other posts.

    Returns
    -------
    DropperFit
        Lengths in millimetres.
    """
    build = answer.build
    held, place = build.parts.seatpost, answer.group("post")
    drop = 0.0 if held is None else held.drop_mm
    clamp = None if place.clamp is None else place.clamp / MM
    others = tuple(_shelf_post(build, other) for other in sorted(shelf, key=lambda other: -other.drop_mm))
    return DropperFit(
        post="" if held is None else held.name,
        drop_mm=drop,
        collar_mm=build.geometry_row.seat_tube_mm,
        lowest_mm=None if place.lowest is None else place.lowest / MM,
        highest_mm=None if place.highest is None else place.highest / MM,
        inserted_mm=None if place.inserted is None else place.inserted / MM,
        insertion_min_mm=None if held is None else held.insertion_min_mm,
        clamp_over_collar_mm=clamp,
        lowered_over_collar_mm=None if clamp is None else clamp - drop,
        drop_room_mm=None if clamp is None or held is None or held.stack_mm is None else clamp - held.stack_mm,
        saddle_to_tyre_mm=answer.value("saddle_clearance_mm@rear-bottomed").number,
        refusal="" if held is None else _post_refusal(held, place),
        waits=_post_waits(build),
        shelf=others,
        longest=next((other.name for other in others if other.fits and other.drop_mm > 0.0), ""),
    )


def _post_refusal(post: Seatpost, place: PostPlace) -> str:
    """Why a post cannot hold the saddle where it is wanted, by how much."""
    low, high, clamp = place.clamp_lowest, place.clamp_highest, place.clamp
    if low is not None and high is not None and low > high:
        return (
            f"{post.name} cannot be put into this seat tube: it stands out {(place.stands_out or 0.0) / MM:.0f} mm too "
            f"far, which leaves it {(low - high) / MM:.0f} mm short of its minimum insertion of "
            f"{post.insertion_min_mm:.0f} mm; take a post with less drop"
        )
    if clamp is None:
        return ""
    if high is not None and clamp > high:
        return (
            f"{post.name} would stand {(clamp - high) / MM:.0f} mm further out than its minimum insertion of "
            f"{post.insertion_min_mm:.0f} mm allows at this saddle height; take a longer post or a longer seat tube"
        )
    if low is not None and clamp < low:
        cause = (
            f"the seat tube ends {(place.stands_out or 0.0) / MM:.0f} mm too soon for it"
            if place.stands_out
            else "it is pushed in to its collar"
        )
        return (
            f"{post.name} holds the saddle {(low - clamp) / MM:.0f} mm too high at the lowest: {cause}; take a post "
            "with less drop, or a size with a shorter seat tube"
        )
    return ""


def _post_waits(build: Build) -> str:
    """What a full answer about the post is still short of."""
    post, row = build.parts.seatpost, build.geometry_row
    wanted: list[tuple[str, float | None]] = [
        (f"sizes.{build.size}.{key}", getattr(row, key)) for key in ("seat_tube_mm", "seat_tube_bend_mm")
    ]
    keys = ("length_mm", "stack_mm", "insertion_min_mm", "insertion_max_mm")
    wanted += [("a seatpost", None)] if post is None else [(f"seatpost.{key}", getattr(post, key)) for key in keys]
    return ", ".join(name for name, found in wanted if found is None)


def _shelf_post(build: Build, post: Seatpost) -> ShelfPost:
    """One post of the shelf on this bike."""
    other = with_value(build, "seatpost", post)
    answer = evaluate(other)
    waits = _post_waits(other)
    reason = _post_refusal(post, answer.group("post")) or (f"waits for {waits}" if waits else "")
    room = answer.value("saddle_clearance_mm@rear-bottomed").number
    if not reason and room is not None and room < 0.0:
        reason = f"lowered, the saddle meets the tyre at full travel by {-room:.0f} mm"
    return ShelfPost(name=post.name, drop_mm=post.drop_mm, fits=not reason, reason=reason)
