#include "hdf5_file.hpp"

#include <algorithm>
#include <array>

#include "hdf5_fields.hpp"

namespace bearingdsp::capture_detail {
namespace {

// Object header messages ([hdf5format] IV.A.2).
enum : std::uint16_t {
  msg_dataspace = 0x01,
  msg_link_info = 0x02,
  msg_datatype = 0x03,
  msg_link = 0x06,
  msg_external = 0x07,
  msg_layout = 0x08,
  msg_filters = 0x0B,
  msg_attribute = 0x0C,
  msg_continuation = 0x10,
  msg_symbol_table = 0x11,
};
constexpr std::string_view signature = "\x89HDF\r\n\x1a\n";

/// Bounds against files made to be unpleasant; real ones are far below.
constexpr std::size_t max_rank = 32;
constexpr std::uint64_t largest_heap = 16U << 20U;
constexpr std::uint64_t longest_attribute = 256;
constexpr std::uint64_t max_heap = 1U << 20U;  ///< bytes of a global heap that are looked at
constexpr std::size_t max_attributes = 64;     ///< of one object

/// Up to the first NUL.
std::string text_of(std::span<const std::byte> bytes) {
  std::string out;
  for (const std::byte b : bytes) {
    if (b == std::byte{0}) break;
    out += static_cast<char>(b);
  }
  return out;
}

std::uint64_t padded(std::uint64_t n) noexcept { return (n + 7) / 8 * 8; }

H5Type type_of(std::span<const std::byte> data) {
  Fields f{data};
  const unsigned head = f.u8();
  const unsigned bits = f.u8();
  f.skip(2);
  H5Type t;
  t.size = f.u32();
  t.big_endian = (bits & 1U) != 0;
  const bool whole = t.size == 1 || t.size == 2 || t.size == 4 || t.size == 8;
  switch (head & 0x0FU) {
    case 0: {
      const bool plain = f.u16() == 0 && f.u16() == 8 * t.size;
      t.is_signed = (bits & 8U) != 0;
      if (whole && plain) t.kind = H5Kind::integer;
      break;
    }
    case 1: {
      const bool plain = (bits & 0x40U) == 0 && f.u16() == 0 && f.u16() == 8 * t.size;
      f.skip(1);
      const unsigned exponent = f.u8();
      if (plain && ((t.size == 4 && exponent == 8) || (t.size == 8 && exponent == 11))) {
        t.kind = H5Kind::real;
      }
      break;
    }
    case 3:
      t.kind = H5Kind::text;
      break;
    case 9:
      if ((bits & 0x0FU) == 1) t.kind = H5Kind::long_text;
      break;
    case 6:
      t.kind = H5Kind::compound;
      break;
    case 7:
      if ((bits & 0x0FU) == 0 && whole) t.kind = H5Kind::reference;
      break;
    default:
      break;
  }
  if (!f.good() || t.size == 0) t.kind = H5Kind::other;
  return t;
}

/// false: no such space is known.
bool space_of(std::span<const std::byte> data, std::size_t length_size,
              std::vector<std::uint64_t>& dims) {
  Fields f{data};
  const unsigned version = f.u8();
  const std::size_t rank = f.u8();
  f.skip(1);
  const unsigned kind = f.u8();
  if (version == 1) f.skip(4);
  if ((version != 1 && version != 2) || rank > max_rank) return false;
  dims.clear();
  for (std::size_t i = 0; i < rank; ++i) dims.push_back(f.next(length_size));
  if (version == 2 && kind == 2) dims = {0};
  return f.good();
}

void filters_of(std::span<const std::byte> data, H5Object& out) {
  Fields f{data};
  const unsigned version = f.u8();
  const std::size_t n = f.u8();
  if (version == 1) f.skip(6);
  out.filters.clear();
  bool good = (version == 1 || version == 2) && n <= max_filters;
  for (std::size_t i = 0; good && i < n; ++i) {
    H5Filter filter;
    filter.id = f.u16();
    std::uint64_t name = version == 1 || filter.id >= 256 ? f.u16() : 0;
    f.skip(2);
    const std::size_t values = f.u16();
    f.skip(version == 1 ? padded(name) : name);
    for (std::size_t v = 0; v < values && f.good(); ++v) {
      const std::uint32_t value = f.u32();
      if (v == 0) filter.first_value = value;
    }
    if (version == 1 && values % 2 == 1) f.skip(4);
    good = f.good();
    out.filters.push_back(filter);
  }
  if (!good) out.layout = H5Layout::unknown;
}

void attribute_of(std::span<const std::byte> data, std::size_t length_size, H5Object& out) {
  Fields f{data};
  const unsigned version = f.u8();
  const unsigned flags = f.u8();
  const std::uint64_t name_size = f.u16();
  const std::uint64_t type_size = f.u16();
  const std::uint64_t space_size = f.u16();
  if (version == 3) f.skip(1);
  const auto stride = [&](std::uint64_t n) { return version == 1 ? padded(n) : n; };
  const std::string name = text_of(f.take(stride(name_size)));
  const auto type_data = f.take(stride(type_size));
  const auto space_data = f.take(stride(space_size));
  if (!f.good() || version < 1 || version > 3 || (version > 1 && (flags & 3U) != 0)) return;
  const H5Type type = type_of(type_data);
  std::vector<std::uint64_t> dims;
  if (!space_of(space_data, length_size, dims) || type.size > longest_attribute) return;
  const auto value = f.take(std::min<std::uint64_t>(f.left(), type.size));
  if (value.size() < type.size) return;
  const bool set =
      std::any_of(value.begin(), value.end(), [](std::byte b) { return b != std::byte{0}; });
  if (name == "MATLAB_class" && type.kind == H5Kind::text) out.matlab_class = text_of(value);
  if (name == "MATLAB_empty" && type.kind == H5Kind::integer) out.matlab_empty = set;
  if (name == "MATLAB_sparse") out.matlab_sparse = true;
  const bool one = std::all_of(dims.begin(), dims.end(), [](std::uint64_t d) { return d == 1; });
  if (name.starts_with("MATLAB_") || !one || out.attributes.size() >= max_attributes) return;
  out.attributes.push_back({name, type, {value.begin(), value.end()}});
}

}  // namespace

std::string H5File::text(const H5Attribute& a) {
  if (a.type.kind == H5Kind::text) return text_of(a.value);
  if (a.type.kind != H5Kind::long_text) return {};
  // Length, address of a global heap, index in it.
  Fields f{a.value};
  const std::uint64_t length = f.u32();
  const std::uint64_t heap = f.next(offset_size_);
  const std::uint64_t wanted = f.u32();
  if (!f.good() || length > longest_attribute) return {};
  std::vector<std::byte> head;
  if (!fetch(heap, 8 + length_size_, head)) return {};
  Fields h{head};
  if (!says(h.take(4), "GCOL")) return {};
  h.skip(4);
  const std::uint64_t size = h.next(length_size_);
  const std::uint64_t own = 8 + length_size_;
  for (std::uint64_t at = own; at + own <= size && at < max_heap;) {
    std::vector<std::byte> item;
    if (!fetch(heap + at, own, item)) return {};
    Fields i{item};
    const std::uint64_t index = i.u16();
    i.skip(6);
    const std::uint64_t bytes = i.next(length_size_);
    if (index == 0 || bytes > max_heap) return {};
    if (index == wanted) {
      std::vector<std::byte> text;
      return fetch(heap + at + own, std::min(bytes, length), text) ? text_of(text) : "";
    }
    at += own + padded(bytes);
  }
  return {};
}

std::optional<H5File> H5File::open(ByteSource& source) {
  H5File file{source};
  // A header of the program that wrote it may stand in front, 512 bytes or a power of two times it.
  std::array<std::byte, 8> magic{};
  for (const std::uint64_t at : {0U, 512U, 1024U, 2048U}) {
    if (source.read_at(at, magic) == magic.size() && says(magic, signature)) {
      file.base_ = at;
      file.header_budget_ = 4 * source.size() + 65536;
      file.unpack_budget_ = max_unpacked(source.size()) * 2;
      std::vector<std::byte> head(128);
      head.resize(source.read_at(at, head));
      Fields f{head};
      f.skip(8);
      const unsigned version = f.u8();
      if (version > 3) return std::nullopt;
      if (version < 2) f.skip(4);
      file.offset_size_ = f.u8();
      file.length_size_ = f.u8();
      f.skip(version == 0 ? 9 : version == 1 ? 13 : 1);  // sizes of trees, flags
      const auto known = [](std::size_t n) { return n == 2 || n == 4 || n == 8; };
      if (!known(file.offset_size_) || !known(file.length_size_)) return std::nullopt;
      const std::uint64_t base = f.next(file.offset_size_);
      f.skip(file.offset_size_);
      file.end_ = f.next(file.offset_size_);
      file.end_ += at - base;
      if (version < 2) f.skip(2 * file.offset_size_);
      file.root_ = f.next(file.offset_size_);
      if (!f.good()) return std::nullopt;
      return file;
    }
  }
  return std::nullopt;
}

bool H5File::fetch(std::uint64_t address, std::uint64_t n, std::vector<std::byte>& out) {
  std::uint64_t at = 0;
  if (__builtin_add_overflow(address, base_, &at) || at > source_->size() ||
      n > source_->size() - at || n > header_budget_) {
    return false;
  }
  header_budget_ -= n;
  out.resize(static_cast<std::size_t>(n));
  return source_->read_at(at, out) == n;
}

std::optional<H5Object> H5File::object(std::uint64_t address) {
  std::vector<std::byte> head;
  H5Object out;
  if (!fetch(address, 4, head)) return std::nullopt;
  const bool good = says(head, "OHDR") ? header_2(address, out) : header_1(address, out);
  if (!good) return std::nullopt;
  return out;
}

bool H5File::header_1(std::uint64_t address, H5Object& out) {
  std::vector<std::byte> block;
  if (!fetch(address, 16, block)) return false;
  Fields f{block};
  if (f.u8() != 1) return false;
  f.skip(7);
  std::vector<std::pair<std::uint64_t, std::uint64_t>> blocks{{address + 16, f.u32()}};
  // Each block read takes from the budget, so that blocks that name each other end.
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const auto [at, size] = blocks[b];
    if (size == 0) continue;
    if (!fetch(at, size, block)) return false;
    Fields m{block};
    while (m.left() >= 8) {
      const std::uint16_t type = m.u16();
      const std::uint64_t length = m.u16();
      const unsigned flags = m.u8();
      m.skip(3);
      const auto data = m.take(length);
      if (!m.good()) return false;
      if (type == msg_continuation) {
        Fields c{data};
        const std::uint64_t next = c.next(offset_size_);
        const std::uint64_t next_size = c.next(length_size_);
        if (!c.good()) return false;
        blocks.emplace_back(next, next_size);
      } else if ((flags & 2U) == 0 && !message(type, data, out)) {
        return false;
      }
    }
  }
  return true;
}

