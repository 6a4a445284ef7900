/// NumPy arrays: .npy, and .npz, a zip archive of them.
/// Source: the format description of numpy.lib.format (versions 1.0 to 3.0), and for the archive
/// [zipformat]; nothing is unpickled.
#include <algorithm>
#include <array>
#include <cstring>
#include <memory>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "array_size.hpp"
#include "hdf5_fields.hpp"
#include "mat_file.hpp"
#include "number_bytes.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

constexpr std::string_view npy_magic = "\x93NUMPY";
constexpr std::size_t longest_header = 65536;
constexpr std::size_t max_entries = 4096;
constexpr std::uint64_t longest_remark = 64;  ///< characters of a text array that is a remark
constexpr std::size_t at_once = 8192;

/// Where the bytes of an array are: in the file, or packed in an entry of an archive.
struct Entry {
  std::string name;
  std::uint64_t at{}, packed{}, unpacked{};
  bool deflated{};
};

/// Type and shape of an array, from its header.
struct ArrayType {
  char kind{0};  ///< 'f', 'i', 'u', 'b', 'c', 'U', 'S'; 0: none that we read
  std::size_t size{};
  bool big{}, fortran{};
  std::vector<std::uint64_t> shape;
  std::size_t data_at{};  ///< in the entry
};

/// The text between two signs behind a key of the header's dictionary; empty if it is not there.
std::string_view behind(std::string_view header, std::string_view key, char open, char close) {
  const auto at = header.find(key);
  if (at == std::string_view::npos) return {};
  const auto colon = header.find(':', at);
  const auto begin = header.find(open, colon);
  if (colon == std::string_view::npos || begin == std::string_view::npos) return {};
  const auto end = header.find(close, begin + 1);
  if (end == std::string_view::npos) return {};
  return header.substr(begin + 1, end - begin - 1);
}

void read_descr(std::string_view descr, ArrayType& t) {
  if (descr.size() < 3 || std::string_view{"<>|="}.find(descr.front()) == std::string_view::npos)
    return;
  const auto size = parse_number(descr.substr(2));
  if (!size || *size < 1 || *size > 4096) return;
  t.big = descr.front() == '>';
  t.size = static_cast<std::size_t>(*size);
  const char kind = descr[1];
  const bool whole = t.size == 1 || t.size == 2 || t.size == 4 || t.size == 8;
  const bool fine = (kind == 'f' && (t.size == 4 || t.size == 8)) ||
                    ((kind == 'i' || kind == 'u') && whole) || (kind == 'b' && t.size == 1) ||
                    (kind == 'c' && (t.size == 8 || t.size == 16)) || kind == 'U' || kind == 'S';
  if (fine) t.kind = kind;
  if (kind == 'U') t.size *= 4;  // counted in characters of UTF-32
}

/// nothing: no NumPy header.
std::optional<ArrayType> read_header(ByteStream& in) {
  std::array<std::byte, 12> head{};
  if (in.read_full(std::span{head}.first(10)) < 10 || !says(head, npy_magic)) return std::nullopt;
  const unsigned major = std::to_integer<unsigned>(head[6]);
  std::size_t length = static_cast<std::size_t>(little(std::span{head}.subspan(8, 2)));
  ArrayType t;
  t.data_at = 10;
  if (major >= 2) {
    if (in.read_full(std::span{head}.subspan(10, 2)) < 2) return std::nullopt;
    length = static_cast<std::size_t>(little(std::span{head}.subspan(8, 4)));
    t.data_at = 12;
  }
  if (major < 1 || major > 3 || length > longest_header) return std::nullopt;
  std::string text(length, '\0');
  if (in.read_full(std::as_writable_bytes(std::span{text})) < length) return std::nullopt;
  t.data_at += length;
  t.fortran = text.find("'fortran_order': True") != std::string::npos;
  // A list of fields has no text right behind the key, but finds one within: not a plain type.
  const auto list = text.find("'descr': [");
  if (list == std::string::npos) read_descr(behind(text, "'descr'", '\'', '\''), t);
  std::string_view shape = behind(text, "'shape'", '(', ')');
  while (!shape.empty()) {
    const auto comma = std::min(shape.find(','), shape.size());
    const std::string_view word = trim(shape.substr(0, comma));
    shape.remove_prefix(std::min(comma + 1, shape.size()));
    if (word.empty()) continue;
    const auto side = parse_number(word);
    if (!side || *side < 0 || *side > 1e15 || t.shape.size() >= 8) return std::nullopt;
    t.shape.push_back(static_cast<std::uint64_t>(*side));
  }
  return t;
}

std::string type_name(const ArrayType& t) {
  switch (t.kind) {
    case 'f':
      return t.size == 4 ? "single" : "double";
    case 'i':
    case 'u':
      return fmt::format("{}int{}", t.kind == 'u' ? "u" : "", 8 * t.size);
    case 'b':
      return "logical";
    case 'c':
      return t.size == 8 ? "single" : "double";
    case 'U':
    case 'S':
      return "text";
    default:
      return "opaque";
  }
}

