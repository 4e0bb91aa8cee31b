"""What the dossiers say, read from the JSON of `modstate records`: serials, forms, claims and conditions, worked out
again from what was written."""

import datetime
import re

FIRST, LAST = -(10**9), 10**9
EPOCH = datetime.date(1970, 1, 1)


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
        self.asked = list(self.positions)
        self.fitted = {entered["airframe_part"]: conjunction([])}
        self.places = {}
        for p in entered["positions"]:
            for c in p["candidates"]:
                self.places.setdefault(c["part"], []).append((c["when"], p["assembly"]))
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
        return disjunction([self.condition(when) for when, _ in self.places.get(part, [])])

    def around(self, assembly):
        """When an assembly is fitted: the airframe always, others where they are called for in one that is."""
        if assembly not in self.fitted:
            # Nothing is fitted for being called for in itself.
            self.fitted[assembly] = disjunction([])
            self.fitted[assembly] = disjunction([
                conjunction([self.condition(when), self.around(into)]) for when, into in self.places.get(assembly, [])
            ])
        return self.fitted[assembly]

    def outcomes(self, name):
        """Everything that may be the case at a position, with when."""
        position = self.positions[name]
        found = {}
        for candidate in position["candidates"]:
            key = f"{candidate['part']} x{candidate['quantity']}"
            found.setdefault(key, []).append(self.condition(candidate["when"]))
        found = {key: disjunction(whens) for key, whens in found.items()}
        if position["nothing_when"] is not None:
            found["nothing"] = self.condition(position["nothing_when"])
        found["gap"] = negate(disjunction(list(found.values())))
        around = self.around(position["assembly"])
        return {key: conjunction([when, around]) for key, when in found.items()} | {"no assembly": negate(around)}

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
