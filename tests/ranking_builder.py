"""A hand-made rule base for tests: as small as can be, with every kind of thing in it.

The unit is an invented one; the numbers are round, not true of any actuator.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any, get_args

from diagnose.knowledge.acting import Access, Act, Cautions
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause, Consequence, Exclusives, Rule
from diagnose.knowledge.seeing import Circumstance, Group, Observation, SightCondition
from diagnose.knowledge.settings import Settings

SETTINGS: dict[str, Any] = {
    "format_version": 1,
    "prior_scale": 0.15,
    "strengths": {"always": 0.98, "usually": 0.9, "often": 0.7, "sometimes": 0.35, "rarely": 0.1, "never": 0},
    "backgrounds": {"remote": 0.001, "rare": 0.005, "uncommon": 0.02, "occasional": 0.05, "common": 0.15},
    "trust": {
        **dict.fromkeys(("answer", "meter", "log", "case", "unit_record"), (1, 0)),
        "ticket": (0.95, 0.05),
        **dict.fromkeys(("hearsay", "reader"), (0.7, 0.3)),
    },
    "unlisted": {"share": 0.05, "hand_over_minutes": 240},
    "thresholds": {
        "not_covered_above": 0.5,
        "ask_first_below_bits": 1,
        "ask_first_below_probability": 0.5,
        "conflict_decibans": 10,
        "shift_cap_decibans": 20,
        "undecided_bits": 16,
        "repair_needs_probability": 0.5,
    },
    "look": {"causes": 16, "set_size": 4, "sets": 500, "mass": 0.95, "shortlist": 8, "looks": 32},
    "backlog": {
        "same_trouble_days": 30,
        "recent_work_days": 90,
        "travel_minutes": 40,
        "permit_minutes": 30,
    },
}
ACCESS = {"start": "as_found", "states": {"as_found": {"says": "As found."}}, "changes": [], "reach": {}}
CAUTIONS = {
    "deferral": "Site rules first.",
    "lines": {"care": {"says": "Take care."}},
    "acts": {act: ["care"] for act in get_args(Act)},
}
REMEDY = {
    "says": "Put it right.",
    "access": "as_found",
    "minutes": 10,
    "steps": [{"do": "Do it."}],
    "acceptance": "It works.",
}


def make_links(links: Mapping[str, str]) -> list[dict[str, str]]:
    """Write links as the files have them."""
    return [{"to": target, "strength": strength} for target, strength in links.items()]


def make_cause(cause: str, share: float, links: Mapping[str, str] | None = None, **more: Any) -> Cause:
    """Make a cause from its share and links; `states` and `modes` in short form too."""
    modes = {
        name: {"says": name, "portion": portion, "links": make_links(own)}
        for name, (portion, own) in more.pop("modes", {}).items()
    }
    data = {
        "cause": cause,
        "part": "parts",
        "says": cause,
        "share": share,
        "links": make_links(links or {}),
        "brings_about": make_links(more.pop("states", {})),
        "modes": modes,
        "confirmed_by": [{"inspection": "look", "expects": {"hum": "present"}}],
        "remedy": REMEDY,
        "in_service": {"verdict": "now", "if_left": "It stays.", "interim": "Wait."},
    }
    return Cause.model_validate({**data, **more})


def make_observation(**more: Any) -> Observation:
    """Make an observation; background `rare` unless said otherwise."""
    return Observation.model_validate({"says": "It shows.", "absent": "It does not show.", **more})


def make_rule(name: str, when: Any, over: Iterable[str] = (), **concludes: str) -> Rule:
    """Make a rule from its condition in the form of the files."""
    return Rule.model_validate(
        {"id": name, "says": name, "when": when, "concludes": concludes, "over": tuple(over)}
    )


def make_knowledge(
    causes: Iterable[Cause],
    observations: Mapping[str, Observation],
    *,
    consequences: Mapping[str, tuple[str, Mapping[str, str]]] | None = None,
    groups: Mapping[str, tuple[str, ...]] | None = None,
    exclusives: Mapping[str, Any] | None = None,
    rules: Iterable[Rule] = (),
    conditions: Mapping[str, Any] | None = None,
    circumstances: Mapping[str, tuple[str, ...]] | None = None,
) -> Knowledge:
    """Make a rule base; everything is keyed in sorted order, as the loader does."""
    return Knowledge(
        version="test",
        settings=Settings.model_validate(SETTINGS),
        conditions={
            name: SightCondition.model_validate({"fails_when": fails})
            for name, fails in sorted((conditions or {}).items())
        },
        families={},
        groups={name: Group(says=name, members=members) for name, members in sorted((groups or {}).items())},
        observations=dict(sorted(observations.items())),
        circumstances={
            name: Circumstance(question="Which?", values=dict.fromkeys(values, "so"), structural=True)
            for name, values in sorted((circumstances or {}).items())
        },
        readings={},
        access=Access.model_validate(ACCESS),
        cautions=Cautions.model_validate(CAUTIONS),
        inspections={},
        causes={cause.cause: cause for cause in sorted(causes, key=lambda c: c.cause)},
        consequences={
            name: Consequence.model_validate(
                {"says": name, "background": background, "links": make_links(links)}
            )
            for name, (background, links) in sorted((consequences or {}).items())
        },
        exclusives=Exclusives.model_validate(exclusives or {"sets": {}}),
        rules={rule.id: rule for rule in sorted(rules, key=lambda r: r.id)},
    )


def make_small() -> Knowledge:
    """Make the rule base that most tests use."""
    hot = {"atom": {"name": "duty", "value": "modulating"}}
    return make_knowledge(
        [
            make_cause("supply_off", 0.3, {"dead": "always", "lamp_dark": "usually"}),
            make_cause(
                "motor_burnt", 0.1, {"dead": "usually", "smell": "often", "winding_open": "usually"},
                ruled_out=[{"when": {"motor": "dc"}, "says": "No such motor."}],
            ),
            make_cause("gland_tight", 0.2, {"slow": "usually", "hum": "often"}, states={"stalled": "often"},
                       circumstances=[{"when": hot, "decibans": 6, "group": "duty"},
                                      {"when": hot, "decibans": -3, "group": "duty"}]),
            make_cause("line_stuck", 0.1, {"hum": "sometimes"}, states={"stalled": "usually"}),
            make_cause("stop_in", 0.08, {"short_of_end": "always"}),
            make_cause("stop_out", 0.06, {"short_of_end": "never"}),
            make_cause("cam_early", 0.05, {"short_of_end": "usually", "light_early": "often"}),
            make_cause("cam_late", 0.04, {"light_late": "often"}),
            make_cause(
                "wire_loose", 0.07, {"comes_and_goes": "often", "slow": "rarely"},
                modes={"supply": (0.6, {"dead": "sometimes", "slow": "sometimes"}),
                       "signal": (0.4, {"hunting": "often"})},
            ),
        ],
        {
            "dead": make_observation(),
            "slow": make_observation(background="uncommon"),
            "normal": make_observation(background="common"),
            "hum": make_observation(),
            "lamp_dark": make_observation(),
            "smell": make_observation(),
            "winding_open": make_observation(),
            "short_of_end": make_observation(),
            "light_early": make_observation(),
            "light_late": make_observation(),
            "passes_end": make_observation(),
            "comes_and_goes": make_observation(background="occasional"),
            "hunting": make_observation(seen_only_if=("moves",)),
            "cutout_warm": make_observation(),
            "jam_pattern": make_observation(derived=True, background="remote"),
            "wide_pattern": make_observation(derived=True, background="remote"),
            "other_pattern": make_observation(derived=True, background="remote"),
        },
        consequences={"stalled": ("remote", {"cutout_warm": "usually", "hum": "often", "jam_pattern": "often"})},
        groups={"movement": ("dead", "slow", "normal")},
        exclusives={
            "sets": {"stop": ("stop_in", "stop_out"), "cam": ("cam_early", "cam_late")},
            "together": [
                {"sets": ("stop", "cam"),
                 "pairs": [{"causes": ("cam_late", "stop_out"),
                            "links": make_links({"passes_end": "always"})}]},
            ],
        },
        rules=[
            make_rule("jam", {"all": [{"hum": "present"}, {"cutout_warm": "present"}]}, observation="jam_pattern"),
        ],
        conditions={"moves": [{"dead": "present"}]},
        circumstances={"duty": ("on_off", "modulating"), "motor": ("ac", "dc")},
    )  # fmt: skip


def replace_settings(knowledge: Knowledge, **thresholds: float) -> Knowledge:
    """Give the rule base with other thresholds."""
    settings = knowledge.settings
    changed = settings.thresholds.model_copy(update=thresholds)
    return replace(knowledge, settings=settings.model_copy(update={"thresholds": changed}))