/// Numbers of a type that is real.
void to_doubles(const ArrayType& t, const std::byte* in, std::size_t n, double* out) {
  const bool is_signed = t.kind == 'i';
  if (t.kind == 'f') {
    return t.size == 4 ? convert_numbers<float>(in, n, t.big, out)
                       : convert_numbers<double>(in, n, t.big, out);
  }
  switch (t.size) {
    case 1:
      return is_signed ? convert_numbers<std::int8_t>(in, n, false, out)
                       : convert_numbers<std::uint8_t>(in, n, false, out);
    case 2:
      return is_signed ? convert_numbers<std::int16_t>(in, n, t.big, out)
                       : convert_numbers<std::uint16_t>(in, n, t.big, out);
    case 4:
      return is_signed ? convert_numbers<std::int32_t>(in, n, t.big, out)
                       : convert_numbers<std::uint32_t>(in, n, t.big, out);
    default:
      return is_signed ? convert_numbers<std::int64_t>(in, n, t.big, out)
                       : convert_numbers<std::uint64_t>(in, n, t.big, out);
  }
}

class NumpyFile final : public MatFile {
 public:
  NumpyFile(ByteSource& source, bool archive) : source_{&source}, archive_{archive} {}
  [[nodiscard]] std::string format() const override { return archive_ ? "NumPy npz" : "NumPy npy"; }
  [[nodiscard]] const std::vector<MatNode>& nodes() const noexcept override { return nodes_; }
  [[nodiscard]] const std::string& damage() const noexcept override { return damage_; }
  [[nodiscard]] std::uint64_t backed(const MatNode& node) const noexcept override {
    return std::min(node.count, source_->size());
  }

  void add(Entry entry) {
    const auto in = stream(entry);
    auto type = read_header(*in);
    if (!type) {
      if (damage_.empty()) damage_ = fmt::format("'{}' has no NumPy header", excerpt(entry.name));
      return;
    }
    MatNode node;
    node.path = entry.name;
    node.type = type_name(*type);
    // In C order the last side runs fastest; the sides of a node count from the fastest.
    node.dims = type->shape;
    if (!type->fortran) std::reverse(node.dims.begin(), node.dims.end());
    while (node.dims.size() < 2) node.dims.push_back(1);
    node.count = product(type->shape);
    node.complex = type->kind == 'c';
    node.numeric = type->kind == 'f' || type->kind == 'i' || type->kind == 'u' ||
                   type->kind == 'b' || node.complex;
    node.packed = entry.deflated;
    node.handle = arrays_.size();
    if (node.count == 1) read_single(*in, *type, node);
    arrays_.emplace_back(std::move(entry), std::move(*type));
    nodes_.push_back(std::move(node));
  }
  void note_damage(std::string what) {
    if (damage_.empty()) damage_ = std::move(what);
  }

  Result<std::uint64_t> read(const MatNode& node, std::uint64_t first, std::uint64_t count,
                             NumberSink& sink) override {
    const auto& [entry, type] = arrays_.at(node.handle);
    if (!node.numeric || node.complex) return std::uint64_t{0};
    const std::uint64_t there = node.count - std::min(first, node.count);
    const std::uint64_t wanted = std::min(count, there);
    if (!go_to(node.handle, first * type.size)) return std::uint64_t{0};
    std::vector<std::byte> block(at_once * type.size);
    std::uint64_t done = 0;
    while (done < wanted) {
      const auto n = static_cast<std::size_t>(std::min<std::uint64_t>(at_once, wanted - done));
      const std::size_t bytes = open_->read_full(std::span{block}.first(n * type.size));
      position_ += bytes;
      const std::size_t got = bytes / type.size;
      to_doubles(type, block.data(), got, sink.room(got).data());
      sink.filled(got);
      done += got;
      if (got < n) break;
    }
    return done;
  }

 private:
  [[nodiscard]] std::unique_ptr<ByteStream> stream(const Entry& e) const {
    return e.deflated ? unpacking_stream(*source_, e.at, e.packed, Packing::deflate)
                      : plain_stream(*source_, e.at, e.packed);
  }
  /// A number or a short text that stands alone.
  static void read_single(ByteStream& in, const ArrayType& type, MatNode& node) {
    if (type.size > 4 * longest_remark) return;
    std::vector<std::byte> raw(type.size);
    if (in.read_full(raw) < raw.size()) return;
    if (node.numeric && !node.complex) {
      double value = 0;
      to_doubles(type, raw.data(), 1, &value);
      node.value = value;
      return;
    }
    const std::size_t step = type.kind == 'U' ? 4 : 1;
    if (type.kind != 'U' && type.kind != 'S') return;
    for (std::size_t i = 0; i + step <= raw.size(); i += step) {
      const auto c = std::to_integer<unsigned char>(raw[type.big ? i + step - 1 : i]);
      if (c == 0) break;
      const bool ascii = c >= 32 && c < 127;
      // Superscript two and the micro sign, as units have them.
      node.text += ascii       ? std::string(1, static_cast<char>(c))
                   : c == 0xB2 ? "2"
                   : c == 0xB5 ? "u"
                               : "?";
    }
  }
  /// Opens the array at a byte of its data, or goes on where the last call ended.
  bool go_to(std::size_t handle, std::uint64_t byte) {
    const auto& [entry, type] = arrays_.at(handle);
    if (!open_ || at_ != handle || position_ > byte) {
      open_ = stream(entry);
      at_ = handle;
      position_ = 0;
      if (!open_->skip(type.data_at)) return false;
    }
    const bool fine = open_->skip(byte - position_);
    position_ = byte;
    return fine;
  }

