"""Packs a folder of inputs into one file, and unpacks it: pack.py pack FOLDER FILE, pack.py unpack FILE FOLDER.

The inputs of one target are much alike, and together take a few hundred kilobytes. The same folder gives the same bytes.
"""

import sys
import tarfile
from pathlib import Path


def plain(member):
    """Nothing of the machine or the day."""
    member.uid = member.gid = member.mtime = 0
    member.uname = member.gname = ""
    member.mode = 0o644
    return member


def main():
    match sys.argv[1:]:
        case ["pack", folder, file]:
            # What is alike is near: by length.
            inputs = sorted(Path(folder).iterdir(), key=lambda p: (p.stat().st_size, p.name))
            with tarfile.open(file, "w:xz", preset=9) as out:
                for path in inputs:
                    out.add(path, arcname=path.name, filter=plain)
        case ["unpack", file, folder]:
            with tarfile.open(file) as packed:
                packed.extractall(folder, filter="data")
        case _:
            sys.exit(__doc__)


main()
