# bearingdsp_web_bundle(TARGET): embeds the page's style and script into TARGET: what is in web/, and the
# plotting library, which the lock file there names by version and hash and npm fetches when configuring.
# Without npm or without a network a library fetched before is kept; where there is none, pages are static.
function(bearingdsp_web_bundle target)
  set(source "${CMAKE_CURRENT_SOURCE_DIR}/web")
  set(fetched "${CMAKE_CURRENT_BINARY_DIR}/web")
  set(library "${fetched}/node_modules/uplot")
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${source}/package-lock.json")
  file(SHA256 "${source}/package-lock.json" wanted)
  set(have "")
  if(EXISTS "${fetched}/lock.sha256" AND EXISTS "${library}/dist/uPlot.iife.min.js")
    file(READ "${fetched}/lock.sha256" have)
  endif()
  if(NOT have STREQUAL wanted)
    bearingdsp_fetch_web("${source}" "${fetched}" ${wanted})
  endif()

  set(style "")
  set(script "")
  if(EXISTS "${library}/dist/uPlot.iife.min.js")
    file(READ "${library}/LICENSE" license)
    file(READ "${library}/dist/uPlot.iife.min.js" plotting)
    file(READ "${library}/dist/uPlot.min.css" style)
    # Its licence asks to go where it goes.
    string(APPEND script "/*! The plotting library in this page:\n${license}*/\n${plotting}\n")
    foreach(part IN ITEMS decode curve view plot map changes page)
      set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${source}/${part}.js")
      file(READ "${source}/${part}.js" ours)
      string(APPEND script "${ours}")
    endforeach()
  endif()
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${source}/page.css")
  file(READ "${source}/page.css" ours)
  string(APPEND style "\n${ours}")
  # An HTML parser would end the element there, or read lines otherwise than they were hashed.
  if("${script}${style}" MATCHES "</(script|style)|<!--|\r")
    message(FATAL_ERROR "the page's script or style holds what HTML would read as markup")
  endif()
  bearingdsp_embed_text(${target} web_script "${script}")
  bearingdsp_embed_text(${target} web_style "${style}")
endfunction()

function(bearingdsp_fetch_web source fetched wanted)
  find_program(NPM_PROGRAM npm)
  set(without "reports are made with static pictures")
  if(EXISTS "${fetched}/lock.sha256")
    set(without "the one fetched before is kept")
  endif()
  if(NOT NPM_PROGRAM)
    message(STATUS "No npm to fetch the plotting library with: ${without}. Install npm and configure again.")
    return()
  endif()
  # Beside what is there, so that a failure leaves that whole.
  set(fresh "${fetched}.new")
  file(REMOVE_RECURSE "${fresh}")
  file(MAKE_DIRECTORY "${fresh}")
  file(COPY "${source}/package.json" "${source}/package-lock.json" DESTINATION "${fresh}")
  execute_process(
    COMMAND "${NPM_PROGRAM}" ci --ignore-scripts --no-audit --no-fund --prefer-offline --fetch-retries=1
    WORKING_DIRECTORY "${fresh}"
    TIMEOUT 120
    RESULT_VARIABLE failed
    OUTPUT_VARIABLE said
    ERROR_VARIABLE said)
  if(failed)
    file(WRITE "${fetched}.log" "${said}")
    message(STATUS "npm could not fetch the plotting library (${fetched}.log says why): ${without}.")
    return()
  endif()
  file(REMOVE_RECURSE "${fetched}")
  file(RENAME "${fresh}" "${fetched}")
  file(WRITE "${fetched}/lock.sha256" "${wanted}")
endfunction()
