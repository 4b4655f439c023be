"""Each oddity of durable_rules 2.0.28: shown on the bare library, and met by the wrapper.

The bare library runs in a process of its own, because some of its faults end the process.
"""

from __future__ import annotations

import ast
import itertools
import subprocess
import sys
import textwrap
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import diagnose
from diagnose.chaining import engine
from diagnose.chaining.compile import MAX_ATOMS, CompiledRule, Concluded, Firing, compile_rules, make_compiled
from diagnose.chaining.engine import EngineFailedError, run_engine, split_stage
from diagnose.chaining.plain import run_plain

PRELUDE = """
import threading
from durable.engine import Host, MessageNotHandledException, MessageObservedException
class Quiet(Host):
    def _run(self):
        pass
fired = []
def define(atoms, run=fired.append):
    return {'all': [{f'm_{n}': {'atom': atom}} for n, atom in enumerate(atoms)], 'run': lambda c: run(c)}
def register(rules, name='bare'):
    host = Quiet()
    host.register_rulesets({name: {f'r{n}': define(atoms) for n, atoms in enumerate(rules)}})
    return host
def tell(atom, sid='1'):
    return {'atom': atom, 'sid': sid}
def name_error(act):
    try:
        act()
    except Exception as error:
        return f'{type(error).__name__} {error}'
    return 'no error'
"""


def run_bare(script):
    """Run the bare library in a process of its own, and give its exit code and output."""
    code = PRELUDE + textwrap.dedent(script)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False
    )
    return done.returncode, done.stdout.strip()


def compiled(*conditions):
    """Compile rules that each ask for some atoms."""
    return make_compiled(
        CompiledRule(f"r{n:04d}", f"r{n:04d}", 0, tuple(sorted(atoms)), Concluded("caution", "c"))
        for n, atoms in enumerate(conditions)
    )


def fired_ids(rules, facts):
    """List the ids of the rules that fire, having compared with the plain evaluator."""
    firings = run_engine(rules, facts)
    assert run_plain(rules, facts) == firings
    return sorted(firing.rule_id for firing in firings)


def test_fact_that_matches_nothing():
    """Bare: it raises, in a batch it takes the others with it. Wrapped: it adds nothing."""
    script = """
    host = register([['x'], ['y']])
    print(name_error(lambda: host.assert_fact('bare', tell('stray'))).split()[0])
    print(name_error(lambda: host.assert_facts('bare', [tell('x', '2'), tell('stray', '2')])).split()[0], len(fired))
    """
    assert (0, "MessageNotHandledException\nMessageNotHandledException 0") == run_bare(script)
    assert ["r0000"] == fired_ids(compiled(["x"], ["y"]), ["x", "stray"])


def test_repeated_fact():
    """Bare: it raises. Wrapped: it adds nothing."""
    script = """
    host = register([['x']])
    host.assert_fact('bare', tell('x'))
    print(name_error(lambda: host.assert_fact('bare', tell('x'))).split()[0])
    """
    assert (0, "MessageObservedException") == run_bare(script)
    assert ["r0000"] == fired_ids(compiled(["x"]), ["x", "x"])


def test_no_fact_at_all():
    """Bare: an empty batch ends the process. Wrapped: nothing fires."""
    code, _ = run_bare("register([['x']]).assert_facts('bare', [])")
    assert code < 0
    assert [] == fired_ids(compiled(["x"]), [])
    assert [] == fired_ids(make_compiled([]), ["x"])


def test_two_facts_that_look_the_same():
    """Bare: facts of one 32-bit hash are taken for one. Wrapped: they are told under another case id."""
    facts = ["o85772=present", "o96430=present"]
    script = f"""
    host = register([['{facts[0]}'], ['{facts[1]}']])
    batch = [tell(atom, '900000000') for atom in {facts}]
    print(name_error(lambda: host.assert_facts('bare', batch)).split()[0])
    """
    assert (0, "MessageObservedException") == run_bare(script)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "_CASES", itertools.count(900_000_000))
        assert ["r0000", "r0001"] == fired_ids(compiled([facts[0]], [facts[1]]), facts)


def test_facts_that_always_look_the_same_are_no_silence(monkeypatch):
    """Facts that cannot be told apart under any case id raise; they are not left out."""

    def refuse(*_):
        raise engine.MessageObservedException({})

    monkeypatch.setattr(engine, "_run_case", refuse)
    with pytest.raises(EngineFailedError, match="look the same"):
        run_engine(compiled(["same"]), ["same"])


