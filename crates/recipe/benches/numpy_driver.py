"""Times the reference's batched NumPy solver on request, for `engine_speed`.

    python3 numpy_driver.py FOLDER     (a scratch copy of the reference folder)

Reads "lights size target" lines, answers with the CPU seconds of one solve. Nothing of the
reference is in this file: its modules are imported from FOLDER.
"""
import sys
import time

sys.path.insert(0, sys.argv[1])
import numpy as np
from ref_inverse import ILLUMINANTS, Problem, all_combos, batch_solve
from ref_model import Cloth

cloth = Cloth.build()
mix = lambda owf, dyes: ("R", cloth.reflectance(np.array(owf), np.array(dyes)))
targets = [mix([.6, .35, .25], [2, 9, 17]), mix([1.2, 2.0, 2.5], [3, 8, 18]),
           ("Lab", [45., -25., -12.]), ("Lab", [55., 75., 55.])]

for line in sys.stdin:
    if line.strip() == "stop":
        break
    lights, size, target = map(int, line.split())
    problem = Problem(cloth, ILLUMINANTS[:lights])
    kind, value = targets[target]
    colours, start = (problem.target_from_reflectance(value) if kind == "R"
                      else problem.target_from_lab(value))
    sets, _ = all_combos(24, size)
    begun = time.process_time()
    batch_solve(problem, colours, start, sets, iters=40, tol=1e-4)
    print(time.process_time() - begun, flush=True)