  ByteSource* source_;
  bool archive_;
  std::vector<std::pair<Entry, ArrayType>> arrays_;
  std::vector<MatNode> nodes_;
  std::string damage_;
  std::unique_ptr<ByteStream> open_;
  std::size_t at_{};
  std::uint64_t position_{};
};

/// The entries of the archive by its directory at the end; nothing if there is none.
std::optional<std::vector<Entry>> read_directory(ByteSource& source) {
  constexpr std::size_t end_size = 22;
  const std::uint64_t tail = std::min<std::uint64_t>(source.size(), 65557);
  std::vector<std::byte> bytes(static_cast<std::size_t>(tail));
  if (source.read_at(source.size() - tail, bytes) < tail || tail < end_size) return std::nullopt;
  std::size_t at = bytes.size() - end_size + 1;
  do {
    if (at-- == 0) return std::nullopt;
  } while (!says(std::span{bytes}.subspan(at), "PK\x05\x06"));
  Fields end{std::span{bytes}.subspan(at)};
  end.skip(10);
  const std::size_t count = end.u16();
  const std::uint64_t size = end.u32();
  const std::uint64_t begin = end.u32();
  if (begin > source.size() || size > source.size() - begin || count > max_entries)
    return std::nullopt;
  std::vector<std::byte> directory(static_cast<std::size_t>(size));
  if (source.read_at(begin, directory) < directory.size()) return std::nullopt;
  Fields f{directory};
  std::vector<Entry> entries;
  for (std::size_t i = 0; i < count; ++i) {
    if (!says(f.take(4), "PK\x01\x02")) return std::nullopt;
    f.skip(6);
    const unsigned method = f.u16();
    f.skip(8);
    Entry e;
    e.packed = f.u32();
    e.unpacked = f.u32();
    const std::size_t name = f.u16();
    const std::size_t extra = f.u16();
    const std::size_t comment = f.u16();
    f.skip(8);
    const std::uint64_t local = f.u32();
    const auto text = f.take(name);
    f.skip(extra + comment);
    if (!f.good()) return std::nullopt;
    e.name.assign(reinterpret_cast<const char*>(text.data()), text.size());
    std::array<std::byte, 30> head{};
    if (source.read_at(local, head) < head.size() || !says(head, "PK\x03\x04")) return std::nullopt;
    e.at = local + head.size() + little(std::span{head}.subspan(26, 2)) +
           little(std::span{head}.subspan(28, 2));
    e.deflated = method == 8;
    // Larger than four gigabytes, or packed by another method: left out.
    if (method != 0 && method != 8) continue;
    if (e.packed != 0xFFFFFFFFU) entries.push_back(std::move(e));
  }
  return entries;
}

/// .npy, or a .npz archive of them.
/// Errors: corrupt_file
Result<std::unique_ptr<MatFile>> open_numpy(ByteSource& source, const std::string& name) {
  std::array<std::byte, 4> head{};
  const bool archive = source.read_at(0, head) == head.size() && says(head, "PK");
  auto file = std::make_unique<NumpyFile>(source, archive);
  if (!archive) {
    file->add({"array", 0, source.size(), source.size(), false});
  } else {
    const auto entries = read_directory(source);
    if (!entries) file->note_damage("the directory of the archive is damaged or cut off");
    for (Entry e : entries.value_or(std::vector<Entry>{})) {
      if (!e.name.ends_with(".npy")) continue;
      e.name.resize(e.name.size() - 4);
      file->add(std::move(e));
    }
  }
  if (file->nodes().empty())
    return Error{Errc::corrupt_file, name,
                 "not readable as NumPy arrays" +
                     (file->damage().empty() ? std::string{} : ": " + file->damage()),
                 "save it again with numpy.save or numpy.savez"};
  return std::unique_ptr<MatFile>{std::move(file)};
}

/// numpy.savez writes arrays alone.
bool begins_numpy(std::string_view head) {
  return head.starts_with(npy_magic) || first_entry(head).ends_with(".npy");
}

}  // namespace

const Format numpy_format = listed_format<open_numpy>("npy npz", begins_numpy);

}  // namespace bearingdsp::capture_detail
