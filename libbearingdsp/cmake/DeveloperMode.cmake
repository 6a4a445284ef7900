# bearingdsp_strict(TARGET): the warnings every target of ours is held to, and the floating-point model.
# -ffp-contract=off keeps results the same on machines with and without fused multiply-add.
function(bearingdsp_strict target)
  target_compile_options(${target} PRIVATE -ffp-contract=off)
  if(BEARINGDSP_DEVELOPER)
    target_compile_options(
      ${target}
      PRIVATE -Wall
              -Wextra
              -Wpedantic
              -Wshadow
              -Wconversion
              -Wsign-conversion
              -Wnon-virtual-dtor
              -Wold-style-cast
              -Woverloaded-virtual
              -Wnull-dereference
              -Wdouble-promotion
              -Wformat=2
              -Werror)
    # A null-dereference warning inside inlined library code is noise, not ours to fix.
    target_compile_options(${target} PRIVATE -Wno-null-dereference)
    # GCC 12 warns of overlap in its own std::string (its bug 105651).
    if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
      target_compile_options(${target} PRIVATE -Wno-restrict)
    endif()
  endif()
endfunction()
