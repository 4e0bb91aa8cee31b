"""Answers about histories, worked out again from the input alone: history_oracle.py JOBS ANSWERS

Each line of JOBS is an object of `job` (a name), `entered` (the field of that name of `modstate records --format
json`), `asks` (a list of `airframe`, `date`, `build_state` or null, `count`: positions whose states are counted) and
`every_day`. Each line of ANSWERS is the answer to one ask, in the order of the asks; see `answer`.

The rules are the logic program in program.py, solved by clingo (an answer-set solver): brave and cautious consequences say what
some and what all histories reach, optimisation finds the best repairs. Counts are asked of clingo state by state where
there are few, else of Ganak (a projected model counter), on the completion of the same ground program, which is tight.

Time. The rules hold at the end of every day; but what they say changes only on a *named* day: one of the days around
the build date, a leaflet, the introduction of a one-of group, an end of a claim's window, the target. Take a history
over all days and keep the named days, one witness day for each thing that is claimed of *some* day of a window, the day
on which the airframe was built, and, for each modification that comes out and goes in again by the other form, one day
between. The kept days alone still obey every rule, because every change that falls on a day left out can be moved to
the next kept day: no leaflet, no group and no end of a window lies between them. Conversely, a history over the kept
days is one over all days: a day left out repeats the kept day before it. So a stretch of days between two named days
needs as many moments as there are windows, modifications that may be removed and build dates that cover it, and no more
than it has days. Days before the first possible build date are alike: nothing is in. With `every_day`, each day is a
moment of its own, which holds this argument itself against the plain meaning.
"""

import itertools
import json
import multiprocessing
import os
import sys

import clingo
import pyganak

from dossier import Type, fold, named_mods
from program import ASKED, REPAIRED, RULES, Ground, best_repairs, consequences, ground, satisfiable, statement
from timeline import Ask

FEW = 12


