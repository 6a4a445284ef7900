#include "bearingdsp/capture/whole_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>

namespace bearingdsp {
namespace {

namespace fs = std::filesystem;

constexpr int attempts = 100;
constexpr mode_t permissions = 0777;

Error refused(const std::string& path, int code) {
  return {Errc::io, path, "cannot be written: " + std::generic_category().message(code),
          "check the folder, the free space and the permissions"};
}

/// The path with links followed, also one that leads to nothing yet; 0 is success, else errno.
int follow(std::string& path) {
  constexpr int max_links = 40;
  std::error_code code;
  for (int i = 0; i < max_links; ++i) {
    if (!fs::is_symlink(path, code)) return 0;
    const fs::path named = fs::read_symlink(path, code);
    if (code) return code.value();
    path = (fs::path{path}.parent_path() / named).string();
  }
  return ELOOP;
}

/// Opens a new file of a name that cannot be guessed; below 0 errno says why not.
int open_beside(const fs::path& target, std::string& name) {
  for (int i = 0; i < attempts; ++i) {
    std::uint64_t number = 0;
    if (::getrandom(&number, sizeof number, 0) != static_cast<ssize_t>(sizeof number)) return -1;
    name = (target.parent_path() / fmt::format(".bearingdsp-{:016x}.part", number)).string();
    const int fd = ::open(name.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    if (fd >= 0 || errno != EEXIST) return fd;
  }
  return -1;
}

}  // namespace

Result<WholeFile> WholeFile::start(const std::string& path) {
  WholeFile file;
  file.path_ = file.target_ = path;
  if (path.empty()) return Error{Errc::io, "output", "has no name", "give a file name"};
  if (const int why = follow(file.target_); why != 0) return refused(path, why);
  struct stat there {};
  const bool exists = ::stat(file.target_.c_str(), &there) == 0;
  if (exists && S_ISDIR(there.st_mode))
    return Error{Errc::io, path, "is a directory", "give a file name"};
  // Put in place by renaming, which would throw a device or a pipe away.
  if (exists && !S_ISREG(there.st_mode))
    return Error{Errc::io, path, "is a device or a pipe", "give a file name"};
  file.descriptor_ = open_beside(file.target_, file.temporary_);
  if (file.descriptor_ < 0) {
    const int why = errno;
    file.temporary_.clear();
    return refused(path, why);
  }
  if (exists && ::fchmod(file.descriptor_, there.st_mode & permissions) != 0)
    return refused(path, errno);
  return file;
}

WholeFile::WholeFile(WholeFile&& other) noexcept
    : path_{std::move(other.path_)},
      target_{std::move(other.target_)},
      temporary_{std::exchange(other.temporary_, {})},
      descriptor_{std::exchange(other.descriptor_, -1)},
      reserved_{other.reserved_} {}

WholeFile& WholeFile::operator=(WholeFile&& other) noexcept {
  std::swap(path_, other.path_);
  std::swap(target_, other.target_);
  std::swap(temporary_, other.temporary_);
  std::swap(descriptor_, other.descriptor_);
  std::swap(reserved_, other.reserved_);
  return *this;
}

WholeFile::~WholeFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
  if (!temporary_.empty()) ::unlink(temporary_.c_str());
}

Result<void> WholeFile::write(std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(descriptor_, bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return refused(path_, errno);
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return {};
}

Result<void> WholeFile::reserve(std::uint64_t bytes) {
  const int why = ::posix_fallocate(descriptor_, 0, static_cast<off_t>(bytes));
  if (why != 0) return refused(path_, why);
  reserved_ = true;
  return {};
}

Result<void> WholeFile::commit(Existing existing) {
  if (reserved_ && ::ftruncate(descriptor_, ::lseek(descriptor_, 0, SEEK_CUR)) != 0)
    return refused(path_, errno);
  if (::fsync(descriptor_) != 0) return refused(path_, errno);
  if (::close(std::exchange(descriptor_, -1)) != 0) return refused(path_, errno);
  int failed = -1;
  if (existing == Existing::keep) {
    // Not every file system, nor every C library, can refuse to replace; there the look at start()
    // has to do.
#ifdef RENAME_NOREPLACE
    failed = ::renameat2(AT_FDCWD, temporary_.c_str(), AT_FDCWD, target_.c_str(), RENAME_NOREPLACE);
#else
    errno = ENOSYS;
#endif
    if (failed != 0 && errno == EEXIST)
      return Error{Errc::bad_argument, path_, "was created during the work",
                   "choose another name or give --force"};
  }
  if (failed != 0 && (existing == Existing::replace || errno == EINVAL || errno == ENOSYS))
    failed = ::rename(temporary_.c_str(), target_.c_str());
  if (failed != 0) return refused(path_, errno);
  temporary_.clear();
  return {};
}

}  // namespace bearingdsp
