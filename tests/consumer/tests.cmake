# One ctest for each way of using the library; see consume.cmake.
set(python "")
if(TARGET bearingdsp_python)
  set(python $<TARGET_FILE:Python::Interpreter>)
endif()
foreach(how IN ITEMS installed_static build_folder shared)
  if(NOT how STREQUAL "shared" AND BUILD_SHARED_LIBS)
    continue() # the other two are about the static library that the presets build
  endif()
  add_test(
    NAME "consumer: ${how}"
    COMMAND
      ${CMAKE_COMMAND} -D HOW=${how} -D SOURCE=${PROJECT_SOURCE_DIR} -D BUILD=${PROJECT_BINARY_DIR} -D
      WORK=${CMAKE_CURRENT_BINARY_DIR}/consumer_${how} -D COMPILER=${CMAKE_CXX_COMPILER} -D
      LAUNCHER=${CMAKE_CXX_COMPILER_LAUNCHER} -D ARCHITECTURE=${CMAKE_LIBRARY_ARCHITECTURE} -D PYTHON=${python} -P ${CMAKE_CURRENT_LIST_DIR}/consume.cmake)
  set_tests_properties("consumer: ${how}" PROPERTIES LABELS install TIMEOUT ${hangs} COST 300)
endforeach()
if(NOT BUILD_SHARED_LIBS)
  add_test(NAME "package: the same twice, complete, and it runs"
           COMMAND ${CMAKE_COMMAND} -D BUILD=${PROJECT_BINARY_DIR} -D CMAKE_CPACK_COMMAND=${CMAKE_CPACK_COMMAND} -D
                   WORK=${CMAKE_CURRENT_BINARY_DIR}/package -D PYTHON=${python} -P ${CMAKE_CURRENT_LIST_DIR}/package.cmake)
  set_tests_properties("package: the same twice, complete, and it runs" PROPERTIES LABELS install TIMEOUT ${hangs}
                       SKIP_REGULAR_EXPRESSION "^skipped" FIXTURES_SETUP package)

  if(TARGET bearingdsp_cli)
    # The tarball is built for an older C library, and used with it.
    set(here "${CMAKE_CURRENT_LIST_DIR}")
    set(tarball "${CMAKE_CURRENT_BINARY_DIR}/tarball")
    add_test(NAME "tarball: complete, the same twice, and it runs with glibc 2.31"
             COMMAND sh "${here}/tarball.sh" ${PROJECT_SOURCE_DIR} ${PROJECT_BINARY_DIR} "${tarball}" $<TARGET_FILE:bearingdsp_cli>)
    set_tests_properties("tarball: complete, the same twice, and it runs with glibc 2.31"
                         PROPERTIES LABELS install TIMEOUT ${hangs} COST 60 RESOURCE_LOCK build_folder SKIP_RETURN_CODE 77
                                    FIXTURES_SETUP tarball)
    # A new user on a bare machine. Fetching and setting up two systems takes minutes, so these run on demand:
    # cmake --preset release -DBEARINGDSP_BARE_ROOTS=ON, then ctest --preset release -R "first answer".
    option(BEARINGDSP_BARE_ROOTS "Test the package and the tarball on freshly made systems" OFF)
    if(BEARINGDSP_BARE_ROOTS)
      set(roots "${CMAKE_CURRENT_BINARY_DIR}/roots")
      add_test(NAME "package: a first answer on a bare Debian 12"
               COMMAND sh "${here}/clean_root.sh" bookworm "${CMAKE_CURRENT_BINARY_DIR}/package/second" "${roots}")
      add_test(NAME "tarball: a first answer on a bare Debian 11"
               COMMAND sh "${here}/clean_root.sh" bullseye "${tarball}" "${roots}")
      set_tests_properties("package: a first answer on a bare Debian 12" PROPERTIES FIXTURES_REQUIRED package)
      set_tests_properties("tarball: a first answer on a bare Debian 11" PROPERTIES FIXTURES_REQUIRED tarball)
      set_tests_properties("package: a first answer on a bare Debian 12" "tarball: a first answer on a bare Debian 11"
                           PROPERTIES LABELS install TIMEOUT ${hangs} COST 100 SKIP_RETURN_CODE 77)
    endif()
  endif()
endif()
