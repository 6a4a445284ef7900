#include "bearingdsp/capture/read.hpp"

#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <string_view>

#include "bearingdsp/capture/contents.hpp"
#include "core/plain_word.hpp"
#include "reader.hpp"

namespace bearingdsp {
namespace capture_detail {
namespace {

std::string_view extension(std::string_view name) noexcept {
  const std::size_t slash = name.find_last_of('/');
  const std::size_t dot = name.find_last_of('.');
  if (dot == std::string_view::npos || (slash != std::string_view::npos && dot < slash)) return {};
  return name.substr(dot + 1);
}

}  // namespace

std::string_view first_entry(std::string_view head) noexcept {
  constexpr std::size_t fixed = 30;
  if (!head.starts_with("PK\x03\x04") || head.size() < fixed) return {};
  const auto size = static_cast<std::size_t>(static_cast<unsigned char>(head[26])) |
                    static_cast<std::size_t>(static_cast<unsigned char>(head[27])) << 8U;
  return head.substr(fixed, size);
}

bool Format::names(std::string_view file) const {
  const auto known = split_list(extensions, ' ');
  return std::find(known.begin(), known.end(), lower(extension(file))) != known.end();
}

}  // namespace capture_detail
namespace {

using namespace capture_detail;

/// Formats that are often tried and that we do not read, to say so in plain words.
std::string_view foreign(std::string_view head) noexcept {
  if (head.starts_with("PK\x03\x04")) return "a zip archive";
  if (head.starts_with("%PDF")) return "a PDF document";
  if (head.starts_with("\x89PNG") || head.starts_with("\xff\xd8\xff")) return "a picture";
  if (head.starts_with("BZh") ||
      head.starts_with("\xfd"
                       "7zXZ") ||
      head.starts_with("\x28\xb5\x2f\xfd")) {
    return "a file compressed with a method other than gzip";
  }
  if (head.starts_with("\xd0\xcf\x11\xe0")) return "an office document";
  return {};
}

/// Office Open XML and OpenDocument spreadsheets, and the old binary one.
bool spreadsheet(std::string_view head) noexcept {
  const std::string_view entry = first_entry(head);
  const bool open_xml = entry == "[Content_Types].xml" || entry.starts_with("xl/") ||
                        entry.starts_with("_rels/") || entry.starts_with("docProps/");
  const bool open_document =
      entry == "mimetype" && head.find("opendocument.spreadsheet") != std::string_view::npos;
  return open_xml || open_document;
}

/// A MAT v4 file starts with a header whose type number has four decimal digits MOPT.
bool mat4_magic(std::string_view h) noexcept {
  if (h.size() < 20) return false;
  std::array<std::uint32_t, 5> w{};
  std::memcpy(w.data(), h.data(), sizeof w);
  const auto plausible = [](std::uint32_t type, std::uint32_t rows, std::uint32_t cols,
                            std::uint32_t imag, std::uint32_t name) {
    return type < 5000 && (type / 100) % 10 == 0 && (type / 10) % 10 <= 5 && type % 10 <= 2 &&
           rows < (1U << 31U) && cols < (1U << 31U) && imag <= 1 && name >= 1 && name <= 256;
  };
  const auto swap = [](std::uint32_t v) { return __builtin_bswap32(v); };
  return plausible(w[0], w[1], w[2], w[3], w[4]) ||
         plausible(swap(w[0]), swap(w[1]), swap(w[2]), swap(w[3]), swap(w[4]));
}

/// By the first bytes, then by the name.
Result<const Format*> sniff(ByteSource& source, const std::string& name) {
  std::array<std::byte, 1024> block{};
  const std::size_t n = source.read_at(0, block);
  const std::string_view head{reinterpret_cast<const char*>(block.data()), n};
  if (n == 0) {
    return Error{Errc::too_short, name, "is empty", "check the recorder and the copy"};
  }
  for (const Format* format : formats)
    if (format->begins(head)) return format;
  if (spreadsheet(head))
    return Error{Errc::unsupported_format, name, "is a spreadsheet",
                 "open it in the spreadsheet program, choose Save As or Export, and save the sheet "
                 "with the samples as CSV (UTF-8)"};
  if (const std::string_view what = foreign(head); !what.empty()) {
    return Error{Errc::unsupported_format, name, "is " + std::string{what},
                 "export it as WAV, CSV (UTF-8) or MAT"};
  }
  const bool binary = head.find('\0') != std::string_view::npos;
  if (binary && mat4_magic(head)) return &mat_format;
  if (lower(extension(name)) == "mat" && (binary || head.starts_with("MATLAB"))) return &mat_format;
  if (audio_format.names(name)) return &audio_format;
  if (binary) {
    return Error{Errc::unsupported_format, name, "is a binary file of an unknown format",
                 "export it as WAV, CSV (UTF-8) or MAT"};
  }
  return &text_format;
}

Result<Capture> read(ByteSource& source, const std::string& name, const ReadOptions& options) {
  if (auto ok = check_options(options, name); !ok) return ok.error();
  const auto format = sniff(source, name);
  if (!format) return format.error();
  return (*format)->read(source, name, options);
}

Result<Contents> list(ByteSource& source, const std::string& name) {
  const auto format = sniff(source, name);
  if (!format) return format.error();
  return (*format)->list(source, name);
}

/// A text sample takes at most some 30 bytes; a pipe is not read beyond what max_samples can use.
std::uint64_t pipe_limit(std::uint64_t max_samples) noexcept {
  constexpr std::uint64_t bytes_per_sample = 32;
  const std::uint64_t most = std::uint64_t{1} << 48U;
  return max_samples > most / bytes_per_sample ? most
                                               : max_samples * bytes_per_sample + (1U << 20U);
}

/// Too little to be worth a look for its length.
constexpr off_t short_file = 256 << 10;

/// Whether it is a regular file of some size: what else there is can be read only once.
bool may_be_long(const std::string& path) {
  struct stat info {};
  return path.find('\0') == std::string::npos && ::stat(path.c_str(), &info) == 0 &&
         S_ISREG(info.st_mode) && info.st_size > short_file;
}

Result<std::unique_ptr<PieceReader>> pieces_of(std::unique_ptr<ByteSource> source,
                                               const std::string& name,
                                               const ReadOptions& options) {
  if (auto ok = check_options(options, name); !ok) return ok.error();
  const auto format = sniff(*source, name);
  if (!format) return format.error();
  return (*format)->pieces(std::move(source), name, options);
}

}  // namespace

Result<std::unique_ptr<PieceReader>> open_pieces(const std::string& path,
                                                 const ReadOptions& options) {
  auto source = open_file(path, pipe_limit(options.max_samples));
  if (!source) return source.error();
  return pieces_of(std::move(*source), path, options);
}

Result<std::unique_ptr<PieceReader>> open_pieces_bytes(std::span<const std::byte> bytes,
                                                       const std::string& name,
                                                       const ReadOptions& options) {
  return pieces_of(open_memory(bytes), name, options);
}

std::unique_ptr<PieceReader> open_if_long(const std::string& path, const ReadOptions& options,
                                          std::uint64_t max_samples) {
  if (!may_be_long(path)) return nullptr;
  auto pieces = open_pieces(path, options);
  if (!pieces) return nullptr;
  const std::uint64_t most = max_samples / std::max<std::size_t>(1, (*pieces)->channels());
  if ((*pieces)->expected() <= most) return nullptr;
  return std::move(*pieces);
}

Result<Capture> read_capture(const std::string& path, const ReadOptions& options) {
  auto source = open_file(path, pipe_limit(options.max_samples));
  if (!source) return source.error();
  return read(**source, path, options);
}

Result<Capture> read_capture_bytes(std::span<const std::byte> bytes, const std::string& name,
                                   const ReadOptions& options) {
  const auto source = open_memory(bytes);
  return read(*source, name, options);
}

Result<Contents> list_contents(const std::string& path) {
  auto source = open_file(path, pipe_limit(ReadOptions{}.max_samples));
  if (!source) return source.error();
  return list(**source, path);
}

Result<Contents> list_contents_bytes(std::span<const std::byte> bytes, const std::string& name) {
  const auto source = open_memory(bytes);
  return list(*source, name);
}

}  // namespace bearingdsp
