"""The front wheel's share of the weight of a rider who stands on a bike that is set up for them.

In the state of the stated sag: how the springs are filled does not matter, so that riders of different mass can be laid
beside each other on different sizes. The share of the state `standing` is that of the springs as they are.
"""

from bikewright.errors import NotKnown
from bikewright.physics.body import Body
from bikewright.physics.posture import StandingHabit, standing_com
from bikewright.studies import crossing
from bikewright.studies.evaluate import Answer
from bikewright.studies.resting import contacts_in
from bikewright.studies.springing import Masses
from bikewright.studies.standing import Standing
from bikewright.studies.states import STANDING
from bikewright.units import PCT

STATE = "stated-sag"
"""State in which the share is told."""


def front_share_pct(answer: Answer) -> float:
    """Share of the weight on the front wheel, rider standing on level cranks, bike at its stated sag.

    Parameters
    ----------
    answer : Answer
        Of a build with a rider.

    Returns
    -------
    float
        Moments about the rear tyre's contact, over weight and wheelbase [%].

    Raises
    ------
    NotKnown
        While a rider, a mass or a contact point is missing.
    OutsideValidity
        If the rider finds no balanced stance: says by how much.
    """
    build = answer.build
    body: Body | None = answer.group("rider")
    if body is None:
        raise NotKnown("the share on the front wheel waits for a rider")
    weights: Masses = answer.group("masses")
    here: Standing = answer.group("geometry", STATE)
    pose = here.ground.attitude
    contacts = contacts_in(build, answer.group("fit"), STANDING)(float(pose.pitch))
    rider = body.mass + crossing.carried_kg(build)
    length = float(pose.front_contact - pose.rear_contact)

    def ahead(point: tuple[float, float]) -> float:
        """Of the rear contact, over the wheelbase."""
        return float(pose.to_ground(point)[0] - pose.rear_contact) / length

    sprung = weights.sprung
    moment = (
        rider * ahead(standing_com(body, contacts, StandingHabit())) + sprung.mass * ahead(sprung.place) + weights.front
    )
    return moment / (rider + sprung.mass + weights.front + weights.rear) / PCT
