"""Schemathesis over the office's OpenAPI: no answer of 500 and above, every answer as the API says.

    check_office.py PLATEWRIGHT     the program to start; it serves a folder of its own on a free loopback port

Two passes: any request the schema can make, and requests to a job that exists, with edits of it. Both are
bounded in time, and the server is stopped whatever happens.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
API = ROOT / "crates/office/openapi.json"
DRAWINGS = ["demo/willow-bend.dxf", "demo/willow-bend.ifc", "dxf/unitless.dxf"]
CHECKS = "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance,unsupported_method"


def ask(page, method, path, body=None, typed="application/json"):
    request = urllib.request.Request(page + path, data=body, method=method, headers={"content-type": typed})
    with urllib.request.urlopen(request, timeout=60) as answer:
        return json.load(answer)


def planned(page, drawing):
    body = (ROOT / "fixtures" / drawing).read_bytes()
    name = drawing.rsplit("/", 1)[-1]
    job = ask(page, "POST", f"/api/jobs?name={name}", body, "application/octet-stream")["job"]
    for _ in range(600):
        job = ask(page, "GET", f"/api/jobs/{job['id']}")
        if job["state"] not in ("waiting", "working"):
            return job
        time.sleep(0.05)
    raise SystemExit(f"{drawing} is not planned after half a minute")


def schemathesis(page, folder, name, seconds, config, more):
    """Runs one pass in a folder of its own, since it leaves notes of its own there."""
    here = Path(folder) / name
    here.mkdir()
    (here / "schemathesis.toml").write_text(config, encoding="utf-8")
    command = [
        str(Path(sys.executable).with_name("schemathesis")), "run", str(API), "--url", page,
        "--checks", CHECKS, "--phases", "coverage,fuzzing", "--max-time", str(seconds), "--seed", "7",
        "--warnings", "off", "--request-timeout", "30", "--no-color", *more,
    ]
    print(f"schemathesis, {name}: at most {seconds} s", flush=True)
    # The names of a test are its own; nothing is sent beyond the loopback address.
    ran = subprocess.run(command, cwd=here, timeout=seconds * 3 + 60, check=False)
    return ran.returncode == 0


def main():
    program = sys.argv[1]
    with tempfile.TemporaryDirectory(prefix="platewright-office-") as folder:
        command = [program, "serve", "--no-open", "--folder", os.path.join(folder, "jobs"), "--upload-limit", "4"]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        try:
            page = server.stdout.readline().strip().rstrip("/")
            if not page.startswith("http://127.0.0.1:"):
                raise SystemExit(f"the server did not say where it listens, but {page!r}")
            jobs = [planned(page, d) for d in DRAWINGS]
            states = [j["state"] for j in jobs]
            if states != ["done", "done", "refused"]:
                raise SystemExit(f"the drawings were {states}")
            good = schemathesis(page, folder, "anything", 40, "", [])
            # Fuzzing may have deleted or changed them: begin anew.
            jobs = [planned(page, d) for d in DRAWINGS]
            for job in jobs[:1] + jobs[2:]:
                config = f'[parameters]\n"path.id" = "{job["id"]}"\n"path.old" = "{job["id"]}"\n'
                more = ["--exclude-operation-id", "deleteJob", "--exclude-operation-id", "uploadDrawing"]
                good &= schemathesis(page, folder, f"job-{job['state']}", 25, config, more)
            if server.poll() is not None:
                raise SystemExit("the server went down")
            ask(page, "GET", "/api/jobs")
        finally:
            server.terminate()
            try:
                server.wait(timeout=10)
            except subprocess.TimeoutExpired:
                server.kill()
    if not good:
        raise SystemExit("the office does not keep to its API")
    print("the office keeps to its API")


if __name__ == "__main__":
    main()
