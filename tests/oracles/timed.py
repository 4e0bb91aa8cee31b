"""How long the solvers take for the task of one benchmark: timed.py JOB

JOB is one job of history_oracle.py, with `only`: the positions asked about (null: all). The firm claims alone are asked
about: states of all modifications, variants of the positions, and the counts that each ask names. Printed is the time in
seconds for all asks, reading of the file aside.
"""

import json
import sys
import time

from dossier import Type
from history_oracle import Basis
from timeline import Ask


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        job = json.load(file)
    airframes = {a["serial"]["text"]: a for a in job["entered"]["airframes"]}
    start = time.perf_counter()
    for asked in job["asks"]:
        of = Type(job["entered"], airframes[asked["airframe"]])
        if job["only"] is not None:
            of.asked = job["only"]
        Basis(Ask(of, asked, job["every_day"]), False).answers(asked["count"])
    print(time.perf_counter() - start)


if __name__ == "__main__":
    main()
