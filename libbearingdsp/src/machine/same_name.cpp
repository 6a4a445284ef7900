#include "machine/same_name.hpp"

#include <cstddef>

namespace bearingdsp {
namespace {

bool ignored(char c) { return c == ' ' || c == '-' || c == '_' || c == '\t'; }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

bool same_name(std::string_view a, std::string_view b) noexcept {
  std::size_t i = 0;
  std::size_t j = 0;
  while (true) {
    while (i < a.size() && ignored(a[i])) ++i;
    while (j < b.size() && ignored(b[j])) ++j;
    if (i == a.size() || j == b.size()) return i == a.size() && j == b.size();
    if (lower(a[i++]) != lower(b[j++])) return false;
  }
}

}  // namespace bearingdsp
