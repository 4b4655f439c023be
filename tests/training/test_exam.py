"""The seal of an exam: whole, or what was changed; with a key also against somebody who seals it again."""

import copy
import hashlib
import json

import pytest
from training_records import make_kept

from diagnose.training.exam import Sealed, seal_exam, verify_exam

KEPT = make_kept(7, "open_cam_early", "close_cam_late").model_copy(update={"allowed": 30.0})
KEY = b"a key that the instructor keeps"


def reread(sealed: Sealed) -> dict:
    """Give a sealed result as it stands in a file."""
    return json.loads(sealed.model_dump_json(indent=1))


def edit(change) -> Sealed:
    """Seal a result, change something in the file, and read it back."""
    document = copy.deepcopy(reread(seal_exam(KEPT, "closed")))
    change(document)
    return Sealed.model_validate(document)


@pytest.mark.parametrize("key", [None, KEY])
def test_a_result_read_back_is_whole(key):
    """Written and read again, a result fits its seal, with and without a key."""
    verdict = verify_exam(Sealed.model_validate(reread(seal_exam(KEPT, "closed", key))), key)

    assert verdict.whole
    assert verdict.says.startswith("Whole")


def test_the_checksum_of_a_part_is_sha_256_of_its_canonical_json():
    """The checksum of the learner's name can be worked out by hand."""
    sealed = seal_exam(KEPT, "closed")

    assert hashlib.sha256(b'"ada"').hexdigest() == sealed.seal.parts["learner"]


@pytest.mark.parametrize(
    ("change", "changed", "missing", "added"),
    [
        (lambda d: d["result"].update(learner="ben"), ("learner",), (), ()),
        (lambda d: d["result"]["grade"].update(total=99.0), ("grade",), (), ()),
        (lambda d: d["result"]["moves"][1].update(confidence=0.1), ("move 2",), (), ()),
        (lambda d: d["result"]["moves"].pop(), (), ("move 2",), ()),
        (lambda d: d["result"].pop("case"), (), ("case",), ()),
        (lambda d: d["result"].update(note="well done"), (), (), ("note",)),
        (lambda d: d["result"].update(moves="none"), (), ("move 1", "move 2"), ("moves",)),
    ],
)
def test_a_change_is_named(change, changed, missing, added):
    """An edit, a part taken out and a part put in are each named."""
    verdict = verify_exam(edit(change))

    assert (False, changed, missing, added) == (
        verdict.whole,
        tuple(sorted(verdict.changed)),
        tuple(sorted(verdict.missing)),
        verdict.added,
    )


def test_a_checksum_worked_out_again_for_one_part_does_not_fit_the_whole():
    """Who changes a part and its checksum alone is found by the seal over all checksums."""

    def change(document):
        document["result"]["learner"] = "ben"
        document["seal"]["parts"]["learner"] = hashlib.sha256(b'"ben"').hexdigest()

    verdict = verify_exam(edit(change))

    assert not verdict.whole
    assert () == verdict.changed
    assert "over the checksums does not fit" in verdict.says


def test_a_forger_without_the_key_is_found_and_without_keys_is_not():
    """Sealing a changed result again passes where no key is used, as is said, and fails where one is."""
    forged = KEPT.model_copy(update={"learner": "ben"})
    plain, keyed = seal_exam(forged, "closed"), seal_exam(forged, "closed", b"a guess")

    assert verify_exam(plain).whole
    assert "does not show forgery" in verify_exam(plain).says
    assert not verify_exam(keyed, KEY).whole


@pytest.mark.parametrize(
    ("sealed_with", "given", "said"), [(KEY, None, "give it"), (None, KEY, "leave it out")]
)
def test_a_key_missing_or_too_much_is_said(sealed_with, given, said):
    """A result with a key cannot be judged without it, nor one without a key with one."""
    with pytest.raises(ValueError, match=said):
        verify_exam(seal_exam(KEPT, "closed", sealed_with), given)


def test_an_exam_that_ran_out_of_time_has_no_grade():
    """What was never closed is sealed without a grade, with all its moves."""
    sealed = seal_exam(make_kept(1, "a", None), "time over")

    assert (None, None, "time over", 1) == (
        sealed.result["grade"],
        sealed.result["named"],
        sealed.result["how"],
        len(sealed.result["moves"]),
    )
    assert verify_exam(sealed).whole
