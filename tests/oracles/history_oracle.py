"""Answers about histories, worked out again from the input alone: history_oracle.py JOBS ANSWERS

Each line of JOBS is an object of `job` (a name), `entered` (the field of that name of `modstate records --format
json`), `asks` (a list of `airframe`, `date`, `build_state` or null, `count`: positions whose states are counted) and
`every_day`. Each line of ANSWERS is the answer to one ask, in the order of the asks; see `answer`.

The rules are the logic program below, solved by clingo (an answer-set solver): brave and cautious consequences say what
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

import datetime
import itertools
import json
import multiprocessing
import os
import re
import sys

import clingo
import pyganak

FIRST, LAST = -(10**9), 10**9
EPOCH = datetime.date(1970, 1, 1)
FEW = 12
GRADES = ["A", "B", "C", "D", None]

RULES = """
% The airframe is built on one day of the window of its build date.
{ built_at(K,T) } :- may_build(K,T).
:- built_at(K,T), built_at(K,U), T < U.
was_built(K) :- built_at(K,T).
:- timeline(K), not was_built(K).
built(K,T) :- built_at(K,T).
built(K,T) :- built(K,T-1), moment(K,T).

% Production forms that cover the serial are in from the build date; afterwards things go in by the other form, not
% before the leaflet, and not on the day on which they came out. What is in stays in; it comes out only in the window of
% a claim that says so and is held.
in(S,production,T) :- covered(S), slot(S,K), built_at(K,T).
in(S,F,T) :- in(S,F,T-1), slot(S,K), moment(K,T), not comes_out(S,T).
{ comes_out(S,T) } :- removable(S,C,T), held(C), any(S,T-1).
{ in(S,retrospective,T) } :- offered(S,T), slot(S,K), built(K,T), not any(S,T-1).
:- in(S,production,T), in(S,retrospective,T).
any(S,T) :- in(S,F,T).

% What a state must not break, at the end of every day.
met(S,I,T) :- requires(S,I), serves(S,I,U), any(U,T).
:- requires(S,I), any(S,T), not met(S,I,T).
:- excludes(S,U), any(S,T), any(U,T).
:- active(G,T), member(G,S), member(G,U), S < U, any(S,T), any(U,T).
some(G,T) :- active(G,T), member(G,S), any(S,T).
:- exactly(G), active(G,T), group(G,K), built(K,T), not some(G,T).

% Conditions, on the days on which they are asked for.
holds(N,T) :- want(N,T), post(N,S), any(S,T).
holds(N,T) :- want(N,T), post_by(N,S,F), in(S,F,T).
holds(N,T) :- want(N,T), all_of(N), holds(X,T) : part(N,X).
holds(N,T) :- want(N,T), any_of(N), part(N,X), holds(X,T).
holds(N,T) :- want(N,T), opposite(N,X), not holds(X,T).

