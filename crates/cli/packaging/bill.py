#!/usr/bin/env python3
"""What the program is made of, from `cargo metadata`: a CycloneDX bill of materials, and the licences that go with it.

    bill.py sbom OUT.json         the bill, CycloneDX 1.6; the same Cargo.lock gives the same bytes
    bill.py licences OUT.txt      the licence texts of every crate that is linked into the program, equal texts once

Both count what is linked into `platewright` on this platform: normal dependencies, no tests, no build scripts' own.
"""

import hashlib
import json
import re
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
PROGRAM = "platewright"
REGISTRY = "registry+https://github.com/rust-lang/crates.io-index"
LICENCE_FILE = re.compile(r"(?i)^(licen[sc]e|copying|copyright|notice|unlicense)([-._].*)?$")
# Files of ours that are not ours: what is embedded in the program beside crates.
EMBEDDED = {"DejaVu Sans Condensed (letters of the sheets)": "crates/sheets/fonts/LICENSE.txt"}


def cargo(*args):
    ran = subprocess.run(["cargo", *args], cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True)
    return ran.stdout


def linked():
    """The packages linked into the program, by name and version, each with the ids it depends on."""
    host = re.search(r"^host: (.*)$", subprocess.check_output(["rustc", "-vV"], text=True), re.M).group(1)
    metadata = json.loads(cargo("metadata", "--format-version", "1", "--locked", "--filter-platform", host))
    packages = {p["id"]: p for p in metadata["packages"]}
    nodes = {n["id"]: n for n in metadata["resolve"]["nodes"]}
    root = next(i for i, p in packages.items() if p["name"] == PROGRAM and p["source"] is None)
    edges, waiting = {}, [root]
    while waiting:
        package = waiting.pop()
        if package in edges:
            continue
        deps = nodes[package]["deps"]
        edges[package] = [d["pkg"] for d in deps if any(k["kind"] is None for k in d["dep_kinds"])]
        # A procedural macro runs in the compiler; what it depends on is not linked either.
        edges[package] = [d for d in edges[package] if not is_macro(packages[d])]
        waiting.extend(edges[package])
    order = sorted(edges, key=lambda i: (packages[i]["name"], packages[i]["version"]))
    return packages, root, {i: edges[i] for i in order}


def is_macro(package):
    return any("proc-macro" in target["kind"] for target in package["targets"])


def checksums():
    """SHA-256 of every crate from the registry, as Cargo.lock has them."""
    import tomllib

    lock = tomllib.loads((ROOT / "Cargo.lock").read_text(encoding="utf-8"))
    return {(p["name"], p["version"]): p.get("checksum") for p in lock["package"]}


def reference(package):
    return f"pkg:cargo/{package['name']}@{package['version']}"


def component(package, sums):
    found = {
        "type": "library",
        "bom-ref": reference(package),
        "name": package["name"],
        "version": package["version"],
        "licenses": [{"expression": package["license"].replace("/", " OR ").replace("  ", " ")}],
    }
    checksum = sums.get((package["name"], package["version"]))
    if package["source"] is not None:
        if package["source"] != REGISTRY or checksum is None:
            sys.exit(f"{package['name']} comes from {package['source']}, without a checksum")
        found["purl"] = reference(package)
        found["hashes"] = [{"alg": "SHA-256", "content": checksum}]
    if package["description"]:
        found["description"] = " ".join(package["description"].split())
    return found


def sbom():
    packages, root, edges = linked()
    sums = checksums()
    program = component(packages[root], sums) | {"type": "application"}
    bill = {
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {"component": program},
        "components": [component(packages[i], sums) for i in edges if i != root],
        "dependencies": [
            {"ref": reference(packages[i]), "dependsOn": sorted(reference(packages[d]) for d in deps)}
            for i, deps in edges.items()
        ],
    }
    # A serial number that is a function of the bill, not of the day.
    digest = hashlib.sha256(json.dumps(bill, sort_keys=True).encode()).hexdigest()
    serial = f"{digest[:8]}-{digest[8:12]}-8{digest[13:16]}-8{digest[17:20]}-{digest[20:32]}"
    bill["serialNumber"] = f"urn:uuid:{serial}"
    return json.dumps(bill, indent=1, ensure_ascii=False) + "\n"


def licences():
    packages, _, edges = linked()
    texts, without = defaultdict(list), []
    for package in (packages[i] for i in edges if packages[i]["source"] is not None):
        folder = Path(package["manifest_path"]).parent
        name = f"{package['name']} {package['version']} ({package['license']})"
        files = sorted(f for f in folder.iterdir() if f.is_file() and LICENCE_FILE.match(f.name))
        if not files:
            without.append(f"{name}, {', '.join(package['authors']) or 'its authors'}")
        for file in files:
            texts[file.read_text(encoding="utf-8", errors="replace").strip()].append(name)
    for name, file in EMBEDDED.items():
        texts[(ROOT / file).read_text(encoding="utf-8").strip()].append(name)
    out = ["Software of others that is in platewright, and the terms it is under.\n"]
    for text, names in sorted(texts.items(), key=lambda item: (-len(item[1]), item[1])):
        out.append("-" * 78 + "\n" + "\n".join(sorted(set(names))) + "\n" + "-" * 78 + f"\n\n{text}\n")
    if without:
        out.append("-" * 78 + "\nUnder the terms named, with no text of their own in their package:\n")
        out.extend(without)
    return "\n".join(out) + "\n"


if __name__ == "__main__":
    what = {"sbom": sbom, "licences": licences}.get(sys.argv[1] if len(sys.argv) == 3 else "")
    if what is None:
        sys.exit(__doc__)
    Path(sys.argv[2]).write_text(what(), encoding="utf-8")
