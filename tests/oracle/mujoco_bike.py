"""What the bikes in MuJoCo share: the rear end as a tree of hinged bodies, and the force of the ground on a wheel."""

import mujoco
import numpy as np

FOUR_BAR = ("lower pivot", "lower joint", "rocker pivot", "upper joint")
"""Pins of the loop of frame, lower link, coupler and rocker."""


def place(linkage, pin):
    return linkage.places[linkage.layout.pin(pin)]


def is_loop(linkage):
    """Whether the axle is on the coupler of a four-bar, not on a swingarm."""
    return set(FOUR_BAR) <= {pin.name for pin in linkage.layout.pins}


def site(name, at, parent_at):
    x, z = at - parent_at
    return f'<site name="{name}" pos="{x:.17g} 0 {z:.17g}"/>'


def rear_end(linkage, body, wheel):
    """Moving bodies as a tree on the frame, and the pin that closes it.

    ``body(name, at, parent_at, inside)`` and ``wheel(at, parent_at)`` write a hinged body and the rear wheel.
    """
    origin, axle, eye = np.zeros(2), place(linkage, "axle"), place(linkage, "shock eye")
    if not is_loop(linkage):
        pivot = place(linkage, "pivot")
        return body("swingarm", pivot, origin, wheel(axle, pivot) + site("eye", eye, pivot)), ""
    low, joint, rocker, top = (place(linkage, pin) for pin in FOUR_BAR)
    coupler = body("coupler", joint, low, wheel(axle, joint) + site("top on coupler", top, joint))
    tree = body("lower link", low, origin, coupler + site("eye", eye, low))
    tree += body("rocker", rocker, origin, site("top on rocker", top, rocker))
    stiff = 'solref="-1e6 -2e3" solimp="0.9999 0.9999 0.001"'
    close = f'<equality><connect site1="top on coupler" site2="top on rocker" {stiff}/></equality>'
    return tree, close


def ground_at(model, data, name):
    """Place and force of the ground at a wheel, as complex numbers x + iz."""
    for number, contact in enumerate(data.contact):
        if model.geom(name).id in (contact.geom1, contact.geom2):
            force = np.zeros(6)
            mujoco.mj_contactForce(model, data, number, force)
            world = contact.frame.reshape(3, 3).T @ force[:3]
            sign = 1.0 if contact.geom2 == model.geom(name).id else -1.0
            return complex(contact.pos[0], contact.pos[2]), sign * complex(world[0], world[2])
    raise AssertionError(f"the {name} wheel has left the ground")
