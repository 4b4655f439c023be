"""Failure-mode codes of complaint families against ISO 14224.

ISO 14224 "Petroleum, petrochemical and natural gas industries - Collection and exchange of reliability and
maintenance data for equipment", Annex B. The standard's text was not at hand: the codes below agree in at least one
independent reproduction. Which of them stand in the table for valves, and in which edition, is not verified, so they
serve as vocabulary only. Which code fits which family is a decision of this project.
"""

VERIFIED = {
    "FTO": "failure to open on demand",
    "FTC": "failure to close on demand",
    "FTF": "failure to function on demand",
    "DOP": "delayed operation",
    "ELU": "external leakage, utility medium",
    "INL": "internal leakage of utility medium",
    "AIR": "abnormal instrument reading",
    "HIO": "high output",
    "LOO": "low output",
    "NOO": "no output",
    "ERO": "erratic output",
    "PLU": "plugged or choked",
    "STD": "structural deficiency",
}
# Families whose fitting codes (leakage in closed position, spurious operation) are from memory, unverified.
WITHOUT_VERIFIED_CODE = {"comes_and_goes", "passes_shut", "runs_past_end"}


def test_families_use_verified_codes_only(knowledge):
    """No complaint family carries a failure-mode code that we could not verify."""
    used = {code for family in knowledge.families.values() for code in family.failure_modes}

    assert set() == used - set(VERIFIED)


def test_every_family_with_a_verified_code_carries_it(knowledge):
    """Only the families whose codes are unverified are left without."""
    without = {name for name, family in knowledge.families.items() if not family.failure_modes}

    assert without == WITHOUT_VERIFIED_CODE


def test_hunting_is_erratic_output(knowledge):
    """Hunting is ERO, whose meaning names oscillation and hunting; slowness is delayed operation."""
    assert ("ERO",) == knowledge.families["hunts"].failure_modes
    assert ("DOP",) == knowledge.families["slow_or_weak"].failure_modes
