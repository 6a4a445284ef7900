# This system's compiler for the C library of an older one: -D BEARINGDSP_SYSROOT=FOLDER of packaging/sysroot.sh.
list(APPEND CMAKE_TRY_COMPILE_PLATFORM_VARIABLES BEARINGDSP_SYSROOT)
set(CMAKE_SYSROOT "${BEARINGDSP_SYSROOT}")
set(CMAKE_LIBRARY_ARCHITECTURE x86_64-linux-gnu)
foreach(kind IN ITEMS PACKAGE LIBRARY INCLUDE)
  set(CMAKE_FIND_ROOT_PATH_MODE_${kind} ONLY)
endforeach()
set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
# Nothing of the compiler's own system: it would be found first, where the compiler was made for that system.
set(older "${BEARINGDSP_SYSROOT}/usr/lib/x86_64-linux-gnu")
set(CMAKE_EXE_LINKER_FLAGS_INIT
    "-static-libstdc++ -B${older} -L${older} -L${BEARINGDSP_SYSROOT}/lib/x86_64-linux-gnu -Wl,--disable-new-dtags ${BEARINGDSP_SYSROOT}/older_glibc.o")
set(ENV{PKG_CONFIG_SYSROOT_DIR} "${BEARINGDSP_SYSROOT}")
set(ENV{PKG_CONFIG_LIBDIR} "${older}/pkgconfig:${BEARINGDSP_SYSROOT}/usr/share/pkgconfig")
