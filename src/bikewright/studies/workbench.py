"""What one screen of the workbench shows: the bike as it is and as it was pinned, with everything that follows.

Question answered   How does this draft stand, move and differ from the pinned build, in one view?
Method              Poses, curves, values and the comparison all come from the two answers; nothing is computed here
                    that `evaluate`, `compare` and `pose` do not compute for every other command.
Left out            Wording: see `bikewright.reports.screen`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from bikewright.errors import BikewrightError, NotKnown
from bikewright.model.brief import Brief, BriefLine
from bikewright.model.build import Build
from bikewright.studies.compare import Comparison, compared
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import Answer, Value, evaluate, read_address
from bikewright.studies.pose import BikePose, pose_of, poses_through_travel
from bikewright.studies.side_by_side import SideBySide, side_by_side


@dataclass(frozen=True, slots=True)
class View:
    """What a window looks at."""

    state: str = "table"
    curves: tuple[str, ...] = ("leverage_ratio",)
    values: bool = False
    """Whether all values are wanted, as a sheet of figures shows them."""
    travel: bool = False
    """Whether poses through the travel are wanted, to scrub and animate."""
    comparison: bool = True
    """Whether what follows from the change is wanted; a drag asks for it when it has a moment."""


@dataclass(frozen=True, slots=True)
class ShownCurve:
    """One curve of the draft with the pinned build's and the brief's band."""

    address: str
    now: Curve | None
    before: Curve | None
    band: BriefLine | None
    trouble: str
    """Why there is no curve; empty where there is one."""


@dataclass(frozen=True, slots=True)
class Screen:
    """Everything that a window shows of one draft."""

    build: Build
    view: View
    pose: BikePose | None
    """None where the bike cannot be put on the ground in the state: `trouble` says why."""
    before: BikePose | None
    travel: tuple[BikePose, ...]
    """Poses through the rear travel, frame held as in the state; empty unless asked for."""
    curves: tuple[ShownCurve, ...]
    values: tuple[tuple[Value, Value], ...]
    """Before and after, all quantities that are one number; empty unless asked for."""
    comparison: Comparison | None
    """None where it was not asked for."""
    trouble: str
    """The error that keeps the bike off the ground, or the linkage from moving; empty where there is none."""


def screen(before: Build, after: Build, brief: Brief, view: View) -> Screen:
    """What a window shows of a draft.

    Parameters
    ----------
    before : Build
        The pinned build.
    after : Build
        The draft.
    brief : Brief
        Bands and felt steps.
    view : View
        What the window looks at.

    Returns
    -------
    Screen
        Errors of single groups are told in it, so that one fault leaves the rest readable.
    """
    old, new = evaluate(before), evaluate(after)
    trouble = _trouble(new, view.state)
    return Screen(
        build=after,
        view=view,
        pose=_pose(new, view.state),
        before=_pose(old, view.state),
        travel=_travel(new) if view.travel else (),
        curves=tuple(_curve(old, new, brief, address) for address in view.curves),
        values=tuple(zip(old.values(view.state), new.values(view.state), strict=True)) if view.values else (),
        comparison=compared(old, new, brief) if view.comparison else None,
        trouble=trouble,
    )


def beside(
    builds: Sequence[Build], brief: Brief, view: View
) -> tuple[SideBySide, tuple[BikePose | None, ...], tuple[tuple[str, tuple[Curve | None, ...]], ...]]:
    """Two or three builds beside one another, with their poses in the state and their curves.

    Raises
    ------
    AddressError
        If there are too few or too many, or a curve names nothing.
    """
    answers = [evaluate(build) for build in builds]
    curves = tuple((address, tuple(_curve_of(answer, address) for answer in answers)) for address in view.curves)
    return side_by_side(builds, brief), tuple(_pose(answer, view.state) for answer in answers), curves


def why_it_stops(before: Build, after: Build) -> str:
    """Why a linkage that moves before a change does not move after it; empty where it does, or did not before."""
    return "" if _stop(evaluate(before)) else _stop(evaluate(after))


def _stop(answer: Answer) -> str:
    for group in ("extended", "linkage"):
        try:
            answer.group(group)
        except NotKnown:
            continue
        except BikewrightError as error:
            return str(error)
    return ""


def _curve_of(answer: Answer, address: str) -> Curve | None:
    read_address(address)  # a name that is none is told, a curve that a build has not is not
    try:
        return answer.curve(address)
    except BikewrightError:
        return None


def _trouble(answer: Answer, state: str) -> str:
    """What keeps the bike from standing or its linkage from moving."""
    for group in ("geometry", "linkage"):
        try:
            answer.group(group, state)
        except BikewrightError as error:
            return str(error)
    return ""


def _pose(answer: Answer, state: str) -> BikePose | None:
    try:
        return pose_of(answer, state)
    except BikewrightError:
        return None


def _travel(answer: Answer) -> tuple[BikePose, ...]:
    try:
        return poses_through_travel(answer)
    except BikewrightError:
        return ()


def _curve(old: Answer, new: Answer, brief: Brief, address: str) -> ShownCurve:
    key = read_address(address)[0].key
    band = next(
        (
            line
            for line in brief.lines
            if read_address(line.name)[0].key == key and line.low is not None and line.high is not None
        ),
        None,
    )
    try:
        before = old.curve(address)
    except BikewrightError:
        before = None
    try:
        return ShownCurve(address, new.curve(address), before, band, "")
    except BikewrightError as error:
        return ShownCurve(address, None, before, band, str(error))