% Claims: something on one day; something on some day; the same of metal, which was there to be seen.
:- on_day(C,N,T), held(C), not holds(N,T).
came_true(C,I) :- some_day(C,I,N,T), holds(N,T).
came_true(C,I) :- some_day_built(C,I,N,K,T), built(K,T), holds(N,T).
:- comes_true(C,I), held(C), not came_true(C,I).
"""

ASKED = """
% The state asked about: that of the target day, with what the workshop adds and leaves out on purpose.
now(S,F) :- in(S,F,T), target(S,T), not add(S), not leave(S).
{ now(S,production) } :- add(S), target(S,T), in(S,production,T).
{ now(S,retrospective) } :- add(S), target(S,T), has_form(S), not in(S,production,T).
now_any(S) :- now(S,F).
:- add(S), not now_any(S).
now_met(S,I) :- requires(S,I), serves(S,I,U), now_any(U).
:- rebuilt(K), slot(S,K), requires(S,I), now_any(S), not now_met(S,I).
:- rebuilt(K), slot(S,K), excludes(S,U), now_any(S), now_any(U).
:- rebuilt(K), group(G,K), active_now(G), member(G,S), member(G,U), S < U, now_any(S), now_any(U).
now_some(G) :- active_now(G), member(G,S), now_any(S).
:- rebuilt(K), group(G,K), active_now(G), exactly(G), not now_some(G).
here(N) :- ask_post(N,S), now_any(S).
here(N) :- ask_post_by(N,S,F), now(S,F).
here(N) :- ask_all(N), here(X) : ask_part(N,X).
here(N) :- ask_any(N), ask_part(N,X), here(X).
here(N) :- ask_opposite(N,X), not here(X).
outcome(N) :- ask_root(N), here(N).
"""

REPAIRED = """
{ use(K,R) } :- repair(K,R).
:- use(K,R), use(K,Q), R < Q.
repaired(K) :- use(K,R).
:- repair(K,R), not repaired(K).
gone(C) :- use(K,R), drops(K,R,C).
held(C) :- claim(C), not gone(C).
"""

FREE = """
{ held(C) } :- claim(C).
#minimize { 1@P,C : cost(C,P), not held(C) }.
#show dropped/1.
dropped(C) :- claim(C), not held(C).
#project dropped/1.
"""


def day(text, otherwise=None):
    """The number of a day, or what stands for an open end."""
    return otherwise if text is None else (datetime.date.fromisoformat(text) - EPOCH).days


def serial_key(text):
    """Series, number and suffix of a serial as written: the number is the last run of digits."""
    prefix, number, suffix = re.fullmatch(r"(.*?)(\d+)(\D*)", text.strip()).groups()
    return prefix, int(number), suffix


class Type:
    """What the dossiers say of the type and of one serial."""

    def __init__(self, entered, airframe):
        self.entered = entered
        self.airframe = airframe
        serial = airframe["serial"]
        self.serial = (serial["prefix"], serial["number"], serial["suffix"])
        self.line = self.line_number()
        self.mods = {m["number"]: m for m in entered["modifications"]}
        self.covered = {name for name, m in self.mods.items() if m["production"] and self.covers(m["production"])}
        self.leaflet = {}
        for name, m in self.mods.items():
            form = m["retrospective"]
            if form and self.eligible(form):
                self.leaflet[name] = day(form["leaflet_date"]["start"], FIRST)
        self.serving = {name: self.serves(name) for name in self.mods}
        self.positions = {p["position"]: p for p in entered["positions"]}
        self.built = day(airframe["built"]["start"]), day(airframe["built"]["end"])
        self.claims = {c["id"]: c for c in self.claims_with_policies()}

    def line_number(self):
        """Factory and line number of the serial."""
        prefix, number, suffix = self.serial
        for block in self.entered["blocks"]:
            first, last = block["first"], block["last"]
            if (prefix, suffix) == (first["prefix"], first["suffix"]) and first["number"] <= number <= last["number"]:
                return block["factory"], dict(block["lines"]).get(number)
        return None, None

    def in_range(self, text):
        """Whether the serial lies in a range as written, which may be open at one end."""
        ends = [serial_key(end) if end.strip() else None for end in text.split("..")]
        first, last = ends[0], ends[-1]
        if (first or last)[0] != self.serial[0]:
            return False
        return (first is None or first[1:] <= self.serial[1:]) and (last is None or self.serial[1:] <= last[1:])

    def in_set(self, ranges):
        """Whether the serial lies in one of the ranges that the export works out."""
        return any(
            r["prefix"] == self.serial[0]
            and (r["from"] is None or tuple(r["from"]) <= self.serial[1:])
            and (r["to"] is None or self.serial[1:] <= tuple(r["to"]))
            for r in ranges
        )

    def covers(self, form):
        """Whether a production form covers the serial; worked out from the form as written where there is one."""
        written = form["written"]
        if written is None:
            return self.in_set(form["covers"])
        factory, line = self.line
        named = (
            any(serial_key(t)[0] == self.serial[0] and serial_key(t)[1:] <= self.serial[1:] for t in written["from"])
            or any(factory == there and line is not None and line >= number for there, number in written["line"])
            or any(self.in_range(text) for text in written["ranges"])
        )
        return named and not any(self.in_range(text) for text in written["except"])

    def eligible(self, form):
        """Whether a retrospective form may be embodied on the serial."""
        written = form["written"]
        if written is None:
            return form["eligible"] is None or self.in_set(form["eligible"])
        named = written["eligible"] is None or any(self.in_range(text) for text in written["eligible"])
        return named and not any(self.in_range(text) for text in written["except"])

    def serves(self, required):
        """The modification and all that supersede it, directly or through others."""
        found = {required}
        while more := {n for n, m in self.mods.items() if n not in found and found & set(m["supersedes"])}:
            found |= more
        return found

    def claims_with_policies(self):
        """The claims, with what the assumptions assume worked out again."""
        policies = [a for a in self.airframe["assumptions"] if a["assumes"] == "unrecorded_not_embodied"]
        named = {a["id"] for a in policies}
        kept = [c for c in self.airframe["claims"] if c["id"].split(" ")[0] not in named or c["assumed"] is None]
        recorded = set()
        for claim in kept:
            (kind, what), = claim["says"].items()
            if claim["assumed"] is None and kind in ("embodied", "not_embodied", "removed"):
                recorded.add(what[0] if kind == "embodied" else what)
        for policy in policies:
            for name in self.leaflet:
                if name not in recorded and name not in self.covered:
                    kept.append({
                        "id": f"{policy['id']} {name}", "says": {"not_embodied": name}, "when": policy["when"],
                        "standing": "Doubtful", "grade": None, "assumed": policy["reason"],
                    })
        return kept

    def condition(self, when):
        """A condition as nested tuples, with the serial's own part of it worked out."""
        (kind, what), = when.items()
        if kind == "post":
            return ("post", what[0], what[1])
        if kind == "pre":
            return negate(("post", what, None))
        if kind == "serials":
            return conjunction([]) if self.in_set(what) else disjunction([])
        if kind == "not":
            return negate(self.condition(what))
        parts = [self.condition(part) for part in what]
        return conjunction(parts) if kind == "all" else disjunction(parts)

    def anywhere(self, part):
        """The part is called for at some position."""
        return disjunction([
            self.condition(c["when"]) for p in self.positions.values() for c in p["candidates"] if c["part"] == part
        ])

    def outcomes(self, name):
        """Everything that may be found at a position, with when."""
        position = self.positions[name]
        found = {}
        for candidate in position["candidates"]:
            key = f"{candidate['part']} x{candidate['quantity']}"
            found.setdefault(key, []).append(self.condition(candidate["when"]))
        found = {key: disjunction(whens) for key, whens in found.items()}
        if position["nothing_when"] is not None:
            found["nothing"] = self.condition(position["nothing_when"])
        found["gap"] = negate(disjunction(list(found.values())))
        return found

    def meaning(self, claim):
        """What a claim says: facts about days, and what it lets come out. A fact is (kind, first, last, condition)."""
        (kind, what), = claim["says"].items()
        starts, ends = claim["when"]["start"] is not None, claim["when"]["end"] is not None
        first, last = day(claim["when"]["start"], FIRST), day(claim["when"]["end"], LAST)
        at = lambda when, condition: ("on", when, when, condition)
        facts, removes = [], None
        if kind == "embodied":
            name, form = what
            if starts:
                facts.append(at(first - 1, negate(("post", name, None))))
            facts.append(at(last, ("post", name, form)) if ends else ("some", first, last, ("post", name, form)))
        elif kind == "not_embodied":
            facts.append(("some", first, last, negate(("post", what, None))))
        elif kind == "removed":
            is_in, is_out = ("post", what, None), negate(("post", what, None))
            facts.append(at(first - 1, is_in) if starts else ("some", FIRST, last - 1, is_in))
            facts.append(at(last, is_out) if ends else ("some", first, last, is_out))
            removes = what
        elif kind == "seen_at":
            position = self.positions[what[0]]
            if what[1] is None:
                seen = self.condition(position["nothing_when"])
            else:
                seen = disjunction([self.condition(c["when"]) for c in position["candidates"] if c["part"] == what[1]])
            facts.append(("seen", first, last, seen))
        elif kind == "seen_splice":
            frame, = [f for f in self.entered["frames"] if f["frame"] == what[0]]
            used = disjunction([self.anywhere(part) for part, *ends_at in frame["segments"] if what[1] in ends_at])
            facts.append(("seen", first, last, used if what[2] else negate(used)))
        else:
            plate, = [p for p in self.entered["plates"] if p["plate"] == what]
            facts.append(("seen", first, last, disjunction([self.anywhere(part) for part in plate["locates"]])))
        return facts, (removes, first, last)