def test_reserved_keys():
    """Bare: facts with equal `id` are taken for one. Wrapped: `id` and `sid` are text like any other."""
    script = """
    host = register([['x'], ['y']])
    host.assert_fact('bare', {'id': 'present', 'atom': 'x', 'sid': '1'})
    print(name_error(lambda: host.assert_fact('bare', {'id': 'present', 'atom': 'y', 'sid': '1'})).split()[0])
    """
    assert (0, "MessageObservedException") == run_bare(script)
    rules = compiled(["id=present"], ["sid=present", "id=present"])
    assert ["r0000", "r0001"] == fired_ids(rules, ["id=present", "sid=present"])


def test_exception_in_an_action(monkeypatch):
    """Bare: it is put into the state and nothing is raised. Wrapped: it is raised."""
    script = """
    host = Quiet()
    host.register_rulesets({'bare': {'r': define(['x'], lambda c: 1 / 0)}})
    state = host.assert_fact('bare', tell('x'))
    print('division by zero' in state['exception'])
    """
    assert (0, "True") == run_bare(script)

    def record_badly(rule, fired):
        def run(closure):
            fired.append(1 / 0)

        return run

    monkeypatch.setattr(engine, "_record", record_badly)
    with pytest.raises(EngineFailedError, match="division by zero"):
        run_engine(compiled(["breaks"]), ["breaks"])


@pytest.mark.parametrize(
    "rules", ["[[f'a{n}'] for n in range(512)]", "[[f'a{n % 10}', f'b{n}'] for n in range(502)]"]
)
def test_512_distinct_conditions(rules):
    """Bare: 512 distinct conditions in one rule set fail, first in their rules or not. Wrapped: they work."""
    script = f"""
    host = register({rules})
    print(name_error(lambda: host.assert_facts('bare', [tell('a1'), tell('b1')])))
    """
    code, printed = run_bare(script)
    assert (0, True) == (code, printed.endswith("error code: 303"))
    conditions = eval(rules)  # noqa: S307 - the literal above
    assert ["r0001"] == fired_ids(compiled(*conditions), ["a1", "b1"])


def test_condition_shared_by_many_rules():
    """Bare: a condition of 400 rules is refused. Wrapped: it works."""
    script = "print(name_error(lambda: register([['x', f'b{n}'] for n in range(400)])))"
    code, printed = run_bare(script)
    assert (0, True) == (code, printed.endswith("error code: 108"))
    rules = compiled(*(["x", f"b{n}"] for n in range(400)))
    assert ["r0003", "r0399"] == fired_ids(rules, ["x", "b3", "b399"])


def test_facts_of_one_match():
    """Bare: a match of 17 facts fails. Wrapped: 16 work, and compiling refuses more (test_compile_rules)."""
    script = """
    atoms = [f'a{n}' for n in range(17)]
    print(name_error(lambda: register([atoms]).assert_facts('bare', [tell(atom) for atom in atoms])))
    """
    code, printed = run_bare(script)
    assert (0, True) == (code, printed.endswith("error code: 304"))
    atoms = [f"a{n}" for n in range(MAX_ATOMS)]
    assert ["r0000"] == fired_ids(compiled(atoms), atoms)


def test_condition_twice_in_a_rule(make_knowledge):
    """Bare: a rule that asks twice for one fact never fires. Compiled: it is one condition."""
    script = """
    register([['x', 'x']]).assert_fact('bare', tell('x'))
    print(len(fired))
    """
    assert (0, "0") == run_bare(script)
    rule = {
        "id": "r",
        "says": "Twice.",
        "when": {"all": [{"x": "present"}] * 2},
        "concludes": {"caution": "c"},
    }
    assert ["r"] == fired_ids(compile_rules(make_knowledge({"rules": [rule]})), ["x=present"])


def test_case_in_which_nothing_fires():
    """Bare: deleting cases in which no action ran ends the process. Wrapped: 500 near misses do no harm."""
    script = """
    host = register([['x', 'y']])
    for n in range(300):
        host.assert_fact('bare', tell('y', str(n)))
        host.delete_state('bare', str(n))
    """
    code, _ = run_bare(script)
    assert code < 0
    rules = compiled(["x", "y"], ["y", "z"])
    assert all(fired_ids(rules, ["y"]) == [] for _ in range(500))


