/// MAT v4 and v5. Source: the published MAT-file format description (level 4 and level 5).
#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <optional>
#include <type_traits>
#include <utility>

#include <fmt/format.h>

#include "array_size.hpp"
#include "mat_file.hpp"
#include "number_bytes.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

static_assert(std::endian::native == std::endian::little, "the byte order below assumes it");

// Data types of elements (format description, table 1-1).
enum : std::uint32_t {
  mi_int8 = 1,
  mi_uint8 = 2,
  mi_int16 = 3,
  mi_uint16 = 4,
  mi_int32 = 5,
  mi_uint32 = 6,
  mi_single = 7,
  mi_double = 9,
  mi_int64 = 12,
  mi_uint64 = 13,
  mi_matrix = 14,
  mi_compressed = 15,
  mi_utf8 = 16,
  mi_utf16 = 17,
  mi_utf32 = 18,
};
// Array classes (table 1-3).
enum : std::uint32_t {
  mx_cell = 1,
  mx_struct = 2,
  mx_object = 3,
  mx_char = 4,
  mx_sparse = 5,
  mx_double = 6,
  mx_uint64 = 15,
  mx_opaque = 17,
};
constexpr std::array class_names{"empty",  "cell",   "struct", "object", "char",     "sparse",
                                 "double", "single", "int8",   "uint8",  "int16",    "uint16",
                                 "int32",  "uint32", "int64",  "uint64", "function", "opaque"};

/// Bounds against files made to be unpleasant; real ones are far below.
constexpr int deepest = 16;
constexpr std::size_t max_nodes = 20000;
constexpr std::uint64_t max_dims = 32;
constexpr std::uint32_t longest_name = 4096;
constexpr std::uint32_t longest_field_list = 1U << 20U;
constexpr std::uint64_t longest_text = 256;
constexpr std::size_t block_numbers = 8192;

std::uint64_t width(std::uint32_t type) noexcept {
  switch (type) {
    case mi_int8:
    case mi_uint8:
    case mi_utf8:
      return 1;
    case mi_int16:
    case mi_uint16:
    case mi_utf16:
      return 2;
    case mi_int32:
    case mi_uint32:
    case mi_single:
    case mi_utf32:
      return 4;
    case mi_double:
    case mi_int64:
    case mi_uint64:
      return 8;
    default:
      return 0;
  }
}

template <class T>
T load(const std::byte* p, bool swapped) noexcept {
  std::array<std::byte, sizeof(T)> raw{};
  std::memcpy(raw.data(), p, sizeof(T));
  if (swapped) std::reverse(raw.begin(), raw.end());
  return std::bit_cast<T>(raw);
}

void to_doubles(std::uint32_t type, const std::byte* in, std::size_t n, bool swapped,
                double* out) noexcept {
  switch (type) {
    case mi_int8:
      return convert_numbers<std::int8_t>(in, n, swapped, out);
    case mi_uint8:
      return convert_numbers<std::uint8_t>(in, n, swapped, out);
    case mi_int16:
      return convert_numbers<std::int16_t>(in, n, swapped, out);
    case mi_uint16:
      return convert_numbers<std::uint16_t>(in, n, swapped, out);
    case mi_int32:
      return convert_numbers<std::int32_t>(in, n, swapped, out);
    case mi_uint32:
      return convert_numbers<std::uint32_t>(in, n, swapped, out);
    case mi_single:
      return convert_numbers<float>(in, n, swapped, out);
    case mi_int64:
      return convert_numbers<std::int64_t>(in, n, swapped, out);
    case mi_uint64:
      return convert_numbers<std::uint64_t>(in, n, swapped, out);
    default:
      return convert_numbers<double>(in, n, swapped, out);
  }
}

/// Where the numbers of a node lie.
struct Place {
  std::uint64_t element_at{};  ///< first byte of the (packed) element's content
  std::uint64_t element_size{};
  bool packed{};
  std::uint64_t data_at{};  ///< within the element's unpacked content
  std::uint32_t type{};
};

