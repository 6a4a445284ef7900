"""Builds the wheel of the Python package: the hooks that pip calls (PEP 517), on CMake and the standard library.

    pip install ./libbearingdsp/python
    pip wheel --no-deps -w FOLDER ./libbearingdsp/python

BEARINGDSP_BUILD names a configured build folder of the same interpreter to take; otherwise one is made for the call and removed.
The module needs the shared libraries of Debian that the tool needs (FFTW, libsndfile, SQLite ...): it is a wheel for this
machine and its like, not for every Linux.
"""

import base64
import hashlib
import os
import re
import subprocess
import sys
import sysconfig
import tempfile
import zipfile

HERE = os.path.dirname(os.path.abspath(__file__))
TOP = os.path.dirname(os.path.dirname(HERE))
# Time stamp of the entries, so that two builds of one source are alike.
STAMP = (1980, 1, 1, 0, 0, 0)


def get_requires_for_build_wheel(config_settings=None):
    return []


def version():
    """The version of the project, which CMakeLists.txt decides."""
    with open(os.path.join(TOP, "CMakeLists.txt"), encoding="utf-8") as file:
        found = re.search(r"^\s*VERSION\s+([0-9.]+)", file.read(), re.MULTILINE)
    if not found:
        sys.exit(f"{TOP}/CMakeLists.txt: no VERSION of the project; build from a checkout of the repository")
    return found[1]


def project():
    """Values of [project] in pyproject.toml that the metadata repeats."""
    with open(os.path.join(HERE, "pyproject.toml"), encoding="utf-8") as file:
        text = file.read()
    one = {key: re.search(rf'^{key} = "(.*)"$', text, re.MULTILINE)[1] for key in ("name", "description", "requires-python")}
    needs = re.search(r"^dependencies = \[(.*)\]$", text, re.MULTILINE)[1]
    extras = re.search(r"^\[project.optional-dependencies\]\n((?:.+\n?)*)", text, re.MULTILINE)[1]
    return one, re.findall(r'"([^"]+)"', needs), re.findall(r'^(\w+) = \["([^"]+)"\]$', extras, re.MULTILINE)


def metadata():
    one, needs, extras = project()
    lines = ["Metadata-Version: 2.1", f"Name: {one['name']}", f"Version: {version()}", f"Summary: {one['description']}",
             "License: GPL-3.0-or-later", f"Requires-Python: {one['requires-python']}"]
    lines += [f"Requires-Dist: {need}" for need in needs]
    for name, need in extras:
        lines += [f"Provides-Extra: {name}", f'Requires-Dist: {need}; extra == "{name}"']
    return "\n".join(lines) + "\n"


def tag():
    python = f"cp{sys.version_info.major}{sys.version_info.minor}"
    return f"{python}-{python}-" + re.sub("[^0-9a-zA-Z_]", "_", sysconfig.get_platform())


def run(*command):
    done = subprocess.run(command, check=False)
    if done.returncode:
        sys.exit(f"{' '.join(command[:3])} ... failed; the packages that a build needs are listed in tests/prepare.sh")


def built(folder):
    """Builds the module in the folder and returns that of the package."""
    if not os.path.exists(os.path.join(folder, "CMakeCache.txt")):
        run("cmake", "-S", TOP, "-B", folder, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Release", "-DBEARINGDSP_PYTHON=ON",
            "-DBEARINGDSP_CLI=OFF", f"-DPython_EXECUTABLE={sys.executable}")
    run("cmake", "--build", folder, "--target", "bearingdsp_python")
    return os.path.join(folder, "python", "bearingdsp")


def packed(package, wheel_directory):
    stem = f"bearingdsp-{version()}"
    info = f"{stem}.dist-info"
    name = f"{stem}-{tag()}.whl"
    record = []

    def add(archive, path, content):
        entry = zipfile.ZipInfo(path, STAMP)
        entry.external_attr = 0o644 << 16
        entry.compress_type = zipfile.ZIP_DEFLATED
        archive.writestr(entry, content)
        digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
        record.append(f"{path},sha256={digest},{len(content)}")

    with zipfile.ZipFile(os.path.join(wheel_directory, name), "w") as archive:
        for file in sorted(os.listdir(package)):
            path = os.path.join(package, file)
            if os.path.isfile(path) and (file.endswith((".py", ".pyi", ".so")) or file == "py.typed"):
                with open(path, "rb") as content:
                    add(archive, f"bearingdsp/{file}", content.read())
        add(archive, f"{info}/METADATA", metadata().encode())
        add(archive, f"{info}/WHEEL", f"Wheel-Version: 1.0\nGenerator: wheel_build\nRoot-Is-Purelib: false\nTag: {tag()}\n".encode())
        with open(os.path.join(TOP, "LICENSE"), "rb") as content:
            add(archive, f"{info}/LICENSE", content.read())
        archive.writestr(zipfile.ZipInfo(f"{info}/RECORD", STAMP), "\n".join(record + [f"{info}/RECORD,,"]) + "\n")
    return name


def build_wheel(wheel_directory, config_settings=None, metadata_directory=None):
    given = os.environ.get("BEARINGDSP_BUILD")
    if given:
        return packed(built(os.path.abspath(given)), wheel_directory)
    with tempfile.TemporaryDirectory() as folder:
        return packed(built(folder), wheel_directory)
