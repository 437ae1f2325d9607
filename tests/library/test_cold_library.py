"""What a cold process loads to read a job's own labels: neither pint, rapidfuzz nor (twice) a TOML parser."""

import os
import subprocess
import sys

CODE = """
import sys
from assistant.journal.state import Named
from assistant.library.catalogue import Library
labels = {"v": Named("v", {
    "family": "varnish-polyurethane-1k", "film": "40 um", "volume_solids": "45 percent", "least": "8 degC",
    "times": [{"at": "20 degC", "touch": "45 to 60 min", "overcoat": {"min": "6 h", "max": "7 days"}}],
    "shelf": "2 years", "spreading": "12 m2/l"})}
library = Library(labels)
library.families(), library.kinds()
assert library.card("v").spread == 12.0
read = [n for n in sys.argv[1:] if n in sys.modules]
print(*read)
"""


def modules(tmp_path, *names):
    env = {
        **os.environ,
        "XDG_CACHE_HOME": str(tmp_path),
        "HOME": str(tmp_path),
        "LOCALAPPDATA": str(tmp_path),
    }
    done = subprocess.run([sys.executable, "-c", CODE, *names], capture_output=True, text=True, check=False, env=env)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_pint_and_rapidfuzz_stay_away_and_tomllib_too_once_the_cache_is_warm(tmp_path):
    assert modules(tmp_path, "pint", "rapidfuzz", "tomllib") == ["tomllib"]
    assert modules(tmp_path, "pint", "rapidfuzz", "tomllib") == []


def test_only_the_family_that_was_asked_for_is_read(tmp_path):
    modules(tmp_path)
    kept = {path.name.rsplit("-", 1)[0] for path in (tmp_path / "dabhand").rglob("*.json")}
    assert kept == {"families", "varnish-polyurethane-1k"}
