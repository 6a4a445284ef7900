# Uses the library as another project would. Run by ctest as:
#   cmake -D HOW=... (and SOURCE BUILD WORK COMPILER LAUNCHER ARCHITECTURE) -P consume.cmake
# HOW = installed_static: installs BUILD (static) and moves the result away before it is used
#       build_folder:     finds BUILD itself
#       shared:           adds SOURCE as a subfolder of a project that wants shared libraries, then
#                         installs that and moves it as above
cmake_minimum_required(VERSION 3.25)
set(consumer "${CMAKE_CURRENT_LIST_DIR}")
set(compiler "-DCMAKE_CXX_COMPILER=${COMPILER}")
if(LAUNCHER)
  list(APPEND compiler "-DCMAKE_CXX_COMPILER_LAUNCHER=${LAUNCHER}")
endif()

function(run)
  execute_process(COMMAND ${ARGV} RESULT_VARIABLE code OUTPUT_VARIABLE out ERROR_VARIABLE out)
  if(NOT code EQUAL 0)
    string(REPLACE ";" " " command "${ARGV}")
    message(FATAL_ERROR "${command}\nfailed (${code}):\n${out}")
  endif()
  set(out "${out}" PARENT_SCOPE)
endfunction()

# Configures, builds and runs the consumer, handing the extra arguments to CMake.
function(run_consumer folder)
  run(${CMAKE_COMMAND} -G Ninja -S "${consumer}" -B "${folder}" ${compiler} ${ARGN})
  run(${CMAKE_COMMAND} --build "${folder}")
  run("${folder}/consumer")
endfunction()

# Installs a build folder to a prefix that is then renamed, and uses it from there in both ways.
function(use_installed build kind)
  file(REMOVE_RECURSE "${WORK}/first" "${WORK}/moved" "${WORK}/find" "${WORK}/pkg-config")
  # A library folder three levels deep, as on Debian, proves the computed depth of the .pc file.
  run(${CMAKE_COMMAND} --install "${build}" --prefix "${WORK}/first")
  file(RENAME "${WORK}/first" "${WORK}/moved")
  run_consumer("${WORK}/find" "-DCMAKE_PREFIX_PATH=${WORK}/moved")
  file(GLOB_RECURSE exported "${WORK}/moved/*.cmake" "${WORK}/moved/*.pc")
  foreach(file IN LISTS exported)
    file(READ "${file}" text)
    foreach(leak IN ITEMS "${SOURCE}" "${WORK}/first" "fmt::" "nlohmann")
      string(FIND "${text}" "${leak}" at)
      if(NOT at EQUAL -1)
        message(FATAL_ERROR "${file} names ${leak}")
      endif()
    endforeach()
  endforeach()

  file(GLOB_RECURSE pc "${WORK}/moved/*/bearingdsp.pc")
  get_filename_component(pc_folder "${pc}" DIRECTORY)
  set(ENV{PKG_CONFIG_PATH} "${pc_folder}")
  run(pkg-config --cflags --libs bearingdsp)
  string(STRIP "${out}" flags)
  separate_arguments(flags UNIX_COMMAND "${flags}")
  file(MAKE_DIRECTORY "${WORK}/pkg-config")
  run("${COMPILER}" -std=c++20 "${consumer}/main.cpp" -o "${WORK}/pkg-config/consumer" ${flags})
  get_filename_component(library_folder "${pc_folder}" DIRECTORY)
  run(${CMAKE_COMMAND} -E env "LD_LIBRARY_PATH=${library_folder}" "${WORK}/pkg-config/consumer")

  # The command-line tool runs from the moved prefix too, with no help from the environment.
  if(EXISTS "${WORK}/moved/bin/bearingdsp")
    run("${WORK}/moved/bin/bearingdsp" --version)
  elseif(kind STREQUAL "shared")
    message(FATAL_ERROR "the command-line tool was not installed")
  endif()

  # So does the Python package, where it was built: with no help but the place it was moved to.
  if(PYTHON AND kind STREQUAL "static")
    file(GLOB packages "${WORK}/moved/lib/python3*/*-packages")
    run(${CMAKE_COMMAND} -E env "PYTHONPATH=${packages}" "${PYTHON}" -c
        "import bearingdsp, os; assert bearingdsp.__file__.startswith('${packages}'), bearingdsp.__file__; \
print(bearingdsp.diagnose(bearingdsp.simulate({'duration_s': 1}).capture, bearing='6208').headline)")
  endif()
endfunction()

if(HOW STREQUAL "installed_static")
  use_installed("${BUILD}" static)
elseif(HOW STREQUAL "build_folder")
  file(REMOVE_RECURSE "${WORK}/find")
  run_consumer("${WORK}/find" "-Dbearingdsp_DIR=${BUILD}")
elseif(HOW STREQUAL "shared")
  # Kept between runs: only what changed is built again. Unoptimised, since only the packaging counts.
  run_consumer("${WORK}/subfolder" "-DBEARINGDSP_SOURCE_DIR=${SOURCE}" -DBUILD_SHARED_LIBS=ON
               -DBEARINGDSP_INSTALL=ON -DBEARINGDSP_CLI=ON
               -DCMAKE_INSTALL_LIBDIR=lib/${ARCHITECTURE})
  use_installed("${WORK}/subfolder" shared)
else()
  message(FATAL_ERROR "HOW=${HOW}")
endif()
