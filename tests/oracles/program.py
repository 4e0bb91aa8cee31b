"""The logic program that says what a history is, and the solvers that are asked about it."""

import clingo

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
held(C) :- in_repair(C), not gone(C).
"""

FREE = """
{ held(C) } :- claim(C).
#minimize { 1@P,C : cost(C,P), not held(C) }.
#show dropped/1.
dropped(C) :- claim(C), not held(C).
#project dropped/1.
"""


def statement(name, *args):
    """One statement of the program: a fact."""
    return f"{name}({','.join(map(str, args))})."


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
    symbols = []
    with control.solve(yield_=True) as models:
        for model in models:
            symbols = model.symbols(shown=True)
    control.configuration.solve.enum_mode = "auto"
    control.configuration.solve.models = 1
    return {str(symbol) for symbol in symbols}


def best_repairs(facts):
    """All sets of claims that a best repair of one part drops; none if no dropping helps."""
    control = ground(RULES, facts, FREE, options=["--opt-mode=optN", "--project", "--models=0"])
    found = []
    with control.solve(yield_=True) as models:
        for model in models:
            if model.optimality_proven:
                found.append(sorted(symbol.arguments[0].string for symbol in model.symbols(shown=True)))
    return found