def conjunction(parts):
    """All of these; one that never holds settles it."""
    parts = [part for part in parts if part != ("all", ())]
    if ("any", ()) in parts:
        return ("any", ())
    return parts[0] if len(parts) == 1 else ("all", tuple(parts))


def disjunction(parts):
    """One of these; one that always holds settles it."""
    parts = [part for part in parts if part != ("any", ())]
    if ("all", ()) in parts:
        return ("all", ())
    return parts[0] if len(parts) == 1 else ("any", tuple(parts))


def negate(condition):
    """The opposite."""
    if condition in (("all", ()), ("any", ())):
        return ("any", ()) if condition == ("all", ()) else ("all", ())
    return condition[1] if condition[0] == "not" else ("not", condition)


def named_mods(condition):
    """The modifications that a condition names."""
    if condition[0] == "post":
        return {condition[1]}
    if condition[0] == "not":
        return named_mods(condition[1])
    return set().union(*map(named_mods, condition[1]))


def fold(condition, known):
    """The condition with some modifications settled: `known` gives their form, or None for not embodied."""
    kind = condition[0]
    if kind == "post":
        _, name, form = condition
        if name not in known:
            return condition
        true = known[name] is not None and form in (None, known[name])
        return ("all", ()) if true else ("any", ())
    if kind == "not":
        return negate(fold(condition[1], known))
    parts = [fold(part, known) for part in condition[1]]
    return conjunction(parts) if kind == "all" else disjunction(parts)


