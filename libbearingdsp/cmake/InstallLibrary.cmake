# Install rules of the library: for find_package(bearingdsp) and for pkg-config, both relocatable.
include(CMakePackageConfigHelpers)

set(package_dir "${CMAKE_INSTALL_LIBDIR}/cmake/bearingdsp")
get_target_property(BEARINGDSP_LIBRARY_TYPE bearingdsp TYPE)

install(
  TARGETS bearingdsp
  EXPORT bearingdspTargets
  ARCHIVE DESTINATION "${CMAKE_INSTALL_LIBDIR}"
  LIBRARY DESTINATION "${CMAKE_INSTALL_LIBDIR}"
  RUNTIME DESTINATION "${CMAKE_INSTALL_BINDIR}"
  FILE_SET HEADERS DESTINATION "${CMAKE_INSTALL_INCLUDEDIR}")
install(EXPORT bearingdspTargets NAMESPACE bearingdsp:: DESTINATION "${package_dir}")

configure_package_config_file(
  "${CMAKE_CURRENT_LIST_DIR}/bearingdspConfig.cmake.in" "${PROJECT_BINARY_DIR}/bearingdspConfig.cmake"
  INSTALL_DESTINATION "${package_dir}" NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file("${PROJECT_BINARY_DIR}/bearingdspConfigVersion.cmake"
                                 COMPATIBILITY SameMinorVersion)
install(FILES "${PROJECT_BINARY_DIR}/bearingdspConfig.cmake"
              "${PROJECT_BINARY_DIR}/bearingdspConfigVersion.cmake" DESTINATION "${package_dir}")
# The build folder can be found too, without installing.
export(EXPORT bearingdspTargets NAMESPACE bearingdsp:: FILE "${PROJECT_BINARY_DIR}/bearingdspTargets.cmake")

# The prefix in the .pc file is relative to the file itself; how many levels up depends on the
# library folder (lib is two, lib/x86_64-linux-gnu three). Absolute folders are kept as they are.
if(IS_ABSOLUTE "${CMAKE_INSTALL_LIBDIR}")
  set(pc_prefix "${CMAKE_INSTALL_PREFIX}")
else()
  file(RELATIVE_PATH pc_up "/prefix/${CMAKE_INSTALL_LIBDIR}/pkgconfig" "/prefix")
  string(REGEX REPLACE "/$" "" pc_up "${pc_up}")
  set(pc_prefix "\${pcfiledir}/${pc_up}")
endif()
foreach(folder IN ITEMS LIBDIR INCLUDEDIR)
  if(IS_ABSOLUTE "${CMAKE_INSTALL_${folder}}")
    set(pc_${folder} "${CMAKE_INSTALL_${folder}}")
  else()
    set(pc_${folder} "\${prefix}/${CMAKE_INSTALL_${folder}}")
  endif()
endforeach()
# A static library's user links its dependencies himself, so they are public then: plain
# `pkg-config --libs` is right for what is installed. (--static means static dependencies too; Debian's
# sndfile.pc then asks for an MP3 library that its package does not depend on.)
if(BEARINGDSP_LIBRARY_TYPE STREQUAL "STATIC_LIBRARY")
  set(pc_requires Requires)
  set(pc_libs " -pthread")
else()
  set(pc_requires Requires.private)
  set(pc_libs "")
endif()
configure_file("${CMAKE_CURRENT_LIST_DIR}/bearingdsp.pc.in" "${PROJECT_BINARY_DIR}/bearingdsp.pc" @ONLY)
install(FILES "${PROJECT_BINARY_DIR}/bearingdsp.pc" DESTINATION "${CMAKE_INSTALL_LIBDIR}/pkgconfig")
install(FILES "${PROJECT_SOURCE_DIR}/LICENSE" DESTINATION "${CMAKE_INSTALL_DOCDIR}" COMPONENT tool)
