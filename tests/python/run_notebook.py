"""Executes the code cells of a notebook in order, as a kernel would, without one.

    python3 run_notebook.py NOTEBOOK [FOLDER]

Figures that a cell shows are drawn; with FOLDER they are also written there as PNG. Ends with 1 and the
cell's number on the first error.
"""

import json
import os
import sys
import traceback


def run(path, folder=None):
    """The number of figures shown; raises what a cell raises."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    shown = 0

    def show(*_, **__):
        nonlocal shown
        for number in plt.get_fignums():
            figure = plt.figure(number)
            figure.canvas.draw()
            shown += 1
            if folder:
                stem = os.path.splitext(os.path.basename(path))[0]
                figure.savefig(os.path.join(folder, f"{stem}_{shown}.png"), dpi=80)
        plt.close("all")

    plt.show = show
    with open(path, encoding="utf-8") as file:
        notebook = json.load(file)
    names = {"__name__": "__main__"}
    for i, cell in enumerate(notebook["cells"], 1):
        if cell["cell_type"] != "code":
            continue
        source = "".join(cell["source"])
        try:
            exec(compile(source, f"{os.path.basename(path)}, cell {i}", "exec"), names)
        except BaseException:
            print(f"{path}: cell {i} failed", file=sys.stderr)
            raise
    if plt.get_fignums():
        raise AssertionError(f"{path}: a figure was never shown")
    return shown


if __name__ == "__main__":
    try:
        print(run(sys.argv[1], *sys.argv[2:3]), "figures")
    except BaseException:
        traceback.print_exc()
        sys.exit(1)
