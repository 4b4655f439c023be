"""Print how long a full-size rule base takes to load: `python tests/benchmarks/bench_load.py`.

The base is made up: the small test base with 80 cause files of about 100 lines each and 250 observations.
"""

import shutil
import tempfile
import time
from pathlib import Path

from diagnose.knowledge.loader import load_knowledge

GOOD = Path(__file__).parent.parent / "fixtures" / "rules_good"
CAUSES = 80
OBSERVATIONS = 250
RUNS = 7


def write_base(directory: Path) -> int:
    """Write the made-up base and give the number of lines of its cause files."""
    shutil.copytree(GOOD, directory, dirs_exist_ok=True)
    with (directory / "observations.yaml").open("a", encoding="utf-8") as file:
        file.writelines(
            f"  seen_{n}:\n    says: Sign number {n} is seen at the unit\n    absent: Sign {n} is not seen\n"
            f"    question: Is sign {n} there?\n    background: uncommon\n    seen_only_if: [unit_moves]\n"
            for n in range(OBSERVATIONS)
        )
    lines = 0
    for number in range(CAUSES):
        text = write_cause(number)
        lines += text.count("\n")
        path = directory / f"part_{number % 10}" / f"cause_{number}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, "utf-8")
    return lines


def write_cause(number: int) -> str:
    """Write one cause with 20 links, 6 shifts, 12 repair steps."""
    links = "".join(
        f"  - {{to: seen_{(number * 7 + n) % OBSERVATIONS}, strength: often, source: estimate}}\n"
        for n in range(20)
    )
    shifts = "".join(
        f"  - when: {{recent_work: cams_set}}\n    decibans: {n}\n    group: work_{n}\n" for n in range(6)
    )
    steps = "".join(
        f"    - do: Do step {n} of the repair with care\n      part: the part\n      tool: a spanner\n"
        f"      reach: {n} mm\n      known_by: the mark on the scale\n"
        for n in range(12)
    )
    return (
        f"cause: cause_{number}\npart: part_{number % 10}\nsays: Made-up cause {number}\nshare: 0.01\n"
        f"links:\n{links}circumstances:\n{shifts}"
        "confirmed_by:\n  - inspection: look_at_switch\n    expects: {switch_made: present}\n"
        "remedy:\n  says: Repair it\n  access: isolated\n  minutes: 30\n  acts: [touch_terminals]\n"
        f"  steps:\n{steps}  acceptance: It ends on the mark\n"
        "in_service:\n  verdict: monitor\n  if_left: Nothing much\n  interim: Watch it\n"
    )


def main() -> None:
    """Load the base several times and print the best and the median time."""
    with tempfile.TemporaryDirectory() as name:
        lines = write_base(Path(name))
        times = []
        for _ in range(RUNS):
            begun = time.perf_counter()
            load_knowledge(Path(name))
            times.append(time.perf_counter() - begun)
    times_ms = [1000 * t for t in times]
    print(f"{CAUSES} cause files, {lines / CAUSES:.0f} lines each, {OBSERVATIONS} more observations")
    print(
        f"first load {times_ms[0]:.0f} ms, best {min(times_ms):.0f} ms, median {sorted(times_ms)[RUNS // 2]:.0f} ms"
    )


if __name__ == "__main__":
    main()