class Part:
    """Modifications, rules and claims that have a bearing on each other, with the moments of time that matter."""

    def __init__(self):
        self.mods, self.rules, self.claims = [], [], []


class Ask:
    """One airframe at one date, split into parts that have no bearing on each other."""

    def __init__(self, of, ask, every_day):
        self.of = of
        self.every_day = every_day
        self.target = day(ask["date"])
        state = next((s for s in of.airframe["build_states"] if s["name"] == ask["build_state"]), None)
        self.add, self.leave = (set(state["add"]), set(state["leave_out"])) if state else (set(), set())
        self.meanings = {name: of.meaning(claim) for name, claim in of.claims.items()}
        movable = {removes for _, (removes, _, _) in self.meanings.values()} | self.add | self.leave
        self.free = {m for m in of.mods if m in movable or (m not in of.covered and m in of.leaflet)}
        self.known = {m: "production" if m in of.covered else None for m in of.mods if m not in self.free}
        self.rules = self.all_rules()
        self.parts = self.split()
        self.part_of = {m: k for k, part in enumerate(self.parts) for m in part.mods}
        for part in self.parts:
            self.lay_moments(part)

    def all_rules(self):
        """Every rule as (kind, modifications, more)."""
        rules = []
        for name, m in self.of.mods.items():
            rules += [("requires", [name, *sorted(self.of.serving[other])], None) for other in m["requires"]]
            rules += [("excludes", [name, other], None) for other in m["excludes"]]
        for group in self.of.entered["one_ofs"]:
            introduced = day(group["introduced"]["end"], LAST)
            rules.append(("one_of", group["members"], (introduced, group["exactly"])))
        return rules

    def kept(self, rule):
        """Whether a rule about settled modifications only is kept."""
        kind, mods, more = rule
        is_in = [self.known[m] is not None for m in mods]
        if kind == "requires":
            return not is_in[0] or any(is_in[1:])
        if kind == "excludes":
            return not all(is_in)
        return sum(is_in) == 1 or (sum(is_in) == 0 and not more[1])

    def split(self):
        """Joins what a rule or a claim joins."""
        above = {}

        def find(node):
            while above.setdefault(node, node) != node:
                node = above[node]
            return node

        first, last = self.of.built
        for m in self.free:
            find(("m", m))
        for index, rule in enumerate(self.rules):
            free = [m for m in rule[1] if m in self.free]
            if free or not self.kept(rule):
                find(("r", index))
                for m in free:
                    above[find(("m", m))] = find(("r", index))
        for name, (facts, (removes, *_)) in self.meanings.items():
            named = set().union(*(named_mods(fact[3]) for fact in facts)) | ({removes} if removes else set())
            find(("c", name))
            for m in named & self.free:
                above[find(("m", m))] = find(("c", name))
        parts = {}
        for node in list(above):
            part = parts.setdefault(find(node), Part())
            kind, what = node
            {"m": part.mods, "r": part.rules, "c": part.claims}[kind].append(what)
        parts = list(parts.values())
        # The build date, where it is not known to the day, joins all that happens near it.
        apart, joined = [], Part()
        for part in parts:
            if first < last and self.is_near_build(part):
                joined.mods += part.mods
                joined.rules += part.rules
                joined.claims += part.claims
            else:
                part.built = (last, last)
                apart.append(part)
        if joined.mods or joined.rules or joined.claims:
            joined.built = (first, last)
            apart.append(joined)
        return apart

    def stretches(self, part):
        """The windows of some days that the part speaks of."""
        found = []
        for name in part.claims:
            facts, (removes, first, last) = self.meanings[name]
            found += [(fact[1], fact[2]) for fact in facts if fact[0] != "on"]
            found += [(first, last)] if removes else []
        return found

    def named_days(self, part):
        """The days on which what is said of the part changes."""
        days = {self.target}
        for name in part.claims:
            for fact in self.meanings[name][0]:
                days |= {fact[1], fact[2]}
        for window in self.stretches(part):
            days |= set(window)
        days |= {self.of.leaflet[m] for m in part.mods if m in self.of.leaflet}
        days |= {self.rules[r][2][0] for r in part.rules if self.rules[r][0] == "one_of"}
        return days

    def is_near_build(self, part):
        first, last = self.of.built
        near = any(first - 1 <= d <= last + 1 for d in self.named_days(part))
        return near or any(a <= last and first <= b for a, b in self.stretches(part))

    def lay_moments(self, part):
        """Moments as (first day, last day) that each may stand for."""
        first, last = part.built
        before = first - 1
        days = {before, first, last} | {d for d in self.named_days(part) if before < d < LAST}
        windows = [(a, b) for name in part.claims for kind, a, b, _ in self.meanings[name][0] if kind != "on"]
        removals = {}
        for name in part.claims:
            _, (removes, a, b) = self.meanings[name]
            if removes:
                removals.setdefault(removes, []).append((a, b))
        if self.every_day:
            days = set(range(before, max(days) + len(windows) + len(removals) + 2))
        days = sorted(days)
        part.moments = []
        for this, following in zip(days, [*days[1:], LAST]):
            part.moments.append((this, this))
            a, b = this + 1, following - 1
            if a <= b:
                spare = sum(w[0] <= a and b <= w[1] for w in windows) + (first <= a and b <= last)
                spare += sum(any(w[0] <= a and b <= w[1] for w in of_mod) for of_mod in removals.values())
                part.moments += [(a, b)] * min(spare, b - a + 1)
        part.at = {a: t for t, (a, b) in enumerate(part.moments) if a == b}

    def program(self, ks):
        """The facts of some parts."""
        out, nodes = [], {}
        say = lambda name, *args: out.append(f"{name}({','.join(map(str, args))}).")
        self.slots = getattr(self, "slots", {})
        for k in ks:
            self.facts(k, say, nodes)
        return "\n".join(out)

    def slot(self, k, m):
        """The number of a modification in a part; settled ones have one in each part that names them."""
        return self.slots.setdefault((k, m), len(self.slots))

    def facts(self, k, say, nodes):
        part, of = self.parts[k], self.of
        first, last = part.built
        moments = list(enumerate(part.moments))
        say("timeline", k)
        for t, (a, b) in moments:
            say("moment", k, t)
            if first <= a and b <= last:
                say("may_build", k, t)
        # A day of a claim before anything can have been built is like the day before that.
        at = lambda d: part.at[max(d, first - 1)]
        within = lambda a, b: [t for t, (c, d) in moments if (a <= c and d <= b) or (t == 0 and a < first and b >= a)]
        named = set(part.mods)
        for r in part.rules:
            named |= set(self.rules[r][1])
        for name in part.claims:
            for fact in self.meanings[name][0]:
                named |= named_mods(fact[3])
        for m in sorted(named):
            s = self.slot(k, m)
            say("slot", s, k)
            say("target", s, at(self.target))
            if m in of.covered:
                say("covered", s)
            if m in part.mods and m in of.leaflet:
                say("has_form", s)
                for t, (a, _) in moments:
                    if a >= of.leaflet[m] and t > 0:
                        say("offered", s, t)
            if m in self.add:
                say("add", s)
            if m in self.leave:
                say("leave", s)
        if set(part.mods) & (self.add | self.leave):
            say("rebuilt", k)
        for r in part.rules:
            kind, mods, more = self.rules[r]
            slots = [self.slot(k, m) for m in mods]
            if kind == "requires":
                say("requires", slots[0], r)
                for s in slots[1:]:
                    say("serves", slots[0], r, s)
            elif kind == "excludes":
                say("excludes", *slots)
            else:
                say("group", r, k)
                for s in slots:
                    say("member", r, s)
                for t, (a, _) in moments:
                    if a >= more[0]:
                        say("active", r, t)
                if self.target >= more[0]:
                    say("active_now", r)
                if more[1]:
                    say("exactly", r)
        for name in part.claims:
            self.claim_facts(k, name, say, at, within, nodes)

    def claim_facts(self, k, name, say, at, within, nodes):
        """What a claim says, over the moments of its part."""
        quoted = json.dumps(name)
        claim = self.of.claims[name]
        say("claim", quoted)
        if claim["standing"] == "Firm":
            say("firm", quoted)
        say("cost", quoted, 9 if claim["standing"] == "Firm" else 8)
        say("cost", quoted, 7 - GRADES.index(claim["grade"]))
        facts, (removes, first, last) = self.meanings[name]
        for index, (kind, a, b, condition) in enumerate(facts):
            when = [at(a)] if kind == "on" else within(a, b)
            node = self.node(k, condition, when, say, nodes)
            for t in when:
                if kind == "on":
                    say("on_day", quoted, node, t)
                elif kind == "some":
                    say("some_day", quoted, index, node, t)
                else:
                    say("some_day_built", quoted, index, node, k, t)
            if kind != "on":
                say("comes_true", quoted, index)
        if removes:
            for t in within(first, last):
                say("removable", self.slot(k, removes), quoted, t)

    def node(self, k, condition, when, say, nodes):
        """A condition as a node of the program, wanted at some moments."""
        key = (k, condition)
        n = nodes.setdefault(key, len(nodes))
        for t in when:
            say("want", n, t)
        if condition[0] == "post":
            _, m, form = condition
            say(*(("post", n, self.slot(k, m)) if form is None else ("post_by", n, self.slot(k, m), form)))
        elif condition[0] == "not":
            say("opposite", n, self.node(k, condition[1], when, say, nodes))
        else:
            say("all_of" if condition[0] == "all" else "any_of", n)
            for part in condition[1]:
                say("part", n, self.node(k, part, when, say, nodes))
        return n

    def question(self, condition, say, nodes):
        """A condition on the state asked about, as a node of the program."""
        if condition in nodes:
            return nodes[condition]
        n = nodes[condition] = len(nodes)
        if condition[0] == "post":
            _, m, form = condition
            s = self.slot(self.part_of[m], m)
            say(*(("ask_post", n, s) if form is None else ("ask_post_by", n, s, form)))
        elif condition[0] == "not":
            say("ask_opposite", n, self.question(condition[1], say, nodes))
        else:
            say("ask_all" if condition[0] == "all" else "ask_any", n)
            for part in condition[1]:
                say("ask_part", n, self.question(part, say, nodes))
        return n