/// Characters that a v4 file keeps as numbers.
class TextSink final : public NumberSink {
 public:
  std::span<double> room(std::size_t n) override {
    numbers_.resize(n);
    return numbers_;
  }
  void filled(std::size_t n) override {
    for (std::size_t i = 0; i < n; ++i) {
      const double c = numbers_[i];
      text += c >= 32 && c < 127 ? static_cast<char>(c) : ' ';
    }
  }
  std::string text;

 private:
  std::vector<double> numbers_;
};

/// A stream that knows its place.
class Cursor {
 public:
  Cursor(std::unique_ptr<ByteStream> stream, bool swapped)
      : stream_{std::move(stream)}, swapped_{swapped} {}
  bool read(std::span<std::byte> out) {
    const std::size_t n = stream_->read_full(out);
    at_ += n;
    return n == out.size();
  }
  bool skip(std::uint64_t n) {
    if (!stream_->skip(n)) return false;
    at_ += n;
    return true;
  }
  [[nodiscard]] std::uint64_t at() const noexcept { return at_; }
  [[nodiscard]] bool swapped() const noexcept { return swapped_; }
  /// As many bytes as there are, up to out.size().
  std::size_t read_some(std::span<std::byte> out) {
    const std::size_t n = stream_->read_full(out);
    at_ += n;
    return n;
  }

 private:
  std::unique_ptr<ByteStream> stream_;
  std::uint64_t at_{};
  bool swapped_;
};

/// The tag before every element; a small element carries its data within the tag.
struct Tag {
  std::uint32_t type{};
  std::uint32_t size{};
  bool small{};
  std::array<std::byte, 4> inline_data{};
};

class Mat5File final : public MatFile {
 public:
  Mat5File(ByteSource& source, std::string name, bool swapped)
      : source_{&source}, name_{std::move(name)}, swapped_{swapped} {}

  [[nodiscard]] std::string format() const override { return v4_ ? "MAT v4" : "MAT v5"; }
  [[nodiscard]] const std::vector<MatNode>& nodes() const noexcept override { return nodes_; }
  [[nodiscard]] const std::string& damage() const noexcept override { return damage_; }

  Result<std::uint64_t> read(const MatNode& node, std::uint64_t first, std::uint64_t count,
                             NumberSink& sink) override {
    const Place& place = places_.at(node.handle);
    const std::uint64_t size = width(place.type);
    const std::uint64_t begin = place.data_at + first * size;
    std::optional<Cursor> kept = cursor_at(node.handle, begin);
    if (!kept) {
      kept.emplace(stream_of(place), swapped_);
      if (!kept->skip(begin)) return std::uint64_t{0};
    }
    Cursor& in = *kept;
    const bool as_held = place.type == mi_double && !swapped_;
    std::vector<std::byte> raw(as_held ? 0 : block_numbers * static_cast<std::size_t>(size));
    std::uint64_t done = 0;
    while (done < count) {
      const auto want =
          static_cast<std::size_t>(std::min<std::uint64_t>(block_numbers, count - done));
      const std::span<double> numbers = sink.room(want);
      const std::span<std::byte> to =
          as_held ? std::as_writable_bytes(numbers) : std::span<std::byte>{raw};
      const std::size_t bytes = in.read_some(to.first(want * static_cast<std::size_t>(size)));
      const std::size_t got = bytes / static_cast<std::size_t>(size);
      if (!as_held) to_doubles(place.type, raw.data(), got, swapped_, numbers.data());
      sink.filled(got);
      done += got;
      if (got < want) return done;
    }
    // A packed variable read on from here does not have to be unpacked from its start.
    if (place.packed && first + count < node.count) keep_cursor(node.handle, std::move(in));
    return done;
  }

  [[nodiscard]] std::uint64_t backed(const MatNode& node) const noexcept override {
    const Place& place = places_[node.handle];
    const std::uint64_t bytes =
        std::min(place.element_size, source_->size() - std::min(source_->size(), place.element_at));
    // Unpacked data are let grow beyond this.
    return std::min(node.count, bytes / std::max<std::uint64_t>(1, width(place.type)) + 1);
  }

