# Sources that lie together are compiled together, some eight at a time: the standard library, fmt, JSON and the
# option parser are then read once for all of them, which makes a build from nothing several times as fast. Two names
# alike in unnamed namespaces meet here, which is how duplicates show.
#
# Not CMake's own UNITY_BUILD: its groups shift with every new file, and its sources name the checkout, so that a
# compiler cache serves no other one. -DBEARINGDSP_UNITY=OFF compiles file by file, as clang-tidy wants it.
option(BEARINGDSP_UNITY "Compile sources that lie together at one go" ON)

# bearingdsp_parts(SOURCE...): the names of the parts in `parts`, the sources of each in `sources_PART`. A source with
# definitions of its own is in none.
function(bearingdsp_parts)
  set(rooms "")
  set(parts "")
  foreach(source IN LISTS ARGN)
    get_source_file_property(alone "${source}" COMPILE_DEFINITIONS)
    if(NOT alone)
      get_filename_component(source "${source}" ABSOLUTE)
      file(RELATIVE_PATH room "${PROJECT_SOURCE_DIR}" "${source}")
      get_filename_component(room "${room}" DIRECTORY)
      string(MAKE_C_IDENTIFIER "${room}" room)
      list(APPEND rooms "${room}")
      list(APPEND "in_${room}" "${source}")
    endif()
  endforeach()
  list(REMOVE_DUPLICATES rooms)

  foreach(room IN LISTS rooms)
    list(LENGTH "in_${room}" size)
    # The part of a file follows from its name, so that a new file changes one part.
    math(EXPR count "(${size} + 7) / 8")
    foreach(source IN LISTS "in_${room}")
      get_filename_component(name "${source}" NAME_WE)
      string(MD5 hash "${name}")
      string(SUBSTRING "${hash}" 0 6 hash)
      math(EXPR part "0x${hash} % ${count}")
      list(APPEND parts "${room}_${part}")
      list(APPEND "sources_${room}_${part}" "${source}")
      set("sources_${room}_${part}" "${sources_${room}_${part}}" PARENT_SCOPE)
    endforeach()
  endforeach()
  list(REMOVE_DUPLICATES parts)
  set(parts "${parts}" PARENT_SCOPE)
endfunction()

# bearingdsp_unity(TARGET): call in the folder of the target, after its sources and before their properties are final.
function(bearingdsp_unity target)
  if(NOT BEARINGDSP_UNITY)
    return()
  endif()
  set(into "${CMAKE_CURRENT_BINARY_DIR}/together/${target}")
  get_target_property(sources ${target} SOURCES)
  list(FILTER sources INCLUDE REGEX "\\.cpp$")
  bearingdsp_parts(${sources})
  foreach(part IN LISTS parts)
    set(text "")
    foreach(source IN LISTS "sources_${part}")
      file(RELATIVE_PATH include "${into}" "${source}")
      string(APPEND text "#include \"${include}\"\n")
    endforeach()
    file(CONFIGURE OUTPUT "${into}/${part}.cpp" CONTENT "@text@" @ONLY)
    target_sources(${target} PRIVATE "${into}/${part}.cpp")
    set_source_files_properties(${sources_${part}} PROPERTIES HEADER_FILE_ONLY ON)
  endforeach()
endfunction()

# bearingdsp_unity_tests(TARGET): the same for the files NAME_test.cpp of a test program. Tests name their helpers as
# they like, so each file is in a namespace of its own; what the files include comes before, once.
function(bearingdsp_unity_tests target)
  if(NOT BEARINGDSP_UNITY)
    return()
  endif()
  set(into "${CMAKE_CURRENT_BINARY_DIR}/together/${target}")
  set(script "${PROJECT_SOURCE_DIR}/libbearingdsp/cmake/TestsTogether.cmake")
  get_target_property(sources ${target} SOURCES)
  list(FILTER sources INCLUDE REGEX "_test\\.cpp$")
  bearingdsp_parts(${sources})
  foreach(part IN LISTS parts)
    # Written by the build, which sees a new #include, and left alone if nothing of it changed.
    string(JOIN "|" names ${sources_${part}})
    add_custom_command(
      OUTPUT "${into}/${part}.cpp"
      COMMAND ${CMAKE_COMMAND} "-DSOURCES=${names}" "-DROOT=${PROJECT_SOURCE_DIR}/tests" "-DOUTPUT=${into}/${part}.cpp"
              -P "${script}"
      DEPENDS ${sources_${part}} "${script}"
      COMMENT ""
      VERBATIM)
    target_sources(${target} PRIVATE "${into}/${part}.cpp")
    set_source_files_properties(${sources_${part}} PROPERTIES HEADER_FILE_ONLY ON)
  endforeach()
endfunction()
