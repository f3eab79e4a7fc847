# For run.sh and smoke.sh: what each target starts from, and its dictionary. Sets the arrays `seeds` and `flags`.

targets=(dxf_bytes step_bytes plan_from_dxf plan_from_ifc settings_toml manifest_csv overrides_toml walls_to_proof)

seeds_of() {
    seeds=() flags=()
    case $1 in
    dxf_bytes | plan_from_dxf)
        seeds=(../fixtures/dxf ../fixtures/demo ../fixtures/guide)
        flags=(-dict=dictionaries/dxf.dict)
        ;;
    step_bytes | plan_from_ifc)
        seeds=(../fixtures/ifc ../fixtures/demo)
        flags=(-dict=dictionaries/step.dict)
        ;;
    # Long texts are slow, and say nothing that short ones do not: limits on size have tests of their own.
    settings_toml) seeds=(../fixtures/demo) flags=(-dict=dictionaries/settings.dict -max_len=4096) ;;
    manifest_csv) seeds=(../fixtures/guide) flags=(-dict=dictionaries/manifest.dict -max_len=4096) ;;
    overrides_toml) flags=(-dict=dictionaries/overrides.dict -max_len=4096) ;;
    walls_to_proof) flags=(-max_len=1024 -len_control=0) ;;
    *)
        echo "no target $1; there are: ${targets[*]}" >&2
        return 2
        ;;
    esac
    if [ -d "corpus/$1" ]; then
        seeds+=("corpus/$1")
    fi
}

# Real drawings beside this checkout; read in place.
shared_seeds_of() {
    local folder=../../shared/corpus
    case $1 in
    dxf_bytes | plan_from_dxf) folder=$folder/dxf ;;
    step_bytes | plan_from_ifc) folder=$folder/ifc ;;
    *) return 0 ;;
    esac
    if [ -d "$folder" ]; then
        seeds+=("$folder")
    else
        echo "no shared corpus beside this checkout: own inputs only" >&2
    fi
}

# Unpacks what was found and saved of a target (see save.sh) into a folder, and adds it to `seeds`.
found_of() {
    mkdir -p "$2"
    if [ -f "corpus/found/$1.tar.xz" ]; then
        python3 pack.py unpack "corpus/found/$1.tar.xz" "$2"
        seeds+=("$2")
    fi
}