  void list5() {
    std::uint64_t at = 128;
    while (at + 8 <= source_->size() && nodes_.size() < max_nodes) {
      std::array<std::byte, 8> head{};
      if (source_->read_at(at, head) < head.size()) break;
      const auto type = load<std::uint32_t>(head.data(), swapped_);
      const auto size = load<std::uint32_t>(head.data() + 4, swapped_);
      element_ = Place{at + 8, size, type == mi_compressed, 0, 0};
      if (type == mi_compressed) {
        Cursor in{stream_of(element_), swapped_};
        Tag tag;
        if (!read_tag(in, tag)) {
          damage_ = fmt::format("the compressed variable at byte {} is damaged", at);
        } else if (tag.type == mi_matrix) {
          if (!matrix(in, tag.size, "", 0, true)) note_damage(at);
        }
      } else if (type == mi_matrix) {
        Cursor in{stream_of(element_), swapped_};
        if (!matrix(in, size, "", 0, true)) note_damage(at);
      } else if (width(type) == 0 || (type >> 16U) != 0) {
        damage_ = fmt::format("no variable starts at byte {}, where one is expected", at);
        return;
      }
      at += 8 + std::uint64_t{size};
    }
    if (nodes_.size() >= max_nodes) damage_ = fmt::format("more than {} variables", max_nodes);
  }

  void list4() {
    v4_ = true;
    std::uint64_t at = 0;
    while (at + 20 <= source_->size() && nodes_.size() < max_nodes && variable4(at)) {
    }
  }

 private:
  /// One variable of a file of version 4, from `at`, which is moved behind it. False at the end.
  bool variable4(std::uint64_t& at) {
    std::array<std::byte, 20> head{};
    if (source_->read_at(at, head) < head.size()) return false;
    std::array<std::uint32_t, 5> w{};
    for (std::size_t i = 0; i < w.size(); ++i)
      w[i] = load<std::uint32_t>(head.data() + 4 * i, swapped_);
    const std::uint32_t precision = (w[0] / 10) % 10;
    const std::uint32_t kind = w[0] % 10;
    constexpr std::array types{mi_double, mi_single, mi_int32, mi_int16, mi_uint16, mi_uint8};
    if (w[0] >= 5000 || precision >= types.size() || kind > 2 || w[4] == 0 || w[4] > longest_name)
      return damaged(fmt::format("no variable starts at byte {}, where one is expected", at));
    std::string name(w[4], '\0');
    if (source_->read_at(at + 20, std::as_writable_bytes(std::span{name})) < name.size())
      return damaged(fmt::format("the file ends within the name at byte {}", at));
    name.resize(std::min(name.size(), name.find('\0')));
    MatNode node;
    node.path = name;
    node.dims = {w[1], w[2]};
    node.count = product(node.dims);
    const std::uint32_t type = types[precision];
    const Place place{at + 20 + w[4], source_->size() - (at + 20 + w[4]), false, 0, type};
    std::uint64_t bytes = 0;
    const bool fits =
        !__builtin_mul_overflow(node.count, width(type) * (w[3] != 0 ? 2 : 1), &bytes);
    node.type = kind == 1 ? "char" : kind == 2 ? "sparse" : class_of(type);
    node.numeric = kind == 0;
    node.complex = w[3] != 0;
    if (kind == 1 && node.count <= longest_text) node.text = text4(node, place);
    if (node.numeric && !node.complex && node.count == 1) node.value = number4(place);
    add(std::move(node), place);
    if (!fits || bytes > place.element_size)
      return damaged(
          fmt::format("variable '{}' extends beyond the end of the file", excerpt(name)));
    at = place.element_at + bytes;
    return true;
  }

  bool damaged(std::string how) {
    damage_ = std::move(how);
    return false;
  }

  std::string text4(const MatNode& node, const Place& place) {
    MatNode copy = node;
    copy.handle = places_.size();
    places_.push_back(place);
    TextSink text;
    const auto n = read(copy, 0, copy.count, text);
    places_.pop_back();
    return n ? text.text : std::string{};
  }