def read_memory():
    """Give the resident memory of this process in bytes."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096


def test_many_cases():
    """Bare: the 1,025th case runs out of memory. Wrapped: memory is flat over 1,500 cases."""
    script = """
    host = register([['x']])
    done = 0
    def ask():
        global done
        for n in range(1500):
            host.assert_fact('bare', tell('x', str(n)))
            done += 1
    print(name_error(ask).split()[0], done)
    """
    code, printed = run_bare(script)
    assert (0, "MemoryError 1024") == (code, printed)
    rules = compiled(*([f"a{n % 20}", f"b{n}"] for n in range(100)))
    sizes = []
    for number in range(1_500):
        run_engine(rules, [f"a{number % 20}", f"b{number % 100}", "b1"])
        if number in {200, 1_499}:
            sizes.append(read_memory())
    # one case kept would cost about a megabyte
    assert sizes[1] - sizes[0] < 10_000_000


def test_threads_of_a_host():
    """Bare: each host starts two threads that take actions away. Wrapped: one host, no threads."""
    code, printed = run_bare("Host(), Host(); print(threading.active_count())")
    assert (0, "5") == (code, printed)
    before = threading.active_count()
    run_engine(compiled(["one"]), ["one"])
    run_engine(compiled(["two"]), ["two"])
    assert before == threading.active_count()
    assert engine._host() is engine._host()


def test_registering_twice():
    """Bare: a name cannot be registered twice and the definition is changed. Wrapped: rules stay as they are."""
    script = """
    host = Quiet()
    definition = {'bare': {'r': define(['x'])}}
    host.register_rulesets(definition)
    print('run' in definition['bare']['r'], name_error(lambda: host.register_rulesets(definition)))
    print(name_error(lambda: host.register_rulesets({'bare': {'r': define(['x'])}})))
    """
    expected = "False KeyError 'run'\nException Ruleset with name bare already registered"
    assert (0, expected) == run_bare(script)
    once, again = compiled(["registered"]), compiled(["registered"])
    assert ["r0000"] == fired_ids(once, ["registered"])
    count = len(engine._registered)
    assert ["r0000"] == fired_ids(again, ["registered"])
    assert count == len(engine._registered)
    assert once == again


def test_none_depends_on_arrival():
    """Bare: `none` fires or not by order of arrival. Wrapped: absence is a fact, in either order."""
    script = """
    def count(order):
        fired.clear()
        rule = {'all': [{'m_0': {'atom': 's'}}, {'m_1$not': {'atom': 't'}}], 'run': lambda c: fired.append(c)}
        host = Quiet()
        host.register_rulesets({'n' + order: {'r': rule}})
        for atom in order:
            host.assert_fact('n' + order, tell(atom))
        return len(fired)
    print(count('st'), count('ts'))
    """
    assert (0, "1 0") == run_bare(script)
    rules = compiled(["s=present", "t=absent"])
    for facts in itertools.permutations(["s=present", "t=absent", "t=present"]):
        assert ["r0000"] == fired_ids(rules, facts)


def test_threads_share_the_engine():
    """Cases asked from several threads at once do not mix."""
    rules = compiled(*([f"a{n}", f"b{n}"] for n in range(20)))
    cases = [[f"a{n % 20}", f"b{n % 20}", f"a{n % 7}"] for n in range(200)]
    with ThreadPoolExecutor(4) as pool:
        results = list(pool.map(lambda facts: run_engine(rules, facts), cases))
    assert [run_plain(rules, facts) for facts in cases] == results


def test_firing_names_the_facts_it_matched():
    """The atoms of a firing are those the engine matched."""
    assert {Firing("r0000", ("x", "y"))} == run_engine(compiled(["y", "x"]), ["z", "y", "x"])


@pytest.mark.parametrize(
    ("conditions", "sizes"),
    [
        ([[f"a{n}"] for n in range(450)], [450]),
        ([[f"a{n}"] for n in range(451)], [450, 1]),
        ([["x", f"a{n}"] for n in range(100)], [100]),
        ([["x", f"a{n}"] for n in range(101)], [100, 1]),
        ([], []),
    ],
)
def test_split_at_the_limits(conditions, sizes):
    """A stage is split only where one rule set would hold too much, and no rule is lost."""
    rules = compiled(*conditions).rules
    parts = list(split_stage(rules))
    assert sizes == [len(part) for part in parts]
    assert rules == tuple(itertools.chain(*parts))


def test_one_module_imports_the_library():
    """Only engine.py imports durable_rules."""
    root = Path(diagnose.__file__).parent
    importing = set()
    for path in root.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if any(name.split(".")[0] in {"durable", "durable_rules_engine"} for name in names):
                importing.add(path.relative_to(root).as_posix())
    assert {"chaining/engine.py"} == importing
