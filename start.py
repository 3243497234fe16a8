#!/usr/bin/env python3
"""One file to start from: needs Python 3.11 to 3.13 and nothing else.

    python3 start.py demo     install into a private environment, compute the demo laser, serve its page
    python3 start.py test     install the test tools too, run every check and every test

`python3 start.py --help` tells the rest. It writes only into this folder: `.venv`, `.cache`, `demo-bench`.
"""

# Written so that an old Python 3 can read it far enough to say that it is too old: no annotations.

import argparse
import hashlib
import json
import os
import platform
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

OLDEST, NEWEST = (3, 11), (3, 13)
ROOT = Path(__file__).resolve().parent
RUN_LOCK = "requirements.lock"
TEST_LOCK = "requirements-test.lock"
INSTALLER_LOCK = "requirements-installer.lock"
WINDOWS = os.name == "nt"
EXIT_USAGE = 2
PYTEST_NOTHING_COLLECTED = 5
COUNTED = ("passed", "failed", "error", "skipped", "xfailed", "xpassed")


class CannotGoOnError(Exception):
    """The work cannot go on; the text says why and what to do."""


# ---------------------------------------------------------------- which Python


def version_fault(version):
    """Why this Python cannot be used, or an empty text."""
    if OLDEST <= tuple(version[:2]) <= NEWEST:
        return ""
    return (
        f"This is Python {version[0]}.{version[1]}. pulsewright runs on Python "
        f"{OLDEST[0]}.{OLDEST[1]} to {NEWEST[0]}.{NEWEST[1]}. Install one of these and start again with it, "
        f"for instance: python3.{NEWEST[1]} start.py demo"
    )


def runs(path):
    """Whether a Python starts at all; a stand-in for one that is not installed does not."""
    try:
        return subprocess.call([path, "-c", ""], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) == 0
    except OSError:
        return False


def other_python(which=shutil.which, starts=runs):
    """Path of a Python of a usable version on this machine, newest first, or None."""
    for minor in range(NEWEST[1], OLDEST[1] - 1, -1):
        path = which(f"python3.{minor}")
        if path and starts(path):
            return path
    return None


def hand_over(arguments):
    """Run this file again under a usable Python; returns its exit code, or None where there is none."""
    path = other_python()
    if path is None or os.environ.get("PULSEWRIGHT_HANDED_OVER"):
        return None
    say(f"Python {sys.version_info[0]}.{sys.version_info[1]} is not usable here; going on with {path}")
    environment = dict(os.environ, PULSEWRIGHT_HANDED_OVER="1")
    return subprocess.call([path, str(ROOT / "start.py"), *arguments], env=environment)


# ---------------------------------------------------------------- saying what goes on


def say(text):
    """Print one line at once."""
    print(text, flush=True)


def run_quietly(words, command, environment, log):
    """Run a command with its output in `log`, showing how long it has taken. True if it went well."""
    live = sys.stdout.isatty()
    started = told = time.monotonic()
    print(f"  {words} ...", end="" if live else "\n", flush=True)
    with log.open("ab") as out:
        process = subprocess.Popen(
            command, stdout=out, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, env=environment, cwd=ROOT
        )
        try:
            while process.poll() is None:
                time.sleep(0.1)
                now = time.monotonic()
                if live:
                    print(f"\r  {words} ... {now - started:.0f} s", end="", flush=True)
                elif now - told >= 15:
                    told = now
                    say(f"  {words} ... {now - started:.0f} s so far")
        except BaseException:
            process.terminate()
            process.wait()
            raise
    taken = time.monotonic() - started
    outcome = "done" if process.returncode == 0 else "not done"
    print(f"{chr(13) if live else ''}  {words}: {outcome}, {taken:.1f} s", flush=True)
    return process.returncode == 0


def tail(log, lines=25):
    """The last lines of a log, for a failure."""
    text = log.read_text("utf-8", "replace") if log.exists() else ""
    return "\n".join("    " + line for line in text.splitlines()[-lines:])


# ---------------------------------------------------------------- the private environment


def environment_folder():
    """Folder of the private environment: `.venv` beside this file, or what PULSEWRIGHT_VENV names."""
    named = os.environ.get("PULSEWRIGHT_VENV")
    return Path(named).resolve() if named else ROOT / ".venv"