  std::optional<double> number4(const Place& place) {
    std::array<std::byte, 8> scalar{};
    const std::span one = std::span{scalar}.first(static_cast<std::size_t>(width(place.type)));
    if (source_->read_at(place.element_at, one) != one.size()) return std::nullopt;
    double value = 0;
    to_doubles(place.type, scalar.data(), 1, swapped_, &value);
    return value;
  }

  static std::string class_of(std::uint32_t type) {
    switch (type) {
      case mi_single:
        return "single";
      case mi_int32:
        return "int32";
      case mi_int16:
        return "int16";
      case mi_uint16:
        return "uint16";
      case mi_uint8:
        return "uint8";
      default:
        return "double";
    }
  }

  [[nodiscard]] std::unique_ptr<ByteStream> stream_of(const Place& place) const {
    return place.packed
               ? unpacking_stream(*source_, place.element_at, place.element_size, Packing::zlib)
               : plain_stream(*source_, place.element_at, place.element_size);
  }

  /// A cursor that was left at this byte of a packed variable, taken out.
  std::optional<Cursor> cursor_at(std::size_t handle, std::uint64_t at) {
    const auto found = std::find_if(cursors_.begin(), cursors_.end(), [&](const auto& c) {
      return c.first == handle && c.second.at() == at;
    });
    if (found == cursors_.end()) return std::nullopt;
    std::optional<Cursor> cursor{std::move(found->second)};
    cursors_.erase(found);
    return cursor;
  }
  void keep_cursor(std::size_t handle, Cursor cursor) {
    constexpr std::size_t max_cursors = 64;
    if (cursors_.size() == max_cursors) cursors_.erase(cursors_.begin());
    cursors_.emplace_back(handle, std::move(cursor));
  }

  void note_damage(std::uint64_t at) {
    if (damage_.empty()) damage_ = fmt::format("the variable at byte {} is damaged or cut off", at);
  }

  void add(MatNode node, const Place& place) {
    node.handle = places_.size();
    node.packed = place.packed;
    places_.push_back(place);
    nodes_.push_back(std::move(node));
  }

  static bool read_tag(Cursor& in, Tag& tag) {
    std::array<std::byte, 8> head{};
    if (!in.read(head)) return false;
    const auto first = load<std::uint32_t>(head.data(), in.swapped());
    tag = Tag{};
    if ((first >> 16U) != 0) {
      tag.small = true;
      tag.type = first & 0xFFFFU;
      tag.size = first >> 16U;
      std::copy(head.begin() + 4, head.end(), tag.inline_data.begin());
      return tag.size <= 4;
    }
    tag.type = first;
    tag.size = load<std::uint32_t>(head.data() + 4, in.swapped());
    return true;
  }

  static std::uint64_t padded(std::uint64_t size) noexcept { return (size + 7) / 8 * 8; }

  /// The bytes of a short element.
  static bool read_short(Cursor& in, std::uint32_t limit, Tag& tag, std::vector<std::byte>& out) {
    if (!read_tag(in, tag) || tag.size > limit) return false;
    if (tag.small) {
      out.assign(tag.inline_data.begin(), tag.inline_data.begin() + tag.size);
      return true;
    }
    out.clear();
    // Grows with what is there, so that a lying length costs nothing.
    std::array<std::byte, 4096> block{};
    for (std::uint64_t left = tag.size; left > 0;) {
      const auto n = static_cast<std::size_t>(std::min<std::uint64_t>(left, block.size()));
      if (!in.read(std::span{block}.first(n))) return false;
      out.insert(out.end(), block.begin(), block.begin() + static_cast<std::ptrdiff_t>(n));
      left -= n;
    }
    return in.skip(padded(tag.size) - tag.size);
  }

  /// One array, with all that is nested in it; in stands behind the tag of the array.
  /// false: damaged or cut off (what was found before stays listed).
  bool matrix(Cursor& in, std::uint64_t size, const std::string& path, int depth, bool last) {
    // An empty array takes no node but time: packed, millions of them fit into a small file.
    if (size == 0) return ++empty_ < max_nodes;
    if (depth > deepest || nodes_.size() >= max_nodes) return false;
    const std::uint64_t end = in.at() + size;
    MatNode node;
    const auto cls = class_flags(in, node);
    if (!cls) return false;
    // An opaque object has no dimensions.
    if (*cls != mx_opaque) {
      if (!dimensions(in, node) || !own_name(in, node.path)) return false;
      if (depth > 0) node.path = path;
      if (!content(in, *cls, std::move(node), depth, last)) return false;
    }
    // The last array of an element needs no skipping: unpacking it only to throw it away is dear.
    return last || in.skip(end - std::min(end, in.at()));
  }

