"""Who is there, by a sealed cookie; and forms that only their own page can send, once."""

import hashlib
import hmac
import secrets
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from scribegauge.serve.keys import KeyRing
from scribegauge.serve.refusals import BenchError

COOKIE: Final = "bench"
#: A pupil's phone stays in for a term of evenings; the teacher's for one of them.
PUPIL_SECONDS: Final = 100 * 86400
TEACHER_SECONDS: Final = 12 * 3600
FORM_SECONDS: Final = 12 * 3600
_TEACHER: Final = "teacher"
_PUPIL: Final = "pupil"
_MOST_USED: Final = 20_000


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who sends a request.

    Attributes
    ----------
    code : str
        A pupil's code; empty for the teacher.
    session : str
        Differs with every entry.
    """

    code: str
    session: str

    @property
    def is_teacher(self) -> bool:
        """Whether all plates may be seen."""
        return not self.code

    def may_see(self, owner: str) -> bool:
        """Whether plates of this pupil may be seen; those of nobody are the teacher's."""
        return self.is_teacher or self.code == owner


class Door:
    """Lets people in, knows them again, and takes each form once; `clock` is seconds since 1970."""

    def __init__(self, ring: KeyRing, clock: Callable[[], float] = time.time) -> None:
        self._ring, self._clock = ring, clock
        self._boot = secrets.token_hex(8)  # forms of an earlier run could be sent once more
        self._used: OrderedDict[str, None] = OrderedDict()

    def enter(self, code: str, key: str) -> Visitor:
        """Let somebody in by a key; without a code it must be the teacher's.

        Raises
        ------
        BenchError
            ``key_wrong``.
        """
        good = self._ring.is_pupil(code, key) if code else self._ring.is_teacher(key)
        if not good:
            raise BenchError(
                "key_wrong",
                "This key does not open the bench page, or no longer.",
                "Scan the code once more; your teacher can make a new one.",
            )
        return Visitor(code, secrets.token_hex(12))

    def cookie_of(self, visitor: Visitor) -> tuple[str, int]:
        """Return a visitor's cookie and for how many seconds it is good."""
        seconds = TEACHER_SECONDS if visitor.is_teacher else PUPIL_SECONDS
        kind = _TEACHER if visitor.is_teacher else _PUPIL
        until = str(int(self._clock()) + seconds)
        body = "|".join((kind, visitor.code, until, visitor.session))
        return f"{body}|{self._cookie_seal(body, visitor.code)}", seconds

    def visitor_of(self, cookie: str | None) -> Visitor | None:
        """Return whose cookie this is; None where it is nobody's, changed, or too old."""
        body, _, seal = (cookie or "").rpartition("|")
        parts = body.split("|")
        if len(parts) != 4:  # noqa: PLR2004 - kind, code, until, session
            return None
        kind, code, until, session = parts
        if not hmac.compare_digest(seal.encode(), self._cookie_seal(body, code).encode()):
            return None
        gone = kind == _PUPIL and not self._ring.mark_of(code)
        return None if gone or int(until) < self._clock() else Visitor(code, session)

    def form_token(self, visitor: Visitor) -> str:
        """Return what a form must carry; each is good once."""
        body = f"{secrets.token_hex(8)}|{int(self._clock()) + FORM_SECONDS}"
        return f"{body}|{self._form_seal(visitor, body)}"

    def take_form(self, visitor: Visitor, token: str) -> None:
        """Accept a form, once.

        Raises
        ------
        BenchError
            ``form_old``, ``form_replayed``.
        """
        body, _, seal = token.rpartition("|")
        known = hmac.compare_digest(seal.encode(), self._form_seal(visitor, body).encode())
        if not known or int(body.partition("|")[2]) < self._clock():
            raise BenchError(
                "form_old",
                "This form is too old, or did not come from this page.",
                "Go back, load the page again and send it once more.",
            )
        if body in self._used:
            raise BenchError(
                "form_replayed",
                "This form was sent already.",
                "Look at your plates; to send another one, load the page again.",
            )
        self._used[body] = None
        while len(self._used) > _MOST_USED:
            self._used.popitem(last=False)

    def _cookie_seal(self, body: str, code: str) -> str:
        return self._seal("cookie", self._ring.mark_of(code), body)

    def _form_seal(self, visitor: Visitor, body: str) -> str:
        return self._seal("form", self._boot, visitor.code, visitor.session, body)

    def _seal(self, *parts: str) -> str:
        text = "\0".join(parts).encode()
        return hmac.new(self._ring.secret, text, hashlib.sha256).hexdigest()
