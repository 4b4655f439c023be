"""Open maintenance phrases of other machines: a confident diagnosis of one is a false alarm.

Phrases drawn at random from MaintIE (NLP-TLP Group, 2024, MIT licence, repository nlp-tlp/maintie), as typed. The
whole of it, and the work orders of MaintNorm, are measured by tests/benchmarks/bench_outside_texts.py.
"""

from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.batch import BatchRanker
from diagnose.ranking.rank import Status, prepare_ranking

CONFIDENT = 0.5

PHRASES = (
    "[REF] - replacement refrigerant",
    "- grease system fail",
    "change out x new tyres",
    "- weekly tyre and rim repairs",
    "sample engine oil and replace oil and filter",
    "replace computer",
    "measure up cabin blind",
    "bypass the grease fill solenoid valve",
    "- repair transmission fault",
    "reset auxilliary supply circuit breaker and booted computer",
    "operator cabin air conditioner air outlet modifications",
    "repair smart meter",
    "- CW right hand hoist cylinder leaking",
    "replace bottom steering shaft universal joint",
    "chip indicator inspection",
    "change out broken prelube bracket",
    "- replace dogbone bolt",
    "drill out broken bolt see text",
    "- change out brake swing left rear",
    "- W change out position turbo",
    "middle air drain tap leaking",
    "call out to modify hose",
    "repair cracks on stick",
    "- change out fire suppression switch on bottle",
    "change differential and final drive oils",
    "repair wiring etc at engine junction box",
    "generator flow regulator unserviceable",
    "carry out maintenance brake test",
    "replace gel cell batteries",
    "cracks in back right hand side handrail",
    "repair brake fault",
    "- replace brake cooling lines",
    "damaged position tyre and rim",
    "fit audible alarm to grease timer",
    "steering hub caps require replacing",
    "blown oil cooler hose - x metre",
    "diagnose transmission slipping fault",
    "statutory electrical week high voltage service",
    "swing resolver fault",
    "perform wheel alignment",
    "replace transmission - cracked",
    "change out position and tyre worn out",
    "repair air conditioner and wiring fault",
    "investigate / repair joystick needs repair",
    "left hand chain guide worn at the top",
    "to repair power supply",
    "- replace starter motor",
    "assist with isolations for handle change",
    "isolate fire system for fitters",
    "rework starter cables warranty",
    "replace microwave oven",
    "diode / rectifier repairs",
    "pilot valve leaking oil",
    "backlight on dash unserviceable",
    "axle temperature sensor fault",
    "supply filtration unit ( number swing )",
    "change out blown o-ring on steering pump",
    "- air conditioner system leaking",
    "brake release fault",
    "change out engine - costs",
)


def test_phrases_of_other_machines_raise_hardly_any_false_alarm(knowledge):
    """Of sixty phrases of other machines at most one, as many as one in fifty, is diagnosed with confidence."""
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge))
    readings = [reader.read({"text": text}) for text in PHRASES]
    ranked = BatchRanker(prepare_ranking(knowledge)).rank_many([reading.evidence for reading in readings])
    alarms = [
        text
        for text, reading, status, chances in zip(
            PHRASES, readings, ranked.statuses, ranked.chances, strict=True
        )
        if not reading.is_other and status is Status.RANKED and max(chances[:-1]) >= CONFIDENT
    ]

    assert 60 == len(PHRASES)
    assert len(alarms) <= 1, alarms