  bool content(Cursor& in, std::uint32_t cls, MatNode node, int depth, bool last) {
    if (cls >= mx_double && cls <= mx_uint64) return numbers(in, std::move(node));
    if (cls == mx_char) return characters(in, std::move(node), last);
    if (cls == mx_cell) return cells(in, std::move(node), depth);
    if (cls == mx_struct || cls == mx_object)
      return structure(in, std::move(node), cls == mx_object, depth);
    add(std::move(node), element_);
    return true;
  }

  /// The class of an array; none where it is damaged.
  std::optional<std::uint32_t> class_flags(Cursor& in, MatNode& node) {
    Tag tag;
    std::vector<std::byte> bytes;
    if (!read_short(in, 16, tag, bytes) || tag.type != mi_uint32 || bytes.size() < 8) return {};
    const auto flags = load<std::uint32_t>(bytes.data(), swapped_);
    const std::uint32_t cls = flags & 0xFFU;
    node.complex = (flags & 0x0800U) != 0;
    node.type = cls < class_names.size() ? class_names[cls] : "unknown";
    return cls;
  }

  bool dimensions(Cursor& in, MatNode& node) {
    Tag tag;
    std::vector<std::byte> bytes;
    if (!read_short(in, static_cast<std::uint32_t>(4 * max_dims), tag, bytes) ||
        tag.type != mi_int32 || bytes.size() < 8)
      return false;
    for (std::size_t i = 0; i + 4 <= bytes.size(); i += 4) {
      const auto d = load<std::int32_t>(bytes.data() + i, swapped_);
      if (d < 0) return false;
      node.dims.push_back(static_cast<std::uint64_t>(d));
    }
    node.count = product(node.dims);
    return true;
  }

  bool own_name(Cursor& in, std::string& name) {
    Tag tag;
    std::vector<std::byte> bytes;
    if (!read_short(in, longest_name, tag, bytes)) return false;
    name.resize(bytes.size());
    std::transform(bytes.begin(), bytes.end(), name.begin(),
                   [](std::byte b) { return static_cast<char>(b); });
    name.resize(std::min(name.size(), name.find('\0')));
    return true;
  }

  /// The samples stay where they are; a single number is read.
  bool numbers(Cursor& in, MatNode node) {
    node.numeric = true;
    Tag tag;
    if (!read_tag(in, tag)) return false;
    const std::uint64_t each = width(tag.type);
    if (each == 0 || tag.type >= mi_utf8) return false;
    std::uint64_t bytes_needed = 0;
    if (__builtin_mul_overflow(node.count, each, &bytes_needed) || bytes_needed != tag.size)
      return false;
    Place place = element_;
    place.type = tag.type;
    place.data_at = tag.small ? in.at() - 4 : in.at();
    if (!node.complex && node.count == 1) {
      std::array<std::byte, 8> scalar{};
      std::copy(tag.inline_data.begin(), tag.inline_data.end(), scalar.begin());
      if (!tag.small && !in.read(std::span{scalar}.first(tag.size))) return false;
      double value = 0;
      to_doubles(tag.type, scalar.data(), 1, swapped_, &value);
      node.value = value;
    }
    add(std::move(node), place);
    return true;
  }

