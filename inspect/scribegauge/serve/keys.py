"""Keys that let people in: made at random, shown once, kept hashed."""

import hashlib
import hmac
import secrets
import threading
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

import msgspec

from scribegauge.ledger.record import check_code
from scribegauge.report.atomic import make_folder, write_aside
from scribegauge.serve.refusals import BenchError

#: No letters or digits that are taken for each other.
LETTERS: Final = "23456789abcdefghjkmnpqrstuvwxyz"
#: 31 letters, 12 places: 59 bits, which no network guesses at ten an hour.
KEY_LENGTH: Final = 12
#: scrypt, RFC 7914: 16 MiB and some 40 ms for each guess at a stolen file.
_COST: Final = {"n": 2**14, "r": 8, "p": 1, "maxmem": 2**26}
_MOST_KEYS: Final = 500


@dataclass(frozen=True, slots=True)
class KeyHash:
    """What is kept of a key: salt and scrypt digest, hexadecimal."""

    salt: str
    digest: str


@dataclass(frozen=True, slots=True)
class KeyFile:
    """The file: a secret that seals cookies, and each pupil's key hashed, by code."""

    keys: int = 1
    secret: str = field(default_factory=lambda: secrets.token_hex(32))
    pupils: dict[str, KeyHash] = field(default_factory=dict)


def new_key() -> str:
    """Return a new key."""
    return "".join(secrets.choice(LETTERS) for _ in range(KEY_LENGTH))


def hashed(key: str, salt: str | None = None) -> KeyHash:
    """Hash a key, with a new salt unless one is given."""
    salt = secrets.token_hex(16) if salt is None else salt
    plain = "".join(key.lower().split()).replace("-", "")[:64]
    digest = hashlib.scrypt(plain.encode(), salt=bytes.fromhex(salt), dklen=32, **_COST)
    return KeyHash(salt, digest.hex())


def fits(key: str, known: KeyHash) -> bool:
    """Whether a key is the one that was hashed; takes the same time either way."""
    return hmac.compare_digest(hashed(key, known.salt).digest, known.digest)


class KeyRing:
    """The keys of one bench: the teacher's, which lives as long as the server, and pupils'."""

    def __init__(self, file: Path) -> None:
        self._file, self._lock = file, threading.Lock()
        self._nobody = hashed(new_key())
        self._teacher = self._nobody
        self._kept = self._read()

    @property
    def secret(self) -> bytes:
        """What cookies are sealed with."""
        return bytes.fromhex(self._kept.secret)

    @property
    def codes(self) -> tuple[str, ...]:
        """Pupils who have a key."""
        return tuple(sorted(self._kept.pupils))

    def new_teacher_key(self) -> str:
        """Make the teacher's key anew."""
        key = new_key()
        self._teacher = hashed(key)
        return key

    def new_pupil_key(self, code: str) -> str:
        """Make a pupil's key, in place of an older one.

        Raises
        ------
        UseError
            ``pupil_code``, ``cannot_write``; ``too_many_keys``.
        """
        check_code(code)
        if len(self._kept.pupils) >= _MOST_KEYS and code not in self._kept.pupils:
            raise BenchError(
                "too_many_keys", f"There are {_MOST_KEYS} keys already.", "Take back old ones."
            )
        key = new_key()
        self._change({**self._kept.pupils, code: hashed(key)})
        return key

    def take_back(self, code: str) -> None:
        """Let a pupil in no longer; cookies of that key end too."""
        self._change({k: v for k, v in self._kept.pupils.items() if k != code})

    def is_teacher(self, key: str) -> bool:
        """Whether this is the teacher's key."""
        return fits(key, self._teacher) and self._teacher is not self._nobody

    def is_pupil(self, code: str, key: str) -> bool:
        """Whether this is the key of the pupil with this code."""
        known = self._kept.pupils.get(code, self._nobody)
        return fits(key, known) and known is not self._nobody

    def mark_of(self, code: str) -> str:
        """Return what changes when a pupil's key does; empty when there is none."""
        known = self._kept.pupils.get(code)
        return known.digest[:16] if known else ""

    def _change(self, pupils: dict[str, KeyHash]) -> None:
        with self._lock:
            kept = replace(self._kept, pupils=pupils)
            self._write(kept)
            self._kept = kept

    def _read(self) -> KeyFile:
        try:
            return msgspec.json.decode(self._file.read_bytes(), type=KeyFile)
        except FileNotFoundError:
            kept = KeyFile()
            make_folder(self._file.parent)
            self._write(kept)
            return kept
        except (OSError, msgspec.MsgspecError) as error:
            raise BenchError(
                "keys_unreadable",
                f"The keys in {str(self._file)!r} cannot be read.",
                "See who may read that file; without it, all keys are made anew.",
            ) from error

    def _write(self, kept: KeyFile) -> None:
        write_aside(self._file, msgspec.json.format(msgspec.json.encode(kept)))
        self._file.chmod(0o600)
