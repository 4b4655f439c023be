"""The table of sources: every number of every file stands in it, with a source that is never empty."""

from dataclasses import replace

from diagnose.knowledge.sources import list_sources


def test_every_strength_stands_in_the_table(knowledge):
    """There are as many rows of strengths as links in the shipped base, and each says where it comes from."""
    links = sum(
        len(part.links) + len(getattr(part, "brings_about", ()))
        for part in (
            *knowledge.causes.values(),
            *knowledge.consequences.values(),
            *(mode for cause in knowledge.causes.values() for mode in cause.modes.values()),
        )
    )
    rows = list(list_sources(knowledge))

    assert links == sum(row.what.startswith("strength ") for row in rows)
    assert all(row.source for row in rows)


def test_a_link_without_source_takes_that_of_its_cause(small_base):
    """What a link does not say is said by the entry it stands in; what it says itself stands."""
    cause = small_base.causes["cam_early"]
    named = cause.links[0].model_copy(update={"source": "seen at Harrow Fen"})
    changed = cause.model_copy(update={"links": (named, *cause.links[1:])})
    base = replace(small_base, causes={"cam_early": changed})
    rows = {row.what: row.source for row in list_sources(base) if row.spot[:2] == ("causes", "cam_early")}

    assert "seen at Harrow Fen" == rows["strength stops_short"]
    assert cause.source == rows["strength switch_made"]


def test_priors_shifts_limits_and_cautions_have_rows(small_base):
    """Shares, circumstances, limits of readings, access times and safety lines are values as well."""
    found = {row.what for row in list_sources(small_base)}

    assert {
        "share of calls",
        "shift recent_work=cams_set",
        "ruled out duty=modulating",
        "limit current_high",
        "change as_found to isolated",
        "caution lock_out",
        "strengths always",
        "unlisted share",
        "portion bent",
    } <= found
