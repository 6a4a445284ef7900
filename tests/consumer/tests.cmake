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
                       SKIP_REGULAR_EXPRESSION "^skipped")
endif()
