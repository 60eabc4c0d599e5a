"""Twins about the rider that are answered at once: fit, set-up, the coil question, and the card on paper.

Each makes the document that the command of its name prints with ``--json``; what stands under ``/shown`` is the same
worded for the page.
"""

from typing import Literal

from bikewright.errors import NotKnown
from bikewright.interfaces.cli.setting_up import asked_base, with_asked
from bikewright.interfaces.web.answers import UNITS
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.queries import Document, Query, builds_of, number, one, sags_of
from bikewright.interfaces.web.views import BadMessage
from bikewright.model.build import Build
from bikewright.model.parts import Seatpost
from bikewright.model.tune import BaseTune
from bikewright.reports.fit import fit_json
from bikewright.reports.fit_room import fit_data
from bikewright.reports.range_room import hands_data
from bikewright.reports.setup_json import coil_json, setup_json
from bikewright.reports.setup_room import coil_data, setup_data
from bikewright.reports.sheets.setup_card import card_bytes, setup_card
from bikewright.studies.coil_study import PROGRESSION_MIN_PCT, CoilStudy, coil_study
from bikewright.studies.compare import Comparison, compare
from bikewright.studies.fit_pose import FitPicture, fit_picture
from bikewright.studies.fitting import Fit, fit_of
from bikewright.studies.setup import Setup, setup_for
from bikewright.studies.taking import changes_to

LONGEST_ADDRESS = 300
"""Characters of an address that a card's code leads to."""


def fit(desk: Desk, query: Query) -> Document:
    """How a rider stands and sits; ``rider=``, ``stated-sag=1``."""
    return fit_json(_fit(desk, query))


def fit_shown(desk: Desk, query: Query) -> Document:
    """The same with the texts and poses that the page shows; for the page alone."""
    found = _fit(desk, query)
    pictures: dict[str, FitPicture] = {}
    for posture in found.postures:
        try:
            pictures[posture.name] = fit_picture(found, posture.name)
        except NotKnown:
            continue  # the posture says by itself why it cannot be taken
    return {**fit_data(found, pictures, UNITS), "hands": hands_data(found, UNITS)}


def _fit(desk: Desk, query: Query) -> Fit:
    build = builds_of(desk, query, _rider(query))[1]
    posts = tuple(post for post in desk.bike.stock.shelf("seatpost") if isinstance(post, Seatpost))
    return fit_of(build, sag="stated" if one(query, "stated-sag") in ("1", "true") else "settled", shelf=posts)


def setup(desk: Desk, query: Query) -> Document:
    """A rider's set-up; ``rider=``, ``against=``, ``sag_front=``, ``sag_rear=``, ``base=``."""
    return setup_json(*_setups(desk, query)[:3])


def setup_shown(desk: Desk, query: Query) -> Document:
    """The same with the texts that the page shows; for the page alone."""
    found, other, compared, before = _setups(desk, query)
    return setup_data(found, other, compared, changes_to(before, found.build), UNITS)


def _setups(desk: Desk, query: Query) -> tuple[Setup, Setup | None, Comparison | None, Build]:
    """The set-up, another rider's, what follows from one to the other, and the draft's build that it was made from."""
    build, base, before = setup_asked(desk, query)
    found = setup_for(build, desk.bike.stock, base)
    against = one(query, "against")
    if not against:
        return found, None, None, before
    other = setup_for(with_asked(desk.bike, build, [f"rider={against}"]), desk.bike.stock, base)
    return found, other, compare(found.build, other.build, desk.bike.brief), before


def setup_asked(desk: Desk, query: Query) -> tuple[Build, BaseTune | None, Build]:
    """The build with the rider and the sags that are wanted, what it is told against, and the draft's build."""
    build = builds_of(desk, query, (*_rider(query), *sags_of(query)))[1]
    return build, asked_base(desk.bike, one(query, "base")), builds_of(desk, query)[1]


def coil(desk: Desk, query: Query) -> Document:
    """May this frame take a coil? ``rider=``, ``sag_rear=``, ``progression_min=``."""
    return coil_json(_coil(desk, query))


def coil_shown(desk: Desk, query: Query) -> Document:
    """The same with the texts that the page shows; for the page alone."""
    return coil_data(_coil(desk, query), UNITS)


def _coil(desk: Desk, query: Query) -> CoilStudy:
    least = number(query, "progression_min", "pct")
    return coil_study(setup_asked(desk, query)[0], desk.bike.stock, PROGRESSION_MIN_PCT if least is None else least)


def bases(desk: Desk, query: Query) -> Document:
    """What a set-up may be told against: base tunes and builds; for the page alone."""
    return {
        "tunes": [tune.name for tune in desk.bike.tunes],
        "builds": [build.name for build in desk.bike.builds if build.rider is not None],
    }


def card(desk: Desk, query: Query) -> bytes:
    """The set-up card as PDF; ``card=a6`` or ``phone``, ``address=`` that its code leads to.

    Raises
    ------
    BadMessage
        If there is no such card, or the address is none of a page.
    """
    size, address = one(query, "card") or "a6", one(query, "address")
    if size not in ("a6", "phone"):
        raise BadMessage(f"'{size[:40]}' is no card; there are: a6, phone")
    if len(address) > LONGEST_ADDRESS or (address and not address.startswith(("http://", "https://"))):
        raise BadMessage(f"the address of a card is that of a page, of up to {LONGEST_ADDRESS} characters")
    build, base, _ = setup_asked(desk, query)
    which: Literal["a6", "phone"] = "a6" if size == "a6" else "phone"
    return card_bytes(setup_card(setup_for(build, desk.bike.stock, base), UNITS, card=which, address=address), "pdf")


def _rider(query: Query) -> tuple[str, ...]:
    """A rider of the folder in place of the build's own."""
    name = one(query, "rider")
    return (f"rider={name}",) if name else ()
