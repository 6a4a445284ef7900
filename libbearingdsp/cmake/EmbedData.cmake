# bearingdsp_embed(TARGET NAME FILE): compiles the text of FILE into TARGET as a std::string_view
# bearingdsp::data::NAME, declared in src/bearing/data.hpp. A change of FILE configures again.
function(bearingdsp_embed target name file)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${file}")
  file(READ "${file}" text)
  bearingdsp_embed_text(${target} ${name} "${text}")
endfunction()

# The same of a text.
function(bearingdsp_embed_text target name text)
  string(FIND "${text}" ")csv\"" clash)
  if(NOT clash EQUAL -1)
    message(FATAL_ERROR "the text of ${name} holds the characters that end a raw string")
  endif()
  set(generated "${CMAKE_CURRENT_BINARY_DIR}/generated/${name}.cpp")
  file(
    CONFIGURE
    OUTPUT "${generated}"
    CONTENT
      "#include <string_view>\n\nnamespace bearingdsp::data {\nextern const std::string_view ${name};\nconst std::string_view ${name} = R\"csv(@text@)csv\";\n}  // namespace bearingdsp::data\n"
    @ONLY)
  # The standard promises 65536 characters of a literal, compilers take more.
  set_source_files_properties("${generated}" PROPERTIES COMPILE_OPTIONS -Wno-overlength-strings)
  target_sources(${target} PRIVATE "${generated}")
endfunction()