bool H5File::header_2(std::uint64_t address, H5Object& out) {
  std::vector<std::byte> block;
  if (!fetch(address, 6, block)) return false;
  const auto flags = std::to_integer<unsigned>(block[5]);
  if (std::to_integer<unsigned>(block[4]) != 2) return false;
  const std::uint64_t extra = ((flags & 0x20U) != 0 ? 16U : 0U) + ((flags & 0x10U) != 0 ? 4U : 0U);
  const std::uint64_t width = std::uint64_t{1} << (flags & 3U);
  if (!fetch(address + 6 + extra, width, block)) return false;
  std::vector<std::pair<std::uint64_t, std::uint64_t>> blocks{
      {address + 6 + extra + width, little(block)}};
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const auto [at, size] = blocks[b];
    if (size == 0) continue;
    if (!fetch(at, size, block)) return false;
    std::span<const std::byte> inner{block};
    if (b > 0) {  // a continuation has a signature before and a checksum behind
      if (!says(inner, "OCHK") || inner.size() < 8) return false;
      inner = inner.subspan(4, inner.size() - 8);
    }
    Fields m{inner};
    const std::size_t head = (flags & 4U) != 0 ? 6 : 4;
    while (m.left() >= head) {
      const std::uint16_t type = m.u8();
      const std::uint64_t length = m.u16();
      const unsigned shared = m.u8();
      m.skip(head - 4);
      const auto data = m.take(length);
      if (!m.good()) return false;
      if (type == msg_continuation) {
        Fields c{data};
        const std::uint64_t next = c.next(offset_size_);
        const std::uint64_t next_size = c.next(length_size_);
        if (!c.good()) return false;
        blocks.emplace_back(next, next_size);
      } else if ((shared & 2U) == 0 && !message(type, data, out)) {
        return false;
      }
    }
  }
  return true;
}

