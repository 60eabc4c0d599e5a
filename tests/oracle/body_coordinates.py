"""An independent solution of a planar linkage, to check ours against.

Each rigid body has a place and an angle; bodies on one pin must have it in one place; the two marks of the shock must
be as far apart as it is long. Newton's method with the Jacobian of these equations, continued from the drawn pose in
small steps. No circles, no plan, no frozen side: it shares nothing with the package but the layout's names. All
arithmetic is analytic, so complex marks give derivatives exact to rounding (complex step: Squire and Trapp 1998, SIAM
Review 40:110, from memory), and mpmath gives as many digits as wanted.
"""

import numpy as np

RIGID = ("frame", "shock")


class BodyCoordinates:
    """One drawn linkage in body coordinates."""

    def __init__(self, layout, marks):
        self.layout = layout
        self.marks = np.asarray(marks)
        self.bodies = [b for b in layout.bodies if b not in RIGID and len(layout.pins_of[b]) > 1]
        self.joints = []
        for pin in layout.pins:
            held = [b for b in pin.joins if b == "frame" or b in self.bodies]
            self.joints += [((held[0], pin.name), (other, pin.name)) for other in held[1:]]
        ends = []
        for index in layout.pins_of["shock"]:
            pin = layout.pins[index]
            ends.append((next(b for b in pin.joins if b == "frame" or b in self.bodies), pin.name))
        self.shock = tuple(ends)
        self.size = 3 * len(self.bodies)
        a, b = (layout.mark(layout.pins[i].name, "shock") for i in layout.pins_of["shock"])
        self.drawn_length = np.hypot(*(np.real(self.marks[a]) - np.real(self.marks[b])))

    def mark(self, body, pin):
        return self.marks[self.layout.mark(pin, body)]

    def place(self, state, body, pin):
        """Place of a mark and its derivatives with respect to (x, z, angle) of its body."""
        m = self.mark(body, pin)
        if body == "frame":
            return m, None, None
        k = 3 * self.bodies.index(body)
        c, s = np.cos(state[k + 2]), np.sin(state[k + 2])
        turned = np.array([c * m[0] - s * m[1], s * m[0] + c * m[1]])
        slope = np.array([-turned[1], turned[0]])
        return turned + state[k : k + 2], k, slope

    def equations(self, state, length):
        """Residuals and Jacobian."""
        dtype = np.result_type(state, self.marks)
        value, jacobian = np.zeros(self.size, dtype), np.zeros((self.size, self.size), dtype)
        row = 0
        for (a, pin), (b, _) in self.joints:
            for sign, body in ((1.0, a), (-1.0, b)):
                at, k, slope = self.place(state, body, pin)
                value[row : row + 2] += sign * at
                if k is not None:
                    jacobian[row, k] += sign
                    jacobian[row + 1, k + 1] += sign
                    jacobian[row : row + 2, k + 2] += sign * slope
            row += 2
        (p, kp, sp), (q, kq, sq) = (self.place(state, *end) for end in self.shock)
        d = p - q
        value[row] = 0.5 * (d @ d - length * length)
        for sign, k, slope in ((1.0, kp, sp), (-1.0, kq, sq)):
            if k is not None:
                jacobian[row, k : k + 2] += sign * d
                jacobian[row, k + 2] += sign * (d @ slope)
        return value, jacobian

    def newton(self, state, length, steps=30):
        """Solution near a state, or None."""
        state = np.array(state, dtype=np.result_type(state, self.marks))
        for _ in range(steps):
            value, jacobian = self.equations(state, length)
            change = np.linalg.solve(jacobian, value)
            state = state - change
            if np.max(np.abs(change)) < 1e-13:
                value, jacobian = self.equations(state, length)
                return state - np.linalg.solve(jacobian, value)
        return None

    def rate(self, state, length):
        """d(state)/d(compression): the shock's equation has the rate -length."""
        _, jacobian = self.equations(state, length)
        right = np.zeros(self.size, jacobian.dtype)
        right[-1] = -length
        return np.linalg.solve(jacobian, right)

    def closed(self):
        """State at the length that is drawn, or None where the marks, shifted on their bodies, do not close there."""
        return self.newton(np.zeros(self.size), self.drawn_length)

    def follow(self, lengths, coarsest=1e-3):
        """States at the lengths, continued from `closed`; stops short (fewer rows) where it cannot go on."""
        state = self.closed()
        at, found = self.drawn_length, []
        for length in lengths:
            count = max(1, int(np.ceil(abs(length - at) / coarsest)))
            for step in np.linspace(at, length, count + 1)[1:]:
                guess = state + self.rate(state, at) * (at - step)
                state = self.newton(guess, step, 12)
                if state is None or np.max(np.abs(state - guess)) > 0.2:
                    return np.array(found)
                at = step
            found.append(state)
        return np.array(found)

    def axle(self, state, length):
        """Place of the axle, and its derivative with respect to compression."""
        pin = self.layout.pins[self.layout.axle]
        body = next(b for b in pin.joins if b in self.bodies)
        at, k, slope = self.place(state, body, pin.name)
        rate = self.rate(state, length)
        return at, rate[k : k + 2] + slope * rate[k + 2]

    def pin(self, state, name):
        """Place of any pin, by the first body that holds it firmly."""
        joins = self.layout.pins[self.layout.pin(name)].joins
        return self.place(state, next(b for b in joins if b == "frame" or b in self.bodies), name)[0]
