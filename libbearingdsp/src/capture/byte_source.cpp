#include "byte_source.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <limits>
#include <system_error>
#include <utility>

#include <fmt/format.h>

namespace bearingdsp::capture_detail {
namespace {

/// Owner of a file descriptor.
class Descriptor {
 public:
  explicit Descriptor(int fd) noexcept : fd_{fd} {}
  Descriptor(Descriptor&& other) noexcept : fd_{std::exchange(other.fd_, -1)} {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  [[nodiscard]] int get() const noexcept { return fd_; }

 private:
  int fd_;
};

class FileSource final : public ByteSource {
 public:
  FileSource(Descriptor fd, std::uint64_t size) : fd_{std::move(fd)}, size_{size} {}
  [[nodiscard]] std::uint64_t size() const noexcept override { return size_; }
  std::size_t read_at(std::uint64_t at, std::span<std::byte> out) override {
    std::size_t done = 0;
    while (done < out.size() && at + done < size_) {
      const ssize_t n =
          ::pread(fd_.get(), out.data() + done, out.size() - done, static_cast<off_t>(at + done));
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) break;
      done += static_cast<std::size_t>(n);
    }
    return done;
  }

 private:
  Descriptor fd_;
  std::uint64_t size_;
};

class MemorySource final : public ByteSource {
 public:
  explicit MemorySource(std::span<const std::byte> bytes) : bytes_{bytes} {}
  explicit MemorySource(std::vector<std::byte> owned) : owned_{std::move(owned)}, bytes_{owned_} {}
  [[nodiscard]] std::uint64_t size() const noexcept override { return bytes_.size(); }
  std::size_t read_at(std::uint64_t at, std::span<std::byte> out) override {
    if (at >= bytes_.size() || out.empty()) return 0;  // an empty span may have no address
    const std::size_t n = std::min(out.size(), bytes_.size() - static_cast<std::size_t>(at));
    std::memcpy(out.data(), bytes_.data() + at, n);
    return n;
  }

 private:
  std::vector<std::byte> owned_;
  std::span<const std::byte> bytes_;
};

std::string system_message(int code) { return std::generic_category().message(code); }

/// Reads a pipe or device to its end; grows with what arrives, never ahead of it by more than half.
Result<std::vector<std::byte>> read_to_end(int fd, const std::string& path, std::uint64_t limit) {
  std::vector<std::byte> bytes;
  std::array<std::byte, 65536> block;
  while (true) {
    const ssize_t n = ::read(fd, block.data(), block.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) {
      return Error{Errc::io, path, fmt::format("reading failed ({})", system_message(errno)),
                   "check the pipe or device"};
    }
    if (n == 0) return bytes;
    if (bytes.size() + static_cast<std::size_t>(n) > limit) {
      return Error{Errc::bad_argument, path,
                   fmt::format("the pipe delivers more than {} bytes", limit),
                   "save it to a file first, or raise max_samples"};
    }
    bytes.insert(bytes.end(), block.begin(), block.begin() + n);
  }
}

class PlainStream final : public ByteStream {
 public:
  PlainStream(ByteSource& source, std::uint64_t at, std::uint64_t length)
      : source_{&source},
        at_{at},
        end_{at + std::min(length, source.size() - std::min(at, source.size()))},
        start_{at} {}
  std::size_t read(std::span<std::byte> out) override {
    const std::uint64_t left = end_ > at_ ? end_ - at_ : 0;
    const std::size_t want = static_cast<std::size_t>(std::min<std::uint64_t>(out.size(), left));
    const std::size_t got = source_->read_at(at_, out.first(want));
    if (got < want) damage_ = "a read error of the system";
    at_ += got;
    return got;
  }
  [[nodiscard]] std::string damage() const override { return damage_; }
  [[nodiscard]] std::uint64_t used() const noexcept override { return at_ - start_; }
  bool skip(std::uint64_t n) override {
    const std::uint64_t left = end_ > at_ ? end_ - at_ : 0;
    at_ += std::min(n, left);
    return n <= left;
  }