bool H5File::message(std::uint16_t type, std::span<const std::byte> data, H5Object& out) {
  Fields f{data};
  switch (type) {
    case msg_dataspace:
      return space_of(data, length_size_, out.dims);
    case msg_datatype:
      out.type = type_of(data);
      return true;
    case msg_layout:
      layout(data, out);
      return true;
    case msg_filters:
      filters_of(data, out);
      return true;
    case msg_external:
      out.elsewhere = true;
      return true;
    case msg_attribute:
      attribute_of(data, length_size_, out);
      return true;
    case msg_symbol_table:
      out.group = true;
      out.tree = f.next(offset_size_);
      out.heap = f.next(offset_size_);
      return f.good();
    case msg_link_info: {
      out.group = true;
      f.skip(1);
      const unsigned flags = f.u8();
      if ((flags & 1U) != 0) f.skip(8);
      const auto heap = f.take(offset_size_);
      out.unlisted =
          std::any_of(heap.begin(), heap.end(), [](std::byte b) { return b != std::byte{0xFF}; });
      return f.good();
    }
    case msg_link: {
      out.group = true;
      f.skip(1);
      const unsigned flags = f.u8();
      const unsigned kind = (flags & 8U) != 0 ? f.u8() : 0;
      if ((flags & 4U) != 0) f.skip(8);
      if ((flags & 0x10U) != 0) f.skip(1);
      const std::uint64_t length = f.next(std::size_t{1} << (flags & 3U));
      const std::string name = text_of(f.take(length));
      const std::uint64_t address = f.next(offset_size_);
      if (kind == 0 && f.good()) out.links.emplace_back(name, address);
      return true;
    }
    default:
      return true;
  }
}

