"""One airframe at one date: its modifications, rules and claims, split into parts that have no bearing on each other,
with the moments of time that matter to each, as facts of the logic program."""

import json

from dossier import LAST, day, named_mods
from program import statement

GRADES = ["A", "B", "C", "D", None]


def adding_to(out):
    """A function that adds one fact of the program."""
    return lambda name, *args: out.append(statement(name, *args))


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
        self.slots = {}
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
        for k in ks:
            self.facts(k, out, nodes)
        return "\n".join(out)

    def slot(self, k, m):
        """The number of a modification in a part; settled ones have one in each part that names them."""
        return self.slots.setdefault((k, m), len(self.slots))

    def facts(self, k, out, nodes):
        """The facts of one part."""
        say = adding_to(out)
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
            self.claim_facts(k, name, out, at, within, nodes)

    def claim_facts(self, k, name, out, at, within, nodes):
        """What a claim says, over the moments of its part."""
        say = adding_to(out)
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
            node = self.node(k, condition, when, out, nodes)
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

    def node(self, k, condition, when, out, nodes):
        """A condition as a node of the program, wanted at some moments."""
        say = adding_to(out)
        key = (k, condition)
        n = nodes.setdefault(key, len(nodes))
        for t in when:
            say("want", n, t)
        if condition[0] == "post":
            _, m, form = condition
            say(*(("post", n, self.slot(k, m)) if form is None else ("post_by", n, self.slot(k, m), form)))
        elif condition[0] == "not":
            say("opposite", n, self.node(k, condition[1], when, out, nodes))
        else:
            say("all_of" if condition[0] == "all" else "any_of", n)
            for part in condition[1]:
                say("part", n, self.node(k, part, when, out, nodes))
        return n

    def question(self, condition, out, nodes):
        """A condition on the state asked about, as a node of the program."""
        say = adding_to(out)
        if condition in nodes:
            return nodes[condition]
        n = nodes[condition] = len(nodes)
        if condition[0] == "post":
            _, m, form = condition
            s = self.slot(self.part_of[m], m)
            say(*(("ask_post", n, s) if form is None else ("ask_post_by", n, s, form)))
        elif condition[0] == "not":
            say("ask_opposite", n, self.question(condition[1], out, nodes))
        else:
            say("ask_all" if condition[0] == "all" else "ask_any", n)
            for part in condition[1]:
                say("ask_part", n, self.question(part, out, nodes))
        return n