def python_of(folder):
    """The Python inside an environment."""
    return folder / ("Scripts/python.exe" if WINDOWS else "bin/python")


def cache_folder():
    """Where caches go when the home folder cannot hold them, and logs always."""
    folder = ROOT / ".cache"
    folder.mkdir(exist_ok=True)
    return folder


def home_is_writable():
    """Whether installers may keep their download cache in the home folder."""
    home = Path("~").expanduser()
    return home.is_dir() and os.access(home, os.W_OK)


def child_environment(folder):
    """Environment variables for everything run inside the private environment."""
    env = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "PYTHONHOME")}
    # Without byte code every start is two to three times slower.
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    env["PYTHONNOUSERSITE"] = "1"
    env["PYTHONUTF8"] = "1"
    env["VIRTUAL_ENV"] = str(folder)
    env["PATH"] = str(python_of(folder).parent) + os.pathsep + env.get("PATH", "")
    env.setdefault("PULSEWRIGHT_CACHE_DIR", str(cache_folder()))  # compiled kernels
    if not home_is_writable():
        env.setdefault("UV_CACHE_DIR", str(cache_folder() / "uv"))
        env.setdefault("PIP_CACHE_DIR", str(cache_folder() / "pip"))
    return env


def digest(*paths):
    """One SHA-256 over the contents of files."""
    total = hashlib.sha256()
    for path in paths:
        total.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return total.hexdigest()


def wanted_stamp(lock):
    """What the environment must have been made from: Python, place, lock file, project file."""
    return {
        "python": platform.python_version(),
        "machine": platform.machine(),
        "root": str(ROOT),
        "lock": lock,
        RUN_LOCK: digest(ROOT / RUN_LOCK),
        TEST_LOCK: digest(ROOT / TEST_LOCK),
        "project": digest(ROOT / "pyproject.toml"),
    }


def stamp_matches(found, wanted):
    """Whether an environment made with stamp `found` serves where `wanted` is asked for."""
    same = all(found.get(key) == wanted[key] for key in ("python", "machine", "root", RUN_LOCK, TEST_LOCK, "project"))
    return same and (found.get("lock") == wanted["lock"] or found.get("lock") == TEST_LOCK)