class Basis:
    """One airframe with the firm claims alone, or with the doubtful ones held too."""

    def __init__(self, ask, held):
        self.ask, self.held = ask, held
        self.repairs = {}
        self.none = set()
        ks = range(len(ask.parts))
        whole = ask.program(ks)
        if not satisfiable(ground(RULES, whole, "\n".join(self.holding(k) for k in ks))):
            for k in ks:
                facts = ask.program([k])
                if satisfiable(ground(RULES, facts, self.holding(k))):
                    continue
                repairs = best_repairs(facts) if held else []
                if repairs:
                    self.repairs[k] = repairs
                else:
                    self.none.add(k)
        self.consistent = not self.none
        # A build state's own choices may break the rules: then no history leads to it.
        self.reached = [k for k in ks if k not in self.none]
        chosen = {ask.part_of[m] for m in ask.add | ask.leave}
        self.reached = [k for k in self.reached if k not in chosen or satisfiable(self.solver([k]))]
        self.counted = {}

    def holding(self, k):
        """Which claims of a part hold, as a program."""
        if k in self.repairs:
            lines = []
            for r, dropped in enumerate(self.repairs[k]):
                lines.append(statement("repair", k, r))
                lines += [statement("drops", k, r, json.dumps(name)) for name in dropped]
            return "\n".join(lines + [statement("in_repair", json.dumps(c)) for c in self.ask.parts[k].claims])
        of = self.ask.of.claims
        claims = [c for c in self.ask.parts[k].claims if self.held or of[c]["standing"] == "Firm"]
        return "\n".join(statement("held", json.dumps(c)) for c in claims)

    def solver(self, ks, more="", observer=None):
        repaired = REPAIRED if any(k in self.repairs for k in ks) else ""
        holding = "\n".join(self.holding(k) for k in ks)
        return ground(RULES, ASKED, self.ask.program(ks), holding, repaired, more, observer=observer)

    def answers(self, count):
        """Modifications, positions and counts."""
        ask = self.ask
        lines, roots = self.questions()
        self.control = self.solver(self.reached, "\n".join(lines))
        self.some = consequences(self.control, "brave")
        self.all = consequences(self.control, "cautious")
        reached = self.consistent and len(self.reached) == len(ask.parts)
        states = 1
        for part in ask.parts if reached else []:
            states *= self.count(tuple(sorted(part.mods)), [])[0]
        return {
            "consistent": self.consistent,
            "modifications": {m: self.modification(m) for m in ask.of.mods},
            "positions": {
                name: {key: self.outcome(when, roots.get((name, key))) for key, when in outcomes.items()}
                for name, outcomes in self.outcomes.items()
            },
            "states": str(states) if reached else None,
            "counts": {name: self.position_counts(name) for name in count},
            "repairs": [self.repairs[k] for k in sorted(self.repairs)] if self.held else None,
        }

    def questions(self):
        """The outcomes of every position as nodes of the program, as far as their modifications can be answered for."""
        ask, lines, nodes, roots = self.ask, ["#show now/2. #show now_any/1. #show outcome/1."], {}, {}
        self.outcomes = {}
        for name in ask.of.asked:
            outcomes = self.outcomes[name] = {}
            for key, when in ask.of.outcomes(name).items():
                outcomes[key] = fold(when, ask.known)
                named = named_mods(outcomes[key])
                if named and all(ask.part_of[m] in self.reached for m in named):
                    roots[name, key] = ask.question(outcomes[key], lines, nodes)
                    lines.append(statement("ask_root", roots[name, key]))
        return lines, roots

    def truth(self, atom):
        return "yes" if atom in self.all else "open" if atom in self.some else "no"

    def modification(self, m):
        """Whether it is embodied, by production, retrospectively."""
        if m in self.ask.known:
            form = self.ask.known[m]
            return ["yes" if so else "no" for so in (form is not None, form is not None, False)]
        if self.ask.part_of[m] not in self.reached:
            return ["none"] * 3
        s = self.ask.slot(self.ask.part_of[m], m)
        atoms = [f"now_any({s})", f"now({s},production)", f"now({s},retrospective)"]
        return [self.truth(atom) for atom in atoms]

    def outcome(self, when, root):
        """Whether it is found at a position: what settled modifications decide, what the program says, or no answer."""
        if root is not None:
            return self.truth(f"outcome({root})")
        return "none" if named_mods(when) else "yes" if when == ("all", ()) else "no"

    def position_counts(self, name):
        """Distinct states of the position's slice, and how many of them select each outcome."""
        outcomes = self.outcomes[name]
        # The slice: what the position's conditions name, once the serial's own part of them is worked out.
        named = set().union(*map(named_mods, self.ask.of.outcomes(name).values()))
        mods = tuple(sorted(named & self.ask.free))
        if any(self.ask.part_of[m] not in self.reached for m in mods):
            return None
        counts = self.count(mods, list(outcomes.values()))
        return {"all": str(counts[0]), "each": dict(zip(outcomes, map(str, counts[1:])))}

    def possible_forms(self, m):
        s = self.ask.slot(self.ask.part_of[m], m)
        forms = [f for f in ("production", "retrospective") if f"now({s},{f})" in self.some]
        return forms if f"now_any({s})" in self.all else [*forms, None]

    def count(self, mods, conditions):
        """How many distinct states of these modifications there are, and how many of them meet each condition."""
        forms = [self.possible_forms(m) for m in mods]
        combinations = 1
        for of_one in forms:
            combinations *= len(of_one)
        if combinations > FEW:
            return [self.counter(mods, condition) for condition in [None, *conditions]]
        if mods not in self.counted:
            states = [dict(zip(mods, state)) for state in itertools.product(*forms)]
            varying = [m for m, of_one in zip(mods, forms) if len(of_one) > 1]
            if len(varying) > 1:
                states = [state for state in states if self.is_reached(state, varying)]
            self.counted[mods] = states
        states = self.counted[mods]
        meets = lambda state, condition: fold(condition, state) == ("all", ())
        return [len(states), *(sum(meets(state, c) for state in states) for c in conditions)]

    def is_reached(self, state, varying):
        assumed = []
        for m in varying:
            s = clingo.Number(self.ask.slot(self.ask.part_of[m], m))
            for form in ("production", "retrospective"):
                assumed.append((clingo.Function("now", [s, clingo.Function(form)]), state[m] == form))
        return self.control.solve(assumptions=assumed).satisfiable

    def counter(self, mods, condition):
        """The count by Ganak, over the parts that these modifications belong to."""
        ks = sorted({self.ask.part_of[m] for m in mods})
        lines, nodes = [], {}
        if condition is not None:
            root = self.ask.question(condition, lines, nodes)
            lines.append(f":- not here({root}).")
        observer = Ground()
        control = self.solver(ks, "\n".join(lines), observer=observer)
        clauses, highest = observer.completion()
        if [] in clauses:
            return 0
        kept = set()
        for m in mods:
            s = clingo.Number(self.ask.slot(self.ask.part_of[m], m))
            for form in ("production", "retrospective"):
                atom = control.symbolic_atoms[clingo.Function("now", [s, clingo.Function(form)])]
                if atom is not None and not atom.is_fact:
                    kept.add(atom.literal)
        counter = pyganak.Counter()
        counter.new_vars(max([highest, *kept], default=0))
        counter.add_clauses(clauses)
        if not kept:
            return 1 if satisfiable(control) else 0
        counter.set_sampling_set(sorted(kept))
        return counter.count()


def answers(line):
    """The answers to all asks of one job, as lines."""
    job = json.loads(line)
    airframes = {a["serial"]["text"]: a for a in job["entered"]["airframes"]}
    types, out = {}, []
    for asked in job["asks"]:
        serial = asked["airframe"]
        if serial not in types:
            types[serial] = Type(job["entered"], airframes[serial])
        ask = Ask(types[serial], asked, job["every_day"])
        answer = {"job": job["job"], "airframe": serial, "date": asked["date"]}
        for name, held in (("firm", False), ("held", True)):
            answer[name] = Basis(ask, held).answers(asked["count"])
        out.append(json.dumps(answer))
    return out


def main():
    with open(sys.argv[1], encoding="utf-8") as jobs, open(sys.argv[2], "w", encoding="utf-8") as out:
        with multiprocessing.Pool(os.cpu_count()) as pool:
            for lines in pool.imap(answers, jobs, chunksize=1):
                out.writelines(f"{line}\n" for line in lines)


if __name__ == "__main__":
    main()
