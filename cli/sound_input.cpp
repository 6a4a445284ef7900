#include "sound_input.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <string_view>
#include <utility>

#include "bearingdsp/core/letters.hpp"

namespace cli {
using namespace bearingdsp;

Result<std::size_t> choose_input(const std::vector<InputDevice>& devices,
                                 const std::string& wanted) {
  const std::string list = "bearingdsp record --list shows what there is";
  if (devices.empty())
    return Error{Errc::not_found, "record", "this computer has no sound input",
                 "connect the sensor or sound card, and check that no other program uses it"};
  if (wanted.empty()) {
    for (std::size_t i = 0; i < devices.size(); ++i)
      if (devices[i].usual) return i;
    return std::size_t{0};
  }
  std::size_t number = 0;
  const char* const end = wanted.data() + wanted.size();
  if (const auto [stop, code] = std::from_chars(wanted.data(), end, number);
      code == std::errc{} && stop == end && number >= 1 && number <= devices.size())
    return number - 1;
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < devices.size(); ++i) {
    if (devices[i].name == wanted) return i;
    if (lower(devices[i].name).find(lower(wanted)) != std::string::npos) found.push_back(i);
  }
  if (found.size() == 1) return found.front();
  if (found.empty())
    return Error{Errc::not_found, "--input", "no input is called '" + wanted + "'", list};
  return Error{Errc::bad_argument, "--input",
               fmt::format("'{}' is a part of {} names", wanted, found.size()),
               "give the whole name or the number; " + list};
}

}  // namespace cli
