# Sourced by tests/run.sh: says where the open datasets are. BEARINGDSP_DATASETS decides where it is set, also
# where it is set to nothing (no datasets). Otherwise the packed sets of ../shared/datasets, where that folder
# is, are unpacked into the build folder: once, and under their final name only when all of them are there.
if [ -z "${BEARINGDSP_DATASETS+set}" ] && [ -x ../shared/datasets/unpack ]; then
  if [ ! -d build/datasets ]; then
    echo "unpacking the open datasets"
    mkdir -p build
    half=$(mktemp -d build/datasets.XXXXXX)
    ../shared/datasets/unpack "$half" || {
      rm -rf "$half"
      echo "the open datasets of ../shared/datasets could not be unpacked; BEARINGDSP_DATASETS= runs without them" >&2
      exit 2
    }
    chmod 755 "$half"
    # Another run may have been quicker: its folder is as good.
    mv -T "$half" build/datasets 2>/dev/null || rm -rf "$half"
  fi
  BEARINGDSP_DATASETS=$PWD/build/datasets
fi
[ -z "${BEARINGDSP_DATASETS:-}" ] || export BEARINGDSP_DATASETS