class Ground:
    """The rules of a ground program, as they are handed to the solver."""

    def __init__(self):
        self.rules = []

    def rule(self, choice, head, body):
        self.rules.append((choice, list(head), list(body)))

    def weight_rule(self, *_):
        raise ValueError("the program counts nothing")

    def completion(self):
        """Clauses that the answer sets satisfy and nothing else does: every atom is true if and only if a rule makes
        it so (the program is tight, so that no atom can support itself)."""
        highest = max((abs(x) for _, head, body in self.rules for x in head + body), default=0)
        clauses, bodies, support = [], {}, {}
        for choice, head, body in self.rules:
            body = tuple(sorted(set(body)))
            if not head:
                clauses.append([-x for x in body])
                continue
            if len(body) == 1:
                lit = body[0]
            else:
                if body not in bodies:
                    highest += 1
                    bodies[body] = highest
                    clauses.extend([-highest, x] for x in body)
                    clauses.append([highest, *(-x for x in body)])
                lit = bodies[body]
            for atom in head:
                support.setdefault(atom, []).append(lit)
                if not choice:
                    clauses.append([-lit, atom])
        atoms = {abs(x) for _, head, body in self.rules for x in head + body}
        clauses.extend([-atom, *support.get(atom, [])] for atom in atoms)
        return clauses, highest


