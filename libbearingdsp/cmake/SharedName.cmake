# bearingdsp_shared_name(VARIABLE LIBRARIES NAME): the name under which the loader knows libNAME.so, one of
# LIBRARIES, whose interface is the one we compile against ("libmatio.so.11").
function(bearingdsp_shared_name variable libraries name)
  list(FILTER libraries INCLUDE REGEX "/lib${name}\\.so$")
  execute_process(COMMAND ${CMAKE_OBJDUMP} -p ${libraries} OUTPUT_VARIABLE headers ERROR_QUIET)
  if(NOT headers MATCHES "SONAME +([^ \n]+)")
    message(FATAL_ERROR "lib${name}.so is not among ${libraries}, or has no name of its own")
  endif()
  set(${variable} "${CMAKE_MATCH_1}" PARENT_SCOPE)
endfunction()
