# Writes the source that compiles several test files at one go; run by the build as
#   cmake -D SOURCES=A|B -D ROOT=FOLDER -D OUTPUT=FILE -P TestsTogether.cmake
# Headers are read once and before the namespaces: every one of them has its guard.
cmake_minimum_required(VERSION 3.25)
string(REPLACE "|" ";" sources "${SOURCES}")
set(includes "")
set(bodies "")
foreach(source IN LISTS sources)
  file(STRINGS "${source}" lines REGEX "^#include ")
  list(APPEND includes ${lines})
  file(RELATIVE_PATH name "${ROOT}" "${source}")
  string(MAKE_C_IDENTIFIER "${name}" space)
  string(APPEND bodies "namespace in_${space} {\n#include \"${name}\"\n}\n")
endforeach()
list(REMOVE_DUPLICATES includes)
list(JOIN includes "\n" includes)
file(CONFIGURE OUTPUT "${OUTPUT}" CONTENT "@includes@\n@bodies@" @ONLY)