void H5File::layout(std::span<const std::byte> data, H5Object& out) const {
  Fields f{data};
  const unsigned version = f.u8();
  const unsigned kind = f.u8();
  out.layout = H5Layout::unknown;
  if (version != 3 && version != 4) return;
  const std::uint64_t nowhere =
      offset_size_ == 8 ? ~std::uint64_t{0} : (std::uint64_t{1} << (8 * offset_size_)) - 1;
  if (kind == 0) {
    const auto inside = f.take(f.u16());
    out.inside.assign(inside.begin(), inside.end());
    if (f.good()) out.layout = H5Layout::compact;
  } else if (kind == 1) {
    out.at = f.next(offset_size_);
    out.size = f.next(length_size_);
    if (f.good()) out.layout = out.at == nowhere ? H5Layout::absent : H5Layout::contiguous;
  } else if (kind == 2) {
    const unsigned flags = version == 4 ? f.u8() : 0;
    const std::size_t sides = f.u8();  // one for each dimension and the size of an element
    if (sides < 2 || sides > max_rank + 1) return;
    if (version == 3) out.at = f.next(offset_size_);
    const std::size_t width = version == 3 ? 4 : f.u8();
    if (width < 1 || width > 8) return;
    out.chunk.clear();
    for (std::size_t i = 0; i < sides; ++i) out.chunk.push_back(f.next(width));
    out.chunk.pop_back();
    if (version == 4) {
      if (f.u8() != 1) return;  // of the new ways to list chunks only the one that needs no list
      out.single = true;
      if ((flags & 2U) != 0) {
        out.size = f.next(length_size_);
        out.single_mask = f.u32();
      }
      out.at = f.next(offset_size_);
    }
    if (f.good()) out.layout = out.at == nowhere ? H5Layout::absent : H5Layout::chunked;
  }
}

