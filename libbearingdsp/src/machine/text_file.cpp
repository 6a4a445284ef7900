#include "bearingdsp/machine/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <system_error>

namespace bearingdsp {
namespace {

namespace fs = std::filesystem;

/// What is there instead of a regular file; empty if it is one.
std::string_view special(fs::file_type type) noexcept {
  switch (type) {
    case fs::file_type::directory:
      return "a folder";
    case fs::file_type::fifo:
      return "a pipe";
    case fs::file_type::socket:
      return "a socket";
    case fs::file_type::character:
    case fs::file_type::block:
      return "a device";
    case fs::file_type::regular:
      return {};
    default:
      return "of an unknown type";
  }
}

}  // namespace

Result<void> check_regular_file(const std::string& path) {
  if (path.find('\0') != std::string::npos)
    return Error{Errc::io, path, "cannot be opened: the path contains a NUL character",
                 "check the path"};
  std::error_code code;
  const fs::file_status status = fs::status(path, code);
  if (status.type() == fs::file_type::not_found)
    return Error{Errc::io, path, "cannot be opened: the file does not exist", "check the path"};
  if (status.type() == fs::file_type::none)
    return Error{Errc::io, path, "cannot be opened: " + code.message(),
                 "check the path and its permissions"};
  const std::string_view what = special(status.type());
  if (what.empty()) return {};
  return Error{Errc::io, path, fmt::format("is {}, not a file", what),
               status.type() == fs::file_type::directory ? "give a file in it"
                                                         : "save its content to a file first"};
}

Result<std::string> read_text_file(const std::string& path, std::size_t max_bytes) {
  // Before it is opened: opening a pipe waits for a writer.
  if (const auto regular = check_regular_file(path); !regular) return regular.error();
  std::ifstream in{path, std::ios::binary};
  if (!in) return Error{Errc::io, path, "cannot be opened", "check the path and its permissions"};
  std::string text;
  constexpr std::size_t block = 65536;
  // One byte more than allowed tells that there is more.
  while (in && text.size() <= max_bytes) {
    const std::size_t before = text.size();
    text.resize(before + std::min(block, max_bytes + 1 - before));
    in.read(text.data() + before, static_cast<std::streamsize>(text.size() - before));
    text.resize(before + static_cast<std::size_t>(in.gcount()));
  }
  if (text.size() > max_bytes)
    return Error{Errc::io, path,
                 max_bytes >> 20U > 0 ? fmt::format("is larger than {} MB", max_bytes >> 20U)
                                      : fmt::format("is larger than {} bytes", max_bytes),
                 "check that it is the file you mean"};
  if (in.bad()) return Error{Errc::io, path, "cannot be read", "check the disk"};
  return text;
}

}  // namespace bearingdsp
