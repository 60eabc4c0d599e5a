"""The bibliography: every book, paper, standard and data set that a formula, table or check rests on.

``seen`` tells whether the page was looked up or the citation was written from memory; docs, tables and
sheets print it with the citation, so that nobody takes a remembered number for a checked one.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """One thing that can be cited."""

    key: str
    citation: str
    seen: bool
    """True where the page itself was looked up; False: cited from memory."""

    def __str__(self) -> str:
        return self.citation if self.seen else f"{self.citation} (from memory)"


SOURCES = {
    source.key: source
    for source in (
        Source(
            "iso8855",
            "ISO 8855:2011, Road vehicles: Vehicle dynamics and road-holding ability, vocabulary.",
            seen=False,
        ),
        Source(
            "iso612",
            "ISO 612:1978, Road vehicles: Dimensions of motor vehicles and towed vehicles: ramp (breakover) angle.",
            seen=False,
        ),
        Source(
            "norton",
            "R. L. Norton, Design of Machinery, McGraw-Hill: examples 4-1, 6-7 and 7-1 (four-bar linkage).",
            seen=False,
        ),
        Source(
            "freudenstein",
            "F. Freudenstein, Approximate synthesis of four-bar linkages, Trans. ASME 77:853-861, 1955.",
            seen=False,
        ),
        Source(
            "assur",
            "I. I. Artobolevsky, Mechanisms in Modern Engineering Design, Mir, 1975: classes of kinematic groups.",
            seen=False,
        ),
        Source(
            "cossalter",
            "V. Cossalter, Motorcycle Dynamics, 2nd ed., 2006: ch. 1, kinematics (trail, steering head).",
            seen=False,
        ),
        Source(
            "meijaard2007",
            "J. P. Meijaard, J. M. Papadopoulos, A. Ruina, A. L. Schwab, Linearized dynamics equations for the "
            "balance and steer of a bicycle: a benchmark and review, Proc. R. Soc. A 463:1955-1982, 2007.",
            seen=True,
        ),
        Source(
            "etrto",
            "ISO 5775-1 and 5775-2, Bicycle tyres and rims: bead seat diameters 559, 584 and 622 mm.",
            seen=False,
        ),
        Source(
            "iso606",
            "ISO 606 and ISO 9633, short-pitch roller chains and cycle chains: pitch, roller and sprocket diameters.",
            seen=False,
        ),
        Source(
            "iso80000",
            "ISO 80000-3, Quantities and units: Space and time; standard acceleration of free fall 9.80665 m/s².",
            seen=False,
        ),
        Source(
            "us16cfr1512",
            "16 CFR 1512.17, Requirements for bicycles: toe clearance 89 mm, pedal lean clearance 25 degrees.",
            seen=True,
        ),
        Source(
            "deleva1996",
            "P. de Leva, Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters, J. Biomech. 29:1223-1230, "
            "1996: table 4, in a public copy.",
            seen=True,
        ),
        Source(
            "drillis1966",
            "R. Drillis, R. Contini, Body segment parameters, New York University, 1966, as in D. A. Winter, "
            "Biomechanics and Motor Control of Human Movement, 4th ed., 2009: figure 4.1, in public copies.",
            seen=True,
        ),
        Source(
            "ansur2",
            "C. C. Gordon and others, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007, 2014: "
            "public data of 4082 men and 1986 women (ANSUR II).",
            seen=True,
        ),
        Source(
            "holmes1994",
            "J. C. Holmes, A. L. Pruitt, N. J. Whalen, Lower extremity overuse in bicycling, Clin. Sports Med. "
            "13:187-205, 1994: knee flexion of 25 to 35 degrees at the bottom of the stroke.",
            seen=False,
        ),
        Source(
            "hamley1967",
            "E. J. Hamley, V. Thomas, Physiological and postural factors in the calibration of the bicycle ergometer, "
            "J. Physiol. 191:55P-57P, 1967: pedal axle to saddle 1.09 times the inseam.",
            seen=False,
        ),
        Source(
            "shigley",
            "R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design, 11th ed., ch. 10: solutions 10-3, "
            "10-5, 10-6, tables 10-4 (music, oil-tempered) and 10-5.",
            seen=True,
        ),
        Source(
            "shigley_examples",
            "R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design, ch. 10: examples 10-1 and 10-4, "
            "other wires of table 10-4, Zimmerli's limits.",
            seen=False,
        ),
        Source(
            "alsuwaiyan2024",
            "A. Alsuwaiyan, World Journal of Engineering and Technology 12:455, 2024: polytropic air spring.",
            seen=True,
        ),
        Source("iso2533", "ISO 2533:1975, Standard atmosphere.", seen=False),
        Source(
            "fritsch_butland",
            "F. N. Fritsch, J. Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J. "
            "Sci. Stat. Comput. 5:300-304, 1984.",
            seen=False,
        ),
        Source(
            "anderson1965",
            "D. G. Anderson, Iterative procedures for nonlinear integral equations, J. ACM 12:547-560, 1965.",
            seen=False,
        ),
        Source("wilson", "D. G. Wilson, Bicycling Science, MIT Press: braking, about 0.56 g tips a rider.", seen=False),
        Source("riel2005", "J. Riel, note on braking a bicycle downhill, 2005.", seen=True),
        Source(
            "renart2019",
            "J. Renart, P. Roura-Grabulosa, Am. J. Phys. 87:102, 2019: abstract (a toroid whose walls cannot stretch).",
            seen=True,
        ),
        Source(
            "denhartog",
            "J. P. Den Hartog, Mechanical Vibrations, 4th ed., McGraw-Hill, 1956: one mass on a spring (ch. 2), "
            "damping of equal energy and 8/(3 pi) for a square law (ch. 8).",
            seen=False,
        ),
        Source(
            "gillespie",
            "T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE, 1992: ch. 5, bounce and pitch, centres of "
            "oscillation.",
            seen=False,
        ),
        Source(
            "berto",
            "F. Berto, tyre pressures for a drop of 15 per cent, Bicycling, late 1980s, as analysed by J. Heine, "
            "Bicycle Quarterly: a road criterion.",
            seen=False,
        ),
        Source(
            "practice",
            "Common practice of the trade; no source.",
            seen=True,
        ),
    )
}
"""Every source by its key. A test holds that each key used in tests and theory pages is here."""