  bool characters(Cursor& in, MatNode node, bool last) {
    Tag tag;
    if (!read_tag(in, tag)) return false;
    std::uint64_t left = tag.small ? 0 : tag.size;
    std::vector<std::byte> raw;
    if (tag.small) raw.assign(tag.inline_data.begin(), tag.inline_data.begin() + tag.size);
    if (!tag.small && tag.size <= longest_text * 4) {
      raw.resize(tag.size);
      if (!in.read(raw)) return false;
      left = padded(tag.size) - tag.size;
    }
    const auto step = static_cast<std::size_t>(std::max<std::uint64_t>(1, width(tag.type)));
    for (std::size_t i = 0; i + step <= raw.size() && node.text.size() < longest_text; i += step) {
      const auto c = static_cast<unsigned char>(raw[swapped_ ? i + step - 1 : i]);
      node.text += c >= 32 && c < 127 ? static_cast<char>(c) : ' ';
    }
    add(std::move(node), element_);
    return last || in.skip(left);
  }

  bool cells(Cursor& in, MatNode node, int depth) {
    const std::uint64_t count = node.count;
    const std::string base = node.path;
    add(std::move(node), element_);
    for (std::uint64_t i = 0; i < count; ++i)
      if (!nested(in, fmt::format("{}{{{}}}", base, i + 1), depth)) return false;
    return true;
  }

  bool structure(Cursor& in, MatNode node, bool object, int depth) {
    std::vector<std::string> fields;
    if (!field_names(in, object, fields)) return false;
    const std::uint64_t count = node.count;
    const std::string base = node.path;
    add(std::move(node), element_);
    if (fields.empty()) return true;
    for (std::uint64_t i = 0; i < count; ++i)
      for (const std::string& field : fields) {
        const std::string at = count == 1 ? fmt::format("{}.{}", base, field)
                                          : fmt::format("{}({}).{}", base, i + 1, field);
        if (!nested(in, at, depth)) return false;
      }
    return true;
  }

  bool nested(Cursor& in, const std::string& path, int depth) {
    Tag tag;
    return read_tag(in, tag) && tag.type == mi_matrix &&
           matrix(in, tag.size, path, depth + 1, false);
  }

  bool field_names(Cursor& in, bool object, std::vector<std::string>& fields) {
    Tag tag;
    std::vector<std::byte> bytes;
    if (object && !read_short(in, longest_name, tag, bytes)) return false;  // name of the class
    if (!read_short(in, 4, tag, bytes) || bytes.size() != 4) return false;
    const auto each = load<std::int32_t>(bytes.data(), swapped_);
    if (each < 1 || each > static_cast<std::int32_t>(longest_name)) return false;
    if (!read_short(in, longest_field_list, tag, bytes)) return false;
    const auto step = static_cast<std::size_t>(each);
    for (std::size_t i = 0; i + step <= bytes.size(); i += step) {
      std::string field;
      for (std::size_t k = i; k < i + step && bytes[k] != std::byte{0}; ++k)
        field += static_cast<char>(bytes[k]);
      fields.push_back(std::move(field));
    }
    return true;
  }

  ByteSource* source_;
  std::string name_;
  bool swapped_;
  bool v4_{};
  Place element_;
  std::size_t empty_{};
  std::vector<MatNode> nodes_;
  std::vector<Place> places_;
  std::vector<std::pair<std::size_t, Cursor>> cursors_;  ///< node and where it was left
  std::string damage_;
};

}  // namespace

Result<std::unique_ptr<MatFile>> open_mat5(ByteSource& source, const std::string& name) {
  std::array<std::byte, 128> head{};
  if (source.read_at(0, head) < head.size()) {
    return Error{Errc::corrupt_file, name, "ends within the MAT header", "copy it again"};
  }
  const bool swapped = head[126] == std::byte{'M'} && head[127] == std::byte{'I'};
  auto file = std::make_unique<Mat5File>(source, name, swapped);
  file->list5();
  return std::unique_ptr<MatFile>{std::move(file)};
}

Result<std::unique_ptr<MatFile>> open_mat4(ByteSource& source, const std::string& name) {
  std::array<std::byte, 4> head{};
  if (source.read_at(0, head) < head.size()) {
    return Error{Errc::corrupt_file, name, "ends within the MAT header", "copy it again"};
  }
  const bool swapped = load<std::uint32_t>(head.data(), false) >= 5000;
  auto file = std::make_unique<Mat5File>(source, name, swapped);
  file->list4();
  return std::unique_ptr<MatFile>{std::move(file)};
}

}  // namespace bearingdsp::capture_detail
