#include "output_file.hpp"

#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>

namespace cli {
using bearingdsp::Errc;
using bearingdsp::Error;
using bearingdsp::Result;

namespace {

Error refused(const std::string& path, int code) {
  return {Errc::io, path, "cannot be written: " + std::generic_category().message(code),
          "check the folder and that you may write there"};
}

}  // namespace

Result<OutputFile> OutputFile::create(const std::string& path, bool overwrite) {
  std::error_code code;
  if (std::filesystem::is_directory(path, code))
    return Error{Errc::io, path, "is a directory", "give a file name"};
  if (!overwrite && std::filesystem::exists(path, code))
    return Error{Errc::bad_argument, path, "exists already", "choose another name or give --force"};
  // Put in place by renaming, which would throw a device or a pipe away.
  if (std::filesystem::exists(path, code) && !std::filesystem::is_regular_file(path, code))
    return Error{Errc::io, path, "is a device or a pipe", "give a file name"};
  OutputFile file;
  file.path_ = path;
  if (std::filesystem::is_symlink(path, code)) {
    const auto named = std::filesystem::weakly_canonical(path, code);
    if (!code) file.path_ = named.string();
  }
  // The extension stays last: writers choose the format by it.
  const std::filesystem::path target{file.path_};
  file.temporary_ =
      (target.parent_path() /
       (target.stem().string() + ".part" + std::to_string(getpid()) + target.extension().string()))
          .string();
  std::FILE* probe = std::fopen(file.temporary_.c_str(), "wb");
  if (probe == nullptr) {
    const int why = errno;
    file.temporary_.clear();
    return refused(path, why);
  }
  std::fclose(probe);
  return file;
}

OutputFile::OutputFile(OutputFile&& other) noexcept
    : path_{std::move(other.path_)}, temporary_{std::exchange(other.temporary_, {})} {}

OutputFile& OutputFile::operator=(OutputFile&& other) noexcept {
  std::swap(path_, other.path_);
  std::swap(temporary_, other.temporary_);
  return *this;
}

OutputFile::~OutputFile() {
  std::error_code ignored;
  if (!temporary_.empty()) std::filesystem::remove(temporary_, ignored);
}

Result<void> OutputFile::write(std::string_view text) const {
  std::FILE* file = std::fopen(temporary_.c_str(), "wb");
  if (file == nullptr) return refused(path_, errno);
  const bool whole = std::fwrite(text.data(), 1, text.size(), file) == text.size();
  const int why = errno;
  if (std::fclose(file) != 0) return refused(path_, errno);
  if (!whole) return refused(path_, why);
  return {};
}

Result<void> OutputFile::commit() {
  std::error_code code;
  std::filesystem::rename(temporary_, path_, code);
  if (code) return refused(path_, code.value());
  temporary_.clear();
  return {};
}

}  // namespace cli