def read_stamp(folder):
    """The stamp of an environment; empty where there is none that can be read."""
    try:
        found = json.loads((folder / "pulsewright-stamp.json").read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def write_stamp(folder, stamp):
    """Write the stamp beside and rename it into place."""
    beside = folder / "pulsewright-stamp.new"
    beside.write_text(json.dumps(stamp, indent=1), "utf-8")
    beside.replace(folder / "pulsewright-stamp.json")


def made_by_this_python(folder):
    """Whether the environment's own Python runs and is the version that runs this file."""
    try:
        told = subprocess.run(
            [str(python_of(folder)), "-c", "import platform; print(platform.python_version())"],
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
    except (OSError, subprocess.SubprocessError):
        return False
    return told.returncode == 0 and told.stdout.strip() == platform.python_version()


def make_environment(folder, log):
    """Make an empty environment, with pip where this Python can give it."""
    if folder.exists():
        shutil.rmtree(folder)
    environment = dict(os.environ)
    if run_quietly("making a private environment", [sys.executable, "-m", "venv", str(folder)], environment, log):
        return
    uv = shutil.which("uv")
    if uv:
        shutil.rmtree(folder, ignore_errors=True)
        command = [uv, "venv", "--seed", "--python", sys.executable, str(folder)]
        if run_quietly("making it with uv instead", command, environment, log):
            return
    raise CannotGoOnError(
        "This Python cannot make a private environment. On Debian and Ubuntu its venv module is a package of its "
        f"own: install python3-venv, then start again. What was said:\n{tail(log)}"
    )


def has_pip(folder, env):
    """Whether pip runs inside the environment."""
    command = [str(python_of(folder)), "-m", "pip", "--version"]
    return subprocess.run(command, env=env, capture_output=True, check=False).returncode == 0


def find_uv(folder, env, log):
    """Command line of uv: the one on PATH, else one installed into the environment, else None."""
    on_path = shutil.which("uv")
    if on_path:
        return [on_path]
    inside = [str(python_of(folder)), "-m", "uv"]
    if subprocess.run([*inside, "--version"], env=env, capture_output=True, check=False).returncode == 0:
        return inside
    command = [str(python_of(folder)), "-m", "pip", "install", "--quiet", "--require-hashes", "--only-binary", ":all:"]
    if run_quietly("fetching a fast installer", [*command, "-r", INSTALLER_LOCK], env, log):
        return inside
    return None


def installers(folder, env, log):
    """Command lines up to `install`, best first."""
    python = str(python_of(folder))
    uv = find_uv(folder, env, log)
    if uv:
        yield "uv", [*uv, "pip", "install", "--python", python]
    if has_pip(folder, env):
        yield "pip", [python, "-m", "pip", "install", "--disable-pip-version-check", "--no-input", "--progress-bar=off"]


def install(folder, lock, env, log):
    """Install the locked set and this project into the environment, checked against the hashes."""
    count = len(re.findall(r"^[a-z0-9].*==", (ROOT / lock).read_text("utf-8"), re.MULTILINE | re.IGNORECASE))
    for name, command in installers(folder, env, log):
        locked = [*command, "--require-hashes", "--only-binary", ":all:", "-r", lock]
        if not run_quietly(f"installing up to {count} packages with {name}", locked, env, log):
            continue
        ours = [*command, "--no-deps", "--no-build-isolation", "-e", "."]
        if run_quietly("installing pulsewright itself", ours, env, log):
            return
    raise CannotGoOnError(f"The packages could not be installed. The end of {log}:\n{tail(log)}")


def byte_compile(folder, env, log):
    """Compile what was installed, so that the first start is not the slow one."""
    inside = "Lib/site-packages" if WINDOWS else f"lib/python{sys.version_info[0]}.{sys.version_info[1]}/site-packages"
    command = [str(python_of(folder)), "-m", "compileall", "-q", "-j", "0", "-x", r"[\\/]tests?[\\/]"]
    # Some packages carry files of another Python's syntax; those are compiled if ever imported.
    run_quietly("byte-compiling", [*command, str(folder / inside), "src"], env, log)


def prepare(lock):
    """The private environment, made or refreshed if it must be. Returns its folder and variables."""
    folder = environment_folder()
    env = child_environment(folder)
    wanted = wanted_stamp(lock)
    if stamp_matches(read_stamp(folder), wanted) and python_of(folder).exists():
        return folder, env
    log = cache_folder() / "install.log"
    log.write_bytes(b"")
    say(f"Preparing the private environment in {folder} (once)")
    if made_by_this_python(folder):
        (folder / "pulsewright-stamp.json").unlink(missing_ok=True)
    else:
        make_environment(folder, log)
    install(folder, lock, env, log)
    byte_compile(folder, env, log)
    write_stamp(folder, wanted)
    return folder, env


# ---------------------------------------------------------------- compiled kernels

WARM = """
import tempfile, pathlib, pulsewright as pw
with tempfile.TemporaryDirectory() as folder:
    bench = pw.new_bench(pathlib.Path(folder) / "bench", "tidewater")
    pw.open(bench).shot(interval=False)
"""


def kernel_digest():
    """One hash over the sources that hold compiled kernels: when it changes, they are compiled again."""
    package = ROOT / "src" / "pulsewright"
    return digest(*sorted([*package.glob("numerics/*.py"), *package.glob("physics/**/*_kernel.py")]))


def warm(folder, env):
    """Compile the integrators once, so that the first shot does not wait for them."""
    mark = Path(env["PULSEWRIGHT_CACHE_DIR"]) / "kernels-ready.txt"
    now = f"{platform.python_version()} {kernel_digest()}"
    if mark.exists() and mark.read_text("utf-8") == now:
        return
    log = cache_folder() / "kernels.log"
    log.write_bytes(b"")
    if not run_quietly("compiling the integrators (once)", [str(python_of(folder)), "-c", WARM], env, log):
        raise CannotGoOnError(f"The integrators could not be compiled. The end of {log}:\n{tail(log)}")
    mark.write_text(now, "utf-8")


# ---------------------------------------------------------------- the verbs of this file


def call(command, env):
    """Run a command that talks to the person; a Ctrl-C reaches it too, and we wait for its end."""
    process = subprocess.Popen(command, env=env, cwd=ROOT)
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            end_politely(process)


def end_politely(process, patience=5.0):
    """The terminal sent Ctrl-C to the child as well; where it did not end of itself, end it."""
    try:
        process.wait(timeout=patience)
    except (subprocess.TimeoutExpired, KeyboardInterrupt):
        process.terminate()


def demo(options):
    """Install, compute the demo laser, serve its page."""
    started = time.monotonic()
    folder, env = prepare(RUN_LOCK)
    warm(folder, env)
    if time.monotonic() - started > 2:
        say(f"Ready after {time.monotonic() - started:.0f} s.\n")
    command = [str(python_of(folder)), "-m", "pulsewright", "demo", str(options.bench), "--port", str(options.port)]
    command += ["--no-browser"] if options.no_browser else []
    command += ["--no-serve"] if options.no_serve else []
    return call(command, env)


def counts_in(line):
    """Test counts of one closing line of pytest, or None when the line is not one."""
    if not re.match(r"^=* ?(\d+ [a-z]+(, )?)+ in [\d.]+s", line):
        return None
    found = re.findall(r"(\d+) (passed|failed|errors?|skipped|xfailed|xpassed)\b", line)
    return {("error" if name == "errors" else name): int(number) for number, name in found}


def closing_line(totals):
    """The plain line that ends everything: what passed, failed, was not run."""
    failed = totals.get("failed", 0) + totals.get("error", 0) + totals.get("xpassed", 0)
    passed = totals.get("passed", 0) + totals.get("xfailed", 0)
    line = f"{passed} passed, {failed} failed"
    return f"{line}, {totals['skipped']} skipped" if totals.get("skipped") else line


def run_pytest(folder, env, arguments, totals):
    """Run pytest with its output passed on; adds its counts to `totals`. Returns its exit code."""
    command = [str(python_of(folder)), "-m", "pytest", *arguments]
    if sys.stdout.isatty() and not env.get("NO_COLOR"):
        command.append("--color=yes")
    process = subprocess.Popen(
        command, env=env, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
        errors="replace",
    )  # fmt: skip
    for line in process.stdout:
        print(line, end="", flush=True)
        counted = counts_in(re.sub(r"\x1b\[[0-9;]*m", "", line).strip())
        for name, number in (counted or {}).items():
            totals[name] = totals.get(name, 0) + number
    return process.wait()


def checks(python):
    """The checks that are no tests: name and command."""
    return [
        ("ruff check", [python, "-m", "ruff", "check", "."]),
        ("ruff format", [python, "-m", "ruff", "format", "--check", "."]),
        ("mypy, strict", [python, "-m", "mypy"]),
    ]


def tiers(fast):
    """The tiers of the test suite: name, pytest arguments."""
    spread = ["-n", "2", "--dist", "loadscope", "-q"]
    found = [("fast tier", ["-m", "not slow and not browser", *spread])]
    if not fast:
        found.append(("slow and browser tier", ["-m", "slow or browser", *spread]))
    return found


def test(options):
    """Every check and every test; with pytest arguments, only what they choose."""
    folder, env = prepare(TEST_LOCK)
    warm(folder, env)
    totals = {}
    if options.pytest:
        return run_pytest(folder, env, options.pytest, totals)
    results = []
    for name, command in checks(str(python_of(folder))):
        results.append(timed(name, lambda command=command: subprocess.call(command, env=env, cwd=ROOT)))
    for name, arguments in tiers(options.fast):
        results.append(timed(name, lambda arguments=arguments: run_pytest(folder, env, arguments, totals)))
    say("")
    for name, code, seconds in results:
        say(f"{name:24} {'ok' if code == 0 else 'FAILED':7} {seconds:6.1f} s")
    say(closing_line(totals))
    return 1 if any(code for _, code, _ in results) else 0


def timed(name, work):
    """Run one step under its name. Returns name, exit code, seconds."""
    say(f"\n--- {name}")
    started = time.monotonic()
    code = work()
    if code == PYTEST_NOTHING_COLLECTED:
        say(f"{name}: no test was found, which cannot be right.")
    return name, code, time.monotonic() - started


def bench(options):
    """Run the benchmarks; with --once each runs one short round, to show that it runs."""
    folder, env = prepare(TEST_LOCK)
    warm(folder, env)
    failed = []
    scripts = sorted((ROOT / "benchmarks").glob("bench_*.py"))
    if not scripts:
        raise CannotGoOnError("There is no benchmark in benchmarks/, which cannot be right.")
    for script in scripts:
        say(f"\n--- {script.name}")
        command = [str(python_of(folder)), str(script), *(["--once"] if options.once else [])]
        if subprocess.call(command, env=env, cwd=ROOT) != 0:
            failed.append(script.name)
    if failed:
        say("failed: " + ", ".join(failed))
    return 1 if failed else 0


def lock(_options):
    """Make the lock files anew: names, versions and hashes for every platform and no address."""
    uv = shutil.which("uv") or str(python_of(environment_folder()).with_name("uv"))
    common = ["--universal", "--python-version", f"{OLDEST[0]}.{OLDEST[1]}", "--generate-hashes", "--upgrade"]
    common += ["--no-emit-index-url", "--no-emit-find-links", "--no-header", "--no-annotate", "--quiet"]
    with tempfile.TemporaryDirectory() as folder:
        only_uv = Path(folder) / "installer.in"
        only_uv.write_text("uv\n", "utf-8")
        project = ["pyproject.toml", "--group", "build"]
        wanted = [
            (RUN_LOCK, project),
            (TEST_LOCK, [*project, "--group", "test", "--constraint", RUN_LOCK]),
            (INSTALLER_LOCK, [str(only_uv)]),
        ]
        for name, inputs in wanted:
            if subprocess.call([uv, "pip", "compile", *inputs, *common, "--output-file", name], cwd=ROOT) != 0:
                raise CannotGoOnError(f"{name} could not be made: uv said why, above.")
            if re.search(r"://| @ ", (ROOT / name).read_text("utf-8")):
                raise CannotGoOnError(f"{name} holds an address; it must hold names, versions and hashes only.")
            say(f"{name}: made")
    return 0


def parser():
    """The command line of this file."""
    top = argparse.ArgumentParser(prog="start.py", description=__doc__.splitlines()[0])
    verbs = top.add_subparsers(dest="verb", metavar="VERB", required=True)
    one = verbs.add_parser("demo", help="install, compute the demo laser, serve its page")
    one.add_argument("--bench", type=Path, default=ROOT / "demo-bench" / "tidewater", help="folder of the demo bench")
    one.add_argument("--port", type=int, default=0, help="port of the page (default: a free one)")
    one.add_argument("--no-browser", action="store_true", help="do not open a browser")
    one.add_argument("--no-serve", action="store_true", help="print the shot and the envelope, then end")
    one.set_defaults(run=demo)
    two = verbs.add_parser("test", help="run every check and every test; further arguments go to pytest alone")
    two.add_argument("--fast", action="store_true", help="leave out the slow and the browser tests")
    two.set_defaults(run=test, pytest=[])
    three = verbs.add_parser("bench", help="run the benchmarks")
    three.add_argument("--once", action="store_true", help="one short round each, to show that they run")
    three.set_defaults(run=bench)
    four = verbs.add_parser("lock", help="make the lock files anew (needs uv)")
    four.set_defaults(run=lock)
    return top


def main(arguments=None):
    """Run one verb; returns the exit code."""
    arguments = sys.argv[1:] if arguments is None else arguments
    fault = version_fault(sys.version_info)
    if fault:
        code = hand_over(arguments)
        if code is None:
            print(fault, file=sys.stderr)
            return EXIT_USAGE
        return code
    top = parser()
    options, rest = top.parse_known_args(arguments)
    if rest and options.verb != "test":
        top.error("unrecognized arguments: " + " ".join(rest))
    if rest:
        options.pytest = rest
    try:
        return options.run(options)
    except CannotGoOnError as stop:
        print(f"\n{stop}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
