# One Debian package of everything that `cmake --install` lays out: `cpack -B FOLDER` in a build folder.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME bearingdsp)
set(CPACK_PACKAGE_VENDOR "bearingdsp")
set(CPACK_PACKAGE_CONTACT "bearingdsp <bearingdsp@localhost>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "${PROJECT_DESCRIPTION}")
set(CPACK_PACKAGE_DESCRIPTION
    "The tool bearingdsp and its library find out from a vibration recording whether a motor's rolling bearing is failing, which component is damaged and with what confidence, and show the trend over time.")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_VERBATIM_VARIABLES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
# Asks dpkg-shlibdeps which packages hold the libraries that the tool was linked to.
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
# The static library's user links these himself; the last is loaded by `export --out FILE.h5`.
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "libfftw3-dev, libsndfile1-dev, libsqlite3-dev, zlib1g-dev, python3-numpy, libhdf5-103-1")
include(CPack)
