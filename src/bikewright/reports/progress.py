"""How far a long study is, in words.

Question answered   How much is done, and how long may the rest take?
Method              What is left takes as long for each part as what is done.
Left out            Parts that take unevenly long.
"""


def left_text(done: int, of: int, taken_s: float) -> str:
    """How far a study is, with the time left.

    Parameters
    ----------
    done, of : int
        Parts done and all parts.
    taken_s : float
        Time taken so far [s].

    Returns
    -------
    str
        As in ``4 of 10 done, about 3 s left``; ``begun`` while no part is done.
    """
    if not done:
        return "begun"
    left_s = taken_s * (of - done) / done
    return f"{done} of {of} done, about {max(left_s, 1.0):.0f} s left"