def ground(*texts, options=(), observer=None):
    """A solver with this program."""
    control = clingo.Control(["--warn=none", *options])
    if observer is not None:
        control.register_observer(observer)
    control.add("base", [], "\n".join(texts))
    control.ground([("base", [])])
    return control


def satisfiable(control):
    return control.solve().satisfiable


def consequences(control, mode):
    """What some (brave) or all (cautious) answer sets show."""
    control.configuration.solve.enum_mode = mode
    control.configuration.solve.models = 0
    shown = set()
    with control.solve(yield_=True) as models:
        for model in models:
            shown = {str(symbol) for symbol in model.symbols(shown=True)}
    control.configuration.solve.enum_mode = "auto"
    control.configuration.solve.models = 1
    return shown


def best_repairs(facts):
    """All sets of claims that a best repair of one part drops; none if no dropping helps."""
    control = ground(RULES, facts, FREE, options=["--opt-mode=optN", "--project", "--models=0"])
    found = []
    with control.solve(yield_=True) as models:
        for model in models:
            if model.optimality_proven:
                found.append(sorted(symbol.arguments[0].string for symbol in model.symbols(shown=True)))
    return found


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
        if ask.add or ask.leave:
            self.reached = [k for k in self.reached if satisfiable(self.solver([k]))]
        self.counted = {}
        self.truths = {}

    def holding(self, k):
        """Which claims of a part hold, as a program."""
        if k in self.repairs:
            lines = []
            for r, dropped in enumerate(self.repairs[k]):
                lines.append(f"repair({k},{r}).")
                lines += [f"drops({k},{r},{json.dumps(name)})." for name in dropped]
            kept = [c for c in self.ask.parts[k].claims]
            return "\n".join(lines + [f"in_repair({json.dumps(c)})." for c in kept])
        claims = self.ask.parts[k].claims
        firm = lambda c: self.ask.of.claims[c]["standing"] == "Firm"
        return "\n".join(f"held({json.dumps(c)})." for c in claims if self.held or firm(c))

    def solver(self, ks, more="", observer=None):
        repaired = REPAIRED.replace("claim(C)", "in_repair(C)") if any(k in self.repairs for k in ks) else ""
        holding = "\n".join(self.holding(k) for k in ks)
        return ground(RULES, ASKED, self.ask.program(ks), holding, repaired, more, observer=observer)

    def answers(self, count):
        """Modifications, positions and counts."""
        ask, lines, nodes, roots = self.ask, ["#show now/2. #show now_any/1. #show outcome/1."], {}, {}
        say = lambda name, *args: lines.append(f"{name}({','.join(map(str, args))}).")
        reached = set(self.reached)
        self.outcomes = {}
        for name in ask.of.positions:
            for key, when in ask.of.outcomes(name).items():
                folded = fold(when, ask.known)
                self.outcomes.setdefault(name, {})[key] = folded
                parts = {ask.part_of[m] for m in named_mods(folded)}
                if named_mods(folded) and parts <= reached:
                    roots[name, key] = ask.question(folded, say, nodes)
                    say("ask_root", roots[name, key])
        self.control = self.solver(self.reached, "\n".join(lines))
        self.some = consequences(self.control, "brave")
        self.all = consequences(self.control, "cautious")
        truth = lambda atom: "yes" if atom in self.all else "open" if atom in self.some else "no"
        mods = {}
        for m in ask.of.mods:
            if m in ask.known:
                form = ask.known[m]
                mods[m] = ["yes" if x else "no" for x in (form is not None, form is not None, False)]
            elif ask.part_of[m] in reached:
                s = ask.slot(ask.part_of[m], m)
                mods[m] = [truth(f"now_any({s})"), truth(f"now({s},production)"), truth(f"now({s},retrospective)")]
            else:
                mods[m] = ["none"] * 3
        positions = {}
        for name, outcomes in self.outcomes.items():
            found = positions[name] = {}
            for key, folded in outcomes.items():
                if (name, key) in roots:
                    found[key] = truth(f"outcome({roots[name, key]})")
                elif named_mods(folded):
                    found[key] = "none"
                else:
                    found[key] = "yes" if folded == ("all", ()) else "no"
        consistent = self.consistent and len(self.reached) == len(ask.parts)
        states = 1 if consistent else 0
        for k in self.reached if consistent else []:
            states *= self.count(tuple(sorted(ask.parts[k].mods)), [])[0]
        return {
            "consistent": self.consistent,
            "modifications": mods,
            "positions": positions,
            "states": str(states) if consistent else None,
            "counts": {name: self.position_counts(name) for name in count},
            "repairs": [self.repairs[k] for k in sorted(self.repairs)] if self.held else None,
        }

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
            say = lambda name, *args: lines.append(f"{name}({','.join(map(str, args))}).")
            root = self.ask.question(condition, say, nodes)
            lines.append(f":- not here({root}).")
        observer = Ground()
        control = self.solver(ks, "\n".join(lines), observer=observer)
        clauses, highest = observer.completion()
        if [] in clauses:
            return 0
        kept, facts = set(), set()
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
