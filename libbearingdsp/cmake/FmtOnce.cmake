# bearingdsp_fmt: the code of fmt, compiled once. As a header-only library it would be compiled again in each
# source that formats a number, which is more than half of the time that such a source takes. Each program of
# ours and the library link these objects, so that nothing we install needs fmt.
# A build that has its headers elsewhere (cli/browser) names them itself.
if(NOT TARGET fmt::fmt-header-only)
  find_package(fmt 9 REQUIRED)
endif()
set(code "${CMAKE_CURRENT_BINARY_DIR}/fmt_once.cpp")
# The explicit instantiations that fmt's own library holds, for char alone.
file(CONFIGURE OUTPUT "${code}" @ONLY CONTENT [[#include <fmt/format-inl.h>
FMT_BEGIN_NAMESPACE
namespace detail {
template FMT_API auto dragonbox::to_decimal(float x) noexcept -> dragonbox::decimal_fp<float>;
template FMT_API auto dragonbox::to_decimal(double x) noexcept -> dragonbox::decimal_fp<double>;
template FMT_API locale_ref::locale_ref(const std::locale& loc);
template FMT_API auto locale_ref::get<std::locale>() const -> std::locale;
template FMT_API auto thousands_sep_impl(locale_ref) -> thousands_sep_result<char>;
template FMT_API auto decimal_point_impl(locale_ref) -> char;
template FMT_API void buffer<char>::append(const char*, const char*);
template FMT_API void vformat_to(buffer<char>&, string_view,
                                 basic_format_args<FMT_BUFFER_CONTEXT(char)>, locale_ref);
}  // namespace detail
FMT_END_NAMESPACE
]])
add_library(bearingdsp_fmt OBJECT "${code}")
target_compile_features(bearingdsp_fmt PUBLIC cxx_std_20)
set_target_properties(bearingdsp_fmt PROPERTIES POSITION_INDEPENDENT_CODE ON CXX_VISIBILITY_PRESET hidden
                                                VISIBILITY_INLINES_HIDDEN ON)
# Only where its headers are, not the package's own library.
target_include_directories(bearingdsp_fmt SYSTEM
                           PUBLIC $<TARGET_PROPERTY:fmt::fmt-header-only,INTERFACE_INCLUDE_DIRECTORIES>)
