#!/usr/bin/env bash
# The Python package: makes the wheel, installs it in an environment of its own and tests it there. Needs Python 3.11 or later.
# check.sh [FOLDER]: out/python when left out; the wheel stays in FOLDER/wheels. PROFILE=dev builds quicker, for a look.
set -euo pipefail
cd "$(dirname "$0")"
root=$(cd ../.. && pwd)
out=$(realpath -m "${1:-$root/out/python}")
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$root/target}
# maturin and the tests see the same folder wherever they run from.
CARGO_TARGET_DIR=$(cd "$root" && realpath -m "$CARGO_TARGET_DIR")
profile=${PROFILE:-release}
program=$CARGO_TARGET_DIR/${profile/dev/debug}/platewright

cargo build --profile "$profile" --locked --quiet -p platewright
if [ ! -x "$out/venv/bin/python" ]; then
    python3 -m venv "$out/venv"
fi
python=$out/venv/bin/python
"$python" -m pip install --quiet --disable-pip-version-check -r requirements.txt

rm -rf "$out/wheels"
"$python" -m maturin build --profile "$profile" --locked --quiet --out "$out/wheels"
"$python" -m pip install --quiet --disable-pip-version-check --no-index --no-deps --force-reinstall "$out"/wheels/*.whl

# The types: the example as a stranger would check it, the package's own Python, the stubs against what is there.
"$python" -m mypy --strict --no-incremental examples
"$python" -m mypy --strict --no-incremental python/platewright
(cd "$out" && "$python" -m mypy.stubtest platewright)

PLATEWRIGHT=$program "$python" -m pytest -q -p no:cacheprovider tests

# The example, and the guide's page that shows it.
"$python" examples/plan_a_house.py "$root/fixtures/demo/willow-bend.dxf" "$root/fixtures/demo/demo.toml" "$out/demo"
"$program" plan "$root/fixtures/demo/willow-bend.dxf" --settings "$root/fixtures/demo/demo.toml" \
    --project "Willow Bend" -o "$out/demo-program" >/dev/null 2>&1
diff -r "$out/demo" "$out/demo-program"
"$python" - "$root/docs/guide/python.md" examples/plan_a_house.py <<'PYTHON'
import sys
page, example = (open(name, encoding="utf-8").read() for name in sys.argv[1:])
shown = page.split("```python\n")[-1].split("```")[0]
assert shown == example, "docs/guide/python.md does not show examples/plan_a_house.py as it is"
PYTHON
