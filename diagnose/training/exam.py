"""An exam's result under seal: every part with its checksum, the whole with one more, or with a key's signature.

Takes a kept exam, gives a sealed document and what was changed in one; imports progress and records only.
A checksum shows accident and casual edits, not forgery, since anybody can work it out again; a key that only the
instructor has shows forgery too.
"""

from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from diagnose.training.progress import Kept
from diagnose.training.records import Record

Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Ended = Literal["closed", "time over", "left open"]


class Seal(Record):
    """The checksums of a result.

    Attributes:
        parts: SHA-256 of the canonical JSON of each part, by its name.
        whole: SHA-256 over the names and checksums of all parts; with a key HMAC-SHA-256 (RFC 2104).
    """

    method: Literal["sha256", "hmac-sha256"]
    parts: dict[str, Digest]
    whole: Digest


class Sealed(BaseModel):
    """A result with its seal; the result stays as it was read, so that a change in it can be told."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    result: dict[str, Any]
    seal: Seal


class Verdict(Record):
    """What a seal tells.

    Attributes:
        whole: Whether nothing was changed.
        changed: Parts that do not fit their checksums.
        missing: Parts that were taken out.
        added: Parts that were put in.
        says: What this proves, and what it does not.
    """

    whole: bool
    changed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    says: str


def seal_exam(kept: Kept, how: Ended, key: bytes | None = None) -> Sealed:
    """Seal the result of an exam.

    Args:
        kept: The exam as it was left.
        how: How it ended.
        key: The instructor's key; with none anybody who changes the result can seal it again.

    Returns:
        The result and its seal.
    """
    graded = kept.outcome
    result = {
        "format": 1,
        "learner": kept.learner,
        "begun": kept.begun.isoformat(),
        "ended": kept.changed.isoformat(),
        "allowed_minutes": kept.allowed,
        "how": how,
        "case": kept.lesson.case,
        "seed": kept.lesson.seed,
        "rules_version": kept.lesson.rules_version,
        "named": graded.named if graded else None,
        "confirmed": graded.confirmed if graded else None,
        "grade": graded.grade.model_dump(mode="json") if graded else None,
        "moves": [move.model_dump(mode="json", exclude_defaults=True) for move in kept.lesson.moves],
    }
    parts = {name: _digest(value) for name, value in _list_parts(result).items()}
    method: Literal["sha256", "hmac-sha256"] = "sha256" if key is None else "hmac-sha256"
    return Sealed(result=result, seal=Seal(method=method, parts=parts, whole=_digest_whole(parts, key)))


def verify_exam(sealed: Sealed, key: bytes | None = None) -> Verdict:
    """Tell whether a sealed result is whole, or what in it was changed.

    Args:
        sealed: As read from the file.
        key: The instructor's key, where the result was sealed with one.

    Returns:
        The verdict.

    Raises:
        ValueError: A key is needed and not given, or given and not used.
    """
    if (sealed.seal.method == "hmac-sha256") != (key is not None):
        wanted = "was sealed with a key; give it" if key is None else "was sealed without a key; leave it out"
        raise ValueError(f"the result {wanted}")
    parts = {name: _digest(value) for name, value in _list_parts(sealed.result).items()}
    told = sealed.seal.parts
    changed = tuple(name for name in told if name in parts and parts[name] != told[name])
    missing = tuple(name for name in told if name not in parts)
    added = tuple(name for name in parts if name not in told)
    is_fitting = hmac.compare_digest(_digest_whole(told, key), sealed.seal.whole)
    whole = is_fitting and not (changed or missing or added)
    says = _say(whole=whole, is_fitting=is_fitting, has_key=key is not None)
    return Verdict(whole=whole, changed=changed, missing=missing, added=added, says=says)


def _say(*, whole: bool, is_fitting: bool, has_key: bool) -> str:
    if whole and has_key:
        return "Whole: nothing was changed since it was sealed with this key."
    if whole:
        return "Whole: no accident and no casual edit. A checksum does not show forgery; a key would."
    if is_fitting:
        return "Changed since it was sealed."
    if has_key:
        return "Changed, or sealed with another key: the seal over the checksums does not fit."
    return "Changed: the seal over the checksums does not fit either."


def _list_parts(result: Mapping[str, Any]) -> dict[str, Any]:
    """Split a result into the parts that are sealed by themselves."""
    parts = {name: value for name, value in result.items() if name != "moves"}
    moves = result.get("moves")
    if isinstance(moves, list):
        parts |= {f"move {number}": move for number, move in enumerate(moves, start=1)}
    elif "moves" in result:
        parts["moves"] = moves
    return parts


def _digest_whole(parts: Mapping[str, str], key: bytes | None) -> str:
    text = _write_canonical(parts)
    return (
        hashlib.sha256(text).hexdigest() if key is None else hmac.new(key, text, hashlib.sha256).hexdigest()
    )


def _digest(value: Any) -> str:  # noqa: ANN401 - any JSON
    return hashlib.sha256(_write_canonical(value)).hexdigest()


def _write_canonical(value: Any) -> bytes:  # noqa: ANN401 - any JSON
    """Write JSON in one way only: keys sorted, no spaces, UTF-8."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode(
        "utf-8", "surrogatepass"
    )