std::optional<std::vector<std::pair<std::string, std::uint64_t>>> H5File::members(
    const H5Object& group, std::size_t most) {
  std::vector<std::pair<std::string, std::uint64_t>> out = group.links;
  if (group.unlisted) return std::nullopt;
  if (group.tree != 0) {
    // The local heap: signature, version, size, free list, where its bytes lie.
    std::vector<std::byte> block;
    if (!fetch(group.heap, 8 + 2 * length_size_ + offset_size_, block) || !says(block, "HEAP")) {
      return std::nullopt;
    }
    Fields f{block};
    f.skip(8);
    const std::uint64_t size = f.next(length_size_);
    f.skip(length_size_);
    const std::uint64_t at = f.next(offset_size_);
    std::vector<std::byte> names;
    if (size > largest_heap || !fetch(at, size, names)) return std::nullopt;
    if (!group_node(group.tree, -1, names, most, out)) return std::nullopt;
  }
  if (out.size() > most) out.resize(most);
  std::sort(out.begin(), out.end());
  return out;
}

bool H5File::group_node(std::uint64_t address, int level, std::span<const std::byte> names,
                        std::size_t most, std::vector<std::pair<std::string, std::uint64_t>>& out) {
  std::vector<std::byte> block;
  const std::size_t head = 8 + 2 * offset_size_;
  if (!fetch(address, head, block) || !says(block, "TREE")) return false;
  const auto own = std::to_integer<int>(block[5]);
  if (block[4] != std::byte{0} || (level >= 0 && own != level - 1)) return false;
  const std::uint64_t entries = little(std::span{block}.subspan(6, 2));
  if (!fetch(address + head, entries * (length_size_ + offset_size_), block)) return false;
  Fields f{block};
  for (std::uint64_t i = 0; i < entries && out.size() < most; ++i) {
    f.skip(length_size_);
    const std::uint64_t child = f.next(offset_size_);
    const bool good =
        own == 0 ? symbols(child, names, most, out) : group_node(child, own, names, most, out);
    if (!good) return false;
  }
  return true;
}

bool H5File::symbols(std::uint64_t address, std::span<const std::byte> names, std::size_t most,
                     std::vector<std::pair<std::string, std::uint64_t>>& out) {
  std::vector<std::byte> block;
  if (!fetch(address, 8, block) || !says(block, "SNOD")) return false;
  const std::uint64_t entries = little(std::span{block}.subspan(6, 2));
  if (!fetch(address + 8, entries * (2 * offset_size_ + 24), block)) return false;
  Fields f{block};
  for (std::uint64_t i = 0; i < entries && out.size() < most; ++i) {
    const std::uint64_t name = f.next(offset_size_);
    const std::uint64_t header = f.next(offset_size_);
    const std::uint64_t cached = f.u32();
    f.skip(20);
    if (name >= names.size()) return false;
    constexpr std::uint64_t symbolic_link = 2;
    if (cached != symbolic_link) {
      out.emplace_back(text_of(names.subspan(static_cast<std::size_t>(name))), header);
    }
  }
  return true;
}

}  // namespace bearingdsp::capture_detail
