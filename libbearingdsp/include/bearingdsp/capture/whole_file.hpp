#pragma once
/// A file that appears whole or not at all.
#include <cstdint>
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// What commit() does with a file that came to lie at the path after start().
enum class Existing : std::uint8_t { replace, keep };

/// Written under a random name of its own beside the target, which nobody can lay a link under
/// beforehand, and moved to its name when all is on disk. Dropped before that, it leaves nothing. A
/// link as the target stays: the file that it names is written. The mode of a file that is replaced
/// is kept.
class WholeFile {
 public:
  /// Errors: io, also for a path that is a folder, a device or a pipe
  [[nodiscard]] static Result<WholeFile> start(const std::string& path);
  WholeFile(WholeFile&& other) noexcept;
  WholeFile& operator=(WholeFile&& other) noexcept;
  WholeFile(const WholeFile&) = delete;
  WholeFile& operator=(const WholeFile&) = delete;
  ~WholeFile();

  /// As it was given, for messages.
  [[nodiscard]] const std::string& path() const noexcept { return path_; }
  /// The file that commit() makes: the path with links followed.
  [[nodiscard]] const std::string& target() const noexcept { return target_; }
  /// Where the bytes are until commit(): hidden, beside the target, ending in ".part".
  [[nodiscard]] const std::string& temporary() const noexcept { return temporary_; }
  /// For writers that take a descriptor; it stays ours.
  [[nodiscard]] int descriptor() const noexcept { return descriptor_; }
  /// Appends.
  /// Errors: io
  [[nodiscard]] Result<void> write(std::string_view bytes);
  /// Takes room on the disk for that many bytes from the start, for write() alone: what is then
  /// written up to that length no longer fails for lack of space.
  /// Errors: io
  [[nodiscard]] Result<void> reserve(std::uint64_t bytes);
  /// To disk, then to its name.
  /// Errors: io; bad_argument where `keep` found a file there
  [[nodiscard]] Result<void> commit(Existing existing = Existing::replace);

 private:
  WholeFile() = default;
  std::string path_, target_, temporary_;
  int descriptor_{-1};
  bool reserved_{false};
};

}  // namespace bearingdsp