 private:
  ByteSource* source_;
  std::uint64_t at_;
  std::uint64_t end_;
  std::uint64_t start_;
  std::string damage_;
};

class UnpackingStream final : public ByteStream {
 public:
  UnpackingStream(ByteSource& source, std::uint64_t at, std::uint64_t length, Packing packing)
      : packed_{source, at, length}, packing_{packing}, in_(65536) {
    // 15: largest window; +16 asks zlib for the gzip wrapper, a negative one for none.
    const int window = packing == Packing::gzip ? 15 + 16 : packing == Packing::zlib ? 15 : -15;
    ready_ = inflateInit2(&z_, window) == Z_OK;
    if (!ready_) damage_ = "zlib cannot start";
  }
  UnpackingStream(const UnpackingStream&) = delete;
  UnpackingStream& operator=(const UnpackingStream&) = delete;
  ~UnpackingStream() override {
    if (ready_) inflateEnd(&z_);
  }
  std::size_t read(std::span<std::byte> out) override {
    if (!damage_.empty() || done_ || out.empty()) return 0;
    const auto want = static_cast<uInt>(std::min<std::size_t>(out.size(), 1U << 30U));
    z_.next_out = reinterpret_cast<Bytef*>(out.data());
    z_.avail_out = want;
    while (z_.avail_out == want) {
      if (z_.avail_in == 0 && !refill()) {
        if (!at_member_start_) damage_ = "the compressed data end before they are complete";
        done_ = true;
        break;
      }
      at_member_start_ = false;
      const int code = inflate(&z_, Z_NO_FLUSH);
      if (code == Z_STREAM_END) {
        // A gzip file may hold several members one after another.
        if (packing_ != Packing::gzip || (z_.avail_in == 0 && !refill()) || *z_.next_in != 0x1f ||
            inflateReset(&z_) != Z_OK) {
          done_ = true;
          break;
        }
        at_member_start_ = true;
      } else if (code != Z_OK && code != Z_BUF_ERROR) {
        damage_ = fmt::format("the compressed data are damaged ({})",
                              z_.msg != nullptr ? z_.msg : "zlib rejects them");
        break;
      }
    }
    return want - z_.avail_out;
  }
  [[nodiscard]] std::string damage() const override { return damage_; }
  [[nodiscard]] std::uint64_t used() const noexcept override {
    return packed_.used() - z_.avail_in;
  }

 private:
  bool refill() {
    const std::size_t n = packed_.read(in_);
    z_.next_in = reinterpret_cast<Bytef*>(in_.data());
    z_.avail_in = static_cast<uInt>(n);
    return n > 0;
  }
  PlainStream packed_;
  Packing packing_;
  std::vector<std::byte> in_;
  z_stream z_{};
  bool ready_{false};
  bool done_{false};
  bool at_member_start_{false};
  std::string damage_;
};

}  // namespace

bool ByteStream::skip(std::uint64_t n) {
  std::array<std::byte, 16384> sink;
  while (n > 0) {
    const auto want = static_cast<std::size_t>(std::min<std::uint64_t>(n, sink.size()));
    const std::size_t got = read(std::span{sink}.first(want));
    if (got == 0) return false;
    n -= got;
  }
  return true;
}

Result<std::unique_ptr<ByteSource>> open_file(const std::string& path, std::uint64_t limit) {
  if (path.find('\0') != std::string::npos) {
    return Error{Errc::bad_argument, path, "the path contains a NUL character", "check the path"};
  }
  Descriptor fd{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
  if (fd.get() < 0) {
    const int code = errno;
    const char* advice = code == ENOENT   ? "check the path"
                         : code == EACCES ? "ask for permission to read it"
                                          : "check the path and the disk";
    return Error{Errc::io, path, fmt::format("cannot open ({})", system_message(code)), advice};
  }
  struct stat info {};
  if (::fstat(fd.get(), &info) != 0) {
    return Error{Errc::io, path,
                 fmt::format("cannot read its properties ({})", system_message(errno)),
                 "check the path and the disk"};
  }
  if (S_ISDIR(info.st_mode)) {
    return Error{Errc::io, path, "is a directory", "name a file in it"};
  }
  // A terminal waits forever and other devices never end; a pipe comes from a program that ends.
  if (S_ISCHR(info.st_mode) || S_ISBLK(info.st_mode)) {
    return Error{Errc::io, path, "is a device", "name a file or a pipe"};
  }
  if (S_ISREG(info.st_mode)) {
    return std::unique_ptr<ByteSource>{
        std::make_unique<FileSource>(std::move(fd), static_cast<std::uint64_t>(info.st_size))};
  }
  auto bytes = read_to_end(fd.get(), path, limit);
  if (!bytes) return bytes.error();
  return std::unique_ptr<ByteSource>{std::make_unique<MemorySource>(*std::move(bytes))};
}

std::unique_ptr<ByteSource> open_memory(std::span<const std::byte> bytes) {
  return std::make_unique<MemorySource>(bytes);
}

std::unique_ptr<ByteStream> plain_stream(ByteSource& source, std::uint64_t at,
                                         std::uint64_t length) {
  return std::make_unique<PlainStream>(source, at, length);
}

std::unique_ptr<ByteStream> unpacking_stream(ByteSource& source, std::uint64_t at,
                                             std::uint64_t length, Packing packing) {
  return std::make_unique<UnpackingStream>(source, at, length, packing);
}

}  // namespace bearingdsp::capture_detail
