"""Who may change the bike: the token of this run, and keys that other machines of the network were given.

The token is printed in the address that opens the workbench, behind a ``#``, so that it is sent in no request line.
With ``--lan`` an invitation is one more token, shown as a QR code; it is exchanged once for a key, and all such keys
can be taken back.
"""

import hmac
import secrets
import time

INVITATION_S = 600
"""An invitation that is not used for so long is void."""
MOST_WRONG = 30
"""So many wrong invitations end the inviting until a new one is shown."""
MOST_KEYS = 20


class Keys:
    """The tokens of one run. Used from the event loop only."""

    def __init__(self, token: str = "") -> None:
        self.token = token or secrets.token_urlsafe(24)
        self._invitation, self._good_until = "", 0.0
        self._keys: list[str] = []
        self._wrong = 0

    def may_change(self, presented: str, *, here: bool) -> bool:
        """Whether a token opens the door: the run's own on this machine, a key from another."""
        known = [*self._keys, self.token] if here else self._keys
        # All of them are compared, whether one fits or not, so that the time tells nothing.
        return bool(sum(_same(presented, key) for key in known))

    def invite(self) -> str:
        """A token that can be exchanged once; the one shown before is void."""
        self._invitation, self._good_until = secrets.token_urlsafe(24), time.monotonic() + INVITATION_S
        self._wrong = 0
        return self._invitation

    def join(self, presented: str) -> str | None:
        """The key for an invitation; None where it is not known, used or too old."""
        fits = bool(self._invitation) and _same(presented, self._invitation)
        is_late = self._good_until < time.monotonic()
        if not fits or is_late or self._wrong >= MOST_WRONG or len(self._keys) >= MOST_KEYS:
            self._wrong += 1
            return None
        self._invitation = ""
        self._keys.append(secrets.token_urlsafe(24))
        return self._keys[-1]

    def revoke(self) -> int:
        """Take all keys and invitations back; returns how many keys there were."""
        count = len(self._keys)
        self._keys, self._invitation = [], ""
        return count


def _same(presented: str, known: str) -> bool:
    return hmac.compare_digest(presented.encode(), known.encode())
