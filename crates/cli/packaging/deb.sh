#!/usr/bin/env bash
# Makes the Debian package of the command-line program and tries it: deb.sh [FOLDER], out/deb when left out. PROFILE=dev takes
# the unoptimised program, for a look; BUILT=FOLDER takes what is built in that target folder already, such as reproducible.sh's.
#
# Needs the release binary (it is built where it is missing), Python 3, and from Debian dpkg-deb and binutils. The same
# commit and the same binary give the same bytes. Installs into a folder, not into this machine.
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=$(realpath -m "${1:-out/deb}")
target=${CARGO_TARGET_DIR:-target}
for tool in dpkg-deb dpkg objdump strip; do
    if ! command -v $tool >/dev/null; then
        echo "skipped: $tool is missing; the package is made on Debian, with dpkg and binutils"
        exit 0
    fi
done

profile=${PROFILE:-release}
if [ -n "${BUILT:-}" ]; then
    target=$BUILT
else
    cargo build --profile "$profile" --locked --quiet -p platewright
    # The whole workspace's choice of features, as the tests have built it.
    cargo build --workspace --locked --quiet --example write-manual
fi
built=$target/${profile/dev/debug}/platewright
version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -n 1)
architecture=$(dpkg --print-architecture)
# The commit's own day, so that no clock is in the package.
SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || echo 1767225600)}
export SOURCE_DATE_EPOCH
day=$(LC_ALL=C date -u -R -d "@$SOURCE_DATE_EPOCH")

umask 022
rm -rf "$out"
tree=$out/tree
doc=$tree/usr/share/doc/platewright
mkdir -p "$tree/DEBIAN" "$tree/usr/bin" "$doc/examples"

install -m 755 "$built" "$tree/usr/bin/platewright"
strip --remove-section=.comment --remove-section=.note "$tree/usr/bin/platewright"

"$target/debug/examples/write-manual" "$out/manual"
mkdir -p "$tree/usr/share/man/man1"
for page in "$out"/manual/man1/*.1; do
    gzip -9n <"$page" >"$tree/usr/share/man/man1/$(basename "$page").gz"
done
install -Dm 644 "$out/manual/completions/platewright.bash" "$tree/usr/share/bash-completion/completions/platewright"
install -Dm 644 "$out/manual/completions/_platewright" "$tree/usr/share/zsh/vendor-completions/_platewright"
install -Dm 644 "$out/manual/completions/platewright.fish" "$tree/usr/share/fish/vendor_completions.d/platewright.fish"

install -m 644 README.md "$doc/README.md"
mkdir -p "$doc/guide"
install -m 644 docs/guide/*.md "$doc/guide/"
install -m 644 fixtures/demo/demo.toml fixtures/demo/willow-bend.dxf fixtures/demo/willow-bend.ifc "$doc/examples/"
python3 crates/cli/packaging/bill.py sbom "$doc/platewright.cdx.json"
python3 crates/cli/packaging/bill.py licences "$out/third-party.txt"
gzip -9n <"$out/third-party.txt" >"$doc/third-party.txt.gz"
gzip -9n <<CHANGELOG >"$doc/changelog.gz"
platewright ($version) unstable; urgency=medium

  * Version $version; what changed is in the project's history.

 -- The platewright authors <platewright@localhost>  $day
CHANGELOG
cat >"$doc/copyright" <<COPYRIGHT
Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/
Upstream-Name: platewright
Comment: The licences of the software of others that is in the program are in third-party.txt.gz beside this file.

Files: *
Copyright: the platewright authors
License: Apache-2.0 or Expat

License: Apache-2.0
 On Debian systems the text is in /usr/share/common-licenses/Apache-2.0.

License: Expat
$(tail -n +5 LICENSE-MIT | sed -e 's/^$/./' -e 's/^/ /')
COPYRIGHT

# The newest C library symbol the program asks for is the oldest C library it runs with.
glibc=$(objdump -T "$tree/usr/bin/platewright" | grep -o 'GLIBC_[0-9.]*' | sort -Vu | tail -n 1)
cat >"$tree/DEBIAN/control" <<CONTROL
Package: platewright
Version: $version
Architecture: $architecture
Maintainer: The platewright authors <platewright@localhost>
Section: science
Priority: optional
Installed-Size: $(du -sk --apparent-size "$tree/usr" | cut -f 1)
Depends: libc6 (>= ${glibc#GLIBC_}), libgcc-s1 (>= 4.2)
Description: Plans wall plates from an architect's DXF or IFC drawing
 Reads the walls of a drawing, builds their wall graph, plans bottom, lower and
 upper plates with laps, notches, studs and nails, chooses the boards to buy,
 proves its own plan and writes cut lists and a report.
 .
 The plan is an aid, not a design: the adopted local code, the stamped drawings
 and the building official decide.
CONTROL
(cd "$tree" && find usr -type f -print0 | LC_ALL=C sort -z | xargs -0 md5sum) >"$tree/DEBIAN/md5sums"
find "$tree" -exec touch --no-dereference --date "@$SOURCE_DATE_EPOCH" {} +
# gzip: a tenth of the time of xz.
package=$out/platewright_${version}_$architecture.deb
dpkg-deb --root-owner-group -Zgzip --build "$tree" "$package" >/dev/null

# Unpacked as dpkg would, it must work by itself.
root=$out/root
mkdir -p "$root"
dpkg-deb --extract "$package" "$root"
program=$root/usr/bin/platewright
test "$("$program" --version)" = "platewright $version"
(cd "$root/usr/share/doc/platewright/examples" && "$program" plan willow-bend.dxf --settings demo.toml -o "$out/demo" 2>/dev/null | tail -n 1)
"$built" plan fixtures/demo/willow-bend.dxf --settings fixtures/demo/demo.toml -o "$out/demo-again" >/dev/null 2>&1
diff -r "$out/demo" "$out/demo-again"
gzip -dc "$root/usr/share/man/man1/platewright.1.gz" | grep -q '^\.TH platewright 1'
bash -n "$root/usr/share/bash-completion/completions/platewright"
if command -v lintian >/dev/null; then
    # Not for Debian's own archive: no bug number is closed, there is no address to write to, and the licence names no year.
    beside=initial-upload-closes-no-bugs,bogus-mail-host,bogus-mail-host-in-debian-changelog,copyright-without-copyright-notice
    lintian --fail-on error,warning --suppress-tags "$beside" "$package"
else
    echo "lintian is not installed; its look at the package is left out"
fi
rm -rf "$tree" "$root"
echo "$package"
