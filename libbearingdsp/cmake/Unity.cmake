# Sources that lie together are compiled together, some eight at a time: the standard library, fmt, JSON and the
# option parser are then read once for all of them, which makes a build from nothing several times as fast. Two names
# alike in unnamed namespaces meet here, which is how duplicates show.
#
# Not CMake's own UNITY_BUILD: its groups shift with every new file, and its sources name the checkout, so that a
# compiler cache serves no other one. -DBEARINGDSP_UNITY=OFF compiles file by file, as clang-tidy wants it.
option(BEARINGDSP_UNITY "Compile sources that lie together at one go" ON)

# bearingdsp_unity(TARGET): call in the folder of the target, after its sources and before their properties are final.
# A source with definitions of its own stays alone.
function(bearingdsp_unity target)
  if(NOT BEARINGDSP_UNITY)
    return()
  endif()
  set(into "${CMAKE_CURRENT_BINARY_DIR}/together/${target}")
  get_target_property(sources ${target} SOURCES)
  list(FILTER sources INCLUDE REGEX "\\.cpp$")
  set(rooms "")
  foreach(source IN LISTS sources)
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
    math(EXPR parts "(${size} + 7) / 8")
    foreach(source IN LISTS "in_${room}")
      get_filename_component(name "${source}" NAME_WE)
      string(MD5 hash "${name}")
      string(SUBSTRING "${hash}" 0 6 hash)
      math(EXPR part "0x${hash} % ${parts}")
      file(RELATIVE_PATH include "${into}" "${source}")
      string(APPEND "text_${room}_${part}" "#include \"${include}\"\n")
      list(APPEND "sources_${room}_${part}" "${source}")
    endforeach()
    math(EXPR last "${parts} - 1")
    foreach(part RANGE ${last})
      if(DEFINED "text_${room}_${part}")
        set(text "${text_${room}_${part}}")
        set(together "${into}/${room}_${part}.cpp")
        file(CONFIGURE OUTPUT "${together}" CONTENT "@text@" @ONLY)
        target_sources(${target} PRIVATE "${together}")
        set_source_files_properties(${sources_${room}_${part}} PROPERTIES HEADER_FILE_ONLY ON)
      endif()
    endforeach()
  endforeach()
endfunction()
