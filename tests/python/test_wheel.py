"""The wheel: pip builds it from the folder, installs it in an environment of its own, and the notebooks run there."""

import glob
import os
import subprocess
import sys
import tempfile
import unittest
import zipfile

import bearingdsp as b
import support

PACKAGE = os.path.join(support.REPOSITORY, "libbearingdsp", "python")
BUILD = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(b.__file__))))


def run(*command, **environment):
    # Nothing of the build folder: what is imported is what was installed.
    kept = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "BEARINGDSP_MANIFEST")}
    ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd=support.REPOSITORY,
                         env={**kept, "PIP_DISABLE_PIP_VERSION_CHECK": "1", **environment})
    if ran.returncode:
        raise AssertionError(f"{' '.join(command)} ended with {ran.returncode}:\n{ran.stdout}{ran.stderr}")
    return ran.stdout


@unittest.skipUnless(os.path.exists(os.path.join(BUILD, "CMakeCache.txt")), "the module is not in a build folder")
class Wheel(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = folder.name

    @support.needs("pip")
    def test_pip_builds_installs_and_the_notebooks_run(self):
        environment = os.path.join(self.folder, "own")
        # NumPy and matplotlib are the system's: no index is asked.
        run(sys.executable, "-m", "venv", "--system-site-packages", environment)
        python = os.path.join(environment, "bin", "python")
        run(python, "-m", "pip", "wheel", "--no-index", "--no-deps", "-w", self.folder, PACKAGE, BEARINGDSP_BUILD=BUILD)
        (wheel,) = glob.glob(os.path.join(self.folder, "*.whl"))
        self.assertRegex(os.path.basename(wheel), rf"^bearingdsp-{b.__version__}-cp3\d+-cp3\d+-linux_\w+\.whl$")
        run(python, "-m", "pip", "install", "--no-index", wheel)
        said = run(python, "-c", "import bearingdsp as b; print(b.__file__, b.__version__, b.find_bearing('6205')[0].name)")
        self.assertTrue(said.startswith(environment), said)
        self.assertIn(b.__version__, said)
        self.assertIn("Requires: numpy", run(python, "-m", "pip", "show", "bearingdsp"))
        runner = os.path.join(support.REPOSITORY, "tests", "python", "run_notebook.py")
        for notebook in sorted(glob.glob(os.path.join(support.REPOSITORY, "notebooks", "*.ipynb"))):
            self.assertGreater(int(run(python, runner, notebook).split()[-2]), 0, notebook)

    def test_two_wheels_of_one_build_are_alike_and_complete(self):
        sys.path.insert(0, PACKAGE)
        self.addCleanup(sys.path.remove, PACKAGE)
        import wheel_build

        package = os.path.dirname(os.path.abspath(b.__file__))
        content = []
        for name in ("one", "two"):
            os.mkdir(os.path.join(self.folder, name))
            path = os.path.join(self.folder, name, wheel_build.packed(package, os.path.join(self.folder, name)))
            with open(path, "rb") as file:
                content.append(file.read())
            with zipfile.ZipFile(path) as archive:
                names = archive.namelist()
                metadata = archive.read(next(n for n in names if n.endswith("METADATA"))).decode()
        self.assertEqual(content[0], content[1])
        for file in ("__init__.py", "_bearingdsp.pyi", "py.typed", "errors.py", "_values.py", "_plots.py", "_reference.py"):
            self.assertIn(f"bearingdsp/{file}", names)
        self.assertEqual(sum(n.endswith(".so") for n in names), 1)
        self.assertIn(f"Version: {b.__version__}\n", metadata)
        self.assertIn("Requires-Dist: numpy>=1.21,<2\n", metadata)


if __name__ == "__main__":
    support.main()
