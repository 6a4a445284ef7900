/// MAT v7.3: HDF5 with the attributes that say what class an array is of. A struct is a group; an
/// array of structs a group of arrays of references; a cell array one of references. Sides are
/// stored in the other order. Source: [hdf5format]; the attributes as files in the open show them.
#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

#include <fmt/format.h>

#include "hdf5_file.hpp"
#include "mat_file.hpp"
#include "number_bytes.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

constexpr int deepest_group = 16;
constexpr std::size_t max_members = 20000;
constexpr std::uint64_t longest_string = 256;

/// n elements of a kind that is a number.
void to_doubles(const H5Type& t, const std::byte* in, std::size_t n, double* out) noexcept {
  if (t.kind == H5Kind::real) {
    return t.size == 4 ? convert_numbers<float>(in, n, t.big_endian, out)
                       : convert_numbers<double>(in, n, t.big_endian, out);
  }
  switch (t.size) {
    case 1:
      return t.is_signed ? convert_numbers<std::int8_t>(in, n, false, out)
                         : convert_numbers<std::uint8_t>(in, n, false, out);
    case 2:
      return t.is_signed ? convert_numbers<std::int16_t>(in, n, t.big_endian, out)
                         : convert_numbers<std::uint16_t>(in, n, t.big_endian, out);
    case 4:
      return t.is_signed ? convert_numbers<std::int32_t>(in, n, t.big_endian, out)
                         : convert_numbers<std::uint32_t>(in, n, t.big_endian, out);
    default:
      return t.is_signed ? convert_numbers<std::int64_t>(in, n, t.big_endian, out)
                         : convert_numbers<std::uint64_t>(in, n, t.big_endian, out);
  }
}

bool is_number(const H5Type& t) noexcept {
  return t.kind == H5Kind::integer || t.kind == H5Kind::real;
}

std::string number_class(const H5Type& t) {
  if (t.kind == H5Kind::real) return t.size == 4 ? "single" : "double";
  return fmt::format("{}int{}", t.is_signed ? "" : "u", 8 * t.size);
}

/// Classes whose arrays are the numbers they look like. No class: not written as MAT.
bool numeric_class(std::string_view name) noexcept {
  constexpr std::array names{"",      "double", "single", "logical", "int8",  "uint8",
                             "int16", "uint16", "int32",  "uint32",  "int64", "uint64"};
  return std::find(names.begin(), names.end(), name) != names.end();
}

class Mat73File final : public MatFile {
 public:
  Mat73File(ByteSource& source, std::string name, H5File file)
      : source_{&source}, name_{std::move(name)}, file_{file} {}

  [[nodiscard]] std::string format() const override { return format_; }
  [[nodiscard]] const std::vector<MatNode>& nodes() const noexcept override { return nodes_; }
  [[nodiscard]] const std::string& damage() const noexcept override { return damage_; }

  void list() {
    std::array<std::byte, 7> start{};
    const bool matlab = source_->read_at(0, start) == start.size() &&
                        std::memcmp(start.data(), "MATLAB ", start.size()) == 0;
    format_ = matlab ? "MAT v7.3" : "HDF5";
    if (file_.claimed_size() > source_->size()) {
      damage_ =
          fmt::format("the file ends after {} of {} bytes", source_->size(), file_.claimed_size());
    }
    const auto root = file_.object(file_.root());
    const auto members = root ? file_.members(*root, max_members) : std::nullopt;
    if (!members) {
      return note_damage("the list of variables", root && root->unlisted);
    }
    add_attributes(*root, "");
    for (const auto& [name, address] : *members) {
      // What cells and objects refer to; not variables themselves.
      if (name != "#refs#" && name != "#subsystem#") walk(address, name, 0);
    }
    if (nodes_.size() >= max_members) damage_ = fmt::format("more than {} variables", max_members);
  }

  Result<std::uint64_t> read(const MatNode& node, std::uint64_t first, std::uint64_t count,
                             NumberSink& sink) override {
    const H5Object& data = objects_.at(node.handle);
    if (!data.type || !is_number(*data.type)) return std::uint64_t{0};
    if (const std::string why = H5File::obstacle(data); !why.empty()) {
      return Error{Errc::unsupported_format, name_,
                   fmt::format("variable '{}' {}", excerpt(node.path), why), "save it as v5 or v7"};
    }
    constexpr std::size_t at_once = 8192;  // 64 KiB: stays in a core's own cache
    const auto row = file_.in_a_row(data);
    if (row && data.type->kind == H5Kind::real && data.type->size == 8 && !data.type->big_endian) {
      // Doubles as they are held: into their place at once.
      const std::uint64_t at = row->first + std::min(first, row->second) * 8;
      const std::uint64_t there = std::min(count, row->second - std::min(first, row->second));
      for (std::uint64_t done = 0; done < there;) {
        const auto n = static_cast<std::size_t>(std::min<std::uint64_t>(at_once, there - done));
        const std::size_t got =
            source_->read_at(at + done * 8, std::as_writable_bytes(sink.room(n))) / 8;
        sink.filled(got);
        done += got;
        if (got < n) return done;
      }
      return there;
    }
    std::uint64_t done = 0;
    file_.read(
        data,
        [&](std::span<const std::byte> block) {
          const std::size_t size = data.type->size;
          for (std::size_t at = 0; at < block.size() && done < count;) {
            const auto n = static_cast<std::size_t>(
                std::min<std::uint64_t>({at_once, (block.size() - at) / size, count - done}));
            to_doubles(*data.type, block.data() + at, n, sink.room(n).data());
            sink.filled(n);
            at += n * size;
            done += n;
          }
          return done < count;
        },
        first);
    return done;
  }

  [[nodiscard]] std::uint64_t backed(const MatNode& node) const noexcept override {
    return std::min(node.count, source_->size());
  }

 private:
  void note_damage(std::string_view what, bool new_style = false) {
    if (!damage_.empty()) return;
    damage_ = fmt::format(
        "{} is {}", excerpt(what),
        new_style ? "of a type that only newer HDF5 libraries write" : "damaged or cut off");
  }

  void walk(std::uint64_t address, const std::string& path, int depth) {
    if (depth > deepest_group || nodes_.size() >= max_members) return;
    auto object = file_.object(address);
    if (!object) return note_damage(path);
    if (object->group) return walk_group(*object, path, depth);
    if (!object->type) return;
    const H5Type type = *object->type;
    MatNode node;
    node.path = path;
    if (object->matlab_empty) {
      // The sides are the data; zero is among them.
      node.dims = {0, 0};
    } else {
      node.dims.assign(object->dims.rbegin(), object->dims.rend());
      while (node.dims.size() < 2) node.dims.push_back(1);
      node.count = object->count();
    }
    const std::string& cls = object->matlab_class;
    const bool number = numeric_class(cls) && (is_number(type) || type.kind == H5Kind::compound);
    node.complex = number && type.kind == H5Kind::compound;
    node.numeric = number;
    node.packed = object->layout == H5Layout::chunked;
    const bool cell = type.kind == H5Kind::reference && !object->matlab_empty;
    node.type = cell                                                 ? "cell"
                : cls == "char"                                      ? "char"
                : number && is_number(type) && !object->matlab_empty ? number_class(type)
                : number ? (cls.empty() ? "double" : cls)
                         : "opaque";
    if (number && !node.complex && node.count == 1) {
      const auto raw = file_.first(*object, 1);
      double value = 0;
      if (raw.size() == type.size) {
        to_doubles(type, raw.data(), 1, &value);
        node.value = value;
      }
    }
    if (cls == "char" && type.kind == H5Kind::integer && node.count <= longest_string) {
      const auto raw = file_.first(*object, node.count);
      for (std::size_t i = 0; i + type.size <= raw.size(); i += type.size) {
        const auto c = static_cast<unsigned char>(raw[type.big_endian ? i + type.size - 1 : i]);
        node.text += c >= 32 && c < 127 ? static_cast<char>(c) : ' ';
      }
    }
    const auto cells = cell ? references(*object) : std::vector<std::uint64_t>{};
    const H5Object attributes = *object;
    add(std::move(node), *std::move(object));
    add_attributes(attributes, path);
    for (std::size_t i = 0; i < cells.size(); ++i) {
      walk(cells[i], fmt::format("{}{{{}}}", path, i + 1), depth + 1);
    }
  }

  void walk_group(const H5Object& group, const std::string& path, int depth) {
    MatNode node;
    node.path = path;
    node.dims = {1, 1};
    node.count = 1;
    node.type = group.matlab_sparse ? "sparse" : "struct";
    const auto members = file_.members(group, max_members);
    if (!members) note_damage(path, group.unlisted);
    if (group.matlab_sparse || !members) return add(std::move(node), H5Object{});

    // An array of structs: every member an array of references that is no cell array itself.
    std::vector<std::vector<std::uint64_t>> columns;
    for (const auto& [name, address] : *members) {
      const auto field = file_.object(address);
      if (!field || !field->type || field->type->kind != H5Kind::reference ||
          !field->matlab_class.empty()) {
        break;
      }
      if (columns.empty()) {
        node.dims.assign(field->dims.rbegin(), field->dims.rend());
        while (node.dims.size() < 2) node.dims.push_back(1);
        node.count = field->count();
      }
      columns.push_back(references(*field));
    }
    const bool array = !members->empty() && columns.size() == members->size();
    if (!array) {
      node.dims = {1, 1};
      node.count = 1;
    }
    const std::uint64_t count = node.count;
    add(std::move(node), H5Object{});
    add_attributes(group, path);
    if (!array) {
      for (const auto& [name, address] : *members) {
        walk(address, fmt::format("{}.{}", path, name), depth + 1);
      }
      return;
    }
    for (std::size_t i = 0; i < columns.front().size(); ++i) {
      for (std::size_t f = 0; f < columns.size(); ++f) {
        const std::string& name = (*members)[f].first;
        if (i < columns[f].size()) {
          walk(columns[f][i],
               count == 1 ? fmt::format("{}.{}", path, name)
                          : fmt::format("{}({}).{}", path, i + 1, name),
               depth + 1);
        }
      }
    }
  }

  /// Numbers and texts that were noted of an object, named behind it: "x.unit".
  void add_attributes(const H5Object& object, const std::string& path) {
    if (format_ != "HDF5") return;
    for (const H5Attribute& a : object.attributes) {
      MatNode node;
      node.path = path.empty() ? a.name : path + "." + a.name;
      node.dims = {1, 1};
      node.count = 1;
      node.type = "attribute";
      if (is_number(a.type)) {
        double value = 0;
        to_doubles(a.type, a.value.data(), 1, &value);
        node.value = value;
      } else {
        node.text = file_.text(a);
        if (node.text.empty()) continue;
      }
      add(std::move(node), H5Object{});
    }
  }

  std::vector<std::uint64_t> references(const H5Object& object) {
    std::vector<std::uint64_t> out;
    const std::size_t size = object.type->size;
    const auto raw = file_.first(object, std::min<std::uint64_t>(object.count(), max_members));
    for (std::size_t i = 0; i + size <= raw.size(); i += size) {
      std::uint64_t address = 0;
      std::memcpy(&address, raw.data() + i, std::min(size, sizeof address));
      out.push_back(address);
    }
    return out;
  }

  void add(MatNode node, H5Object object) {
    if (nodes_.size() >= max_members) return;
    node.handle = objects_.size();
    objects_.push_back(std::move(object));
    nodes_.push_back(std::move(node));
  }

  ByteSource* source_;
  std::string name_;
  H5File file_;
  std::vector<H5Object> objects_;
  std::vector<MatNode> nodes_;
  std::string damage_, format_;
};

}  // namespace

Result<std::unique_ptr<MatFile>> open_mat73(ByteSource& source, const std::string& name) {
  auto opened = H5File::open(source);
  if (!opened) {
    return Error{Errc::corrupt_file, name, "not readable as MAT v7.3 (HDF5)",
                 "copy it again, or save it as v5 or v7"};
  }
  auto file = std::make_unique<Mat73File>(source, name, *opened);
  file->list();
  if (file->nodes().empty()) {
    return Error{Errc::corrupt_file, name,
                 file->damage().empty()
                     ? std::string{"not readable as MAT v7.3 (HDF5), or empty"}
                     : fmt::format("not readable as MAT v7.3 (HDF5): {}", file->damage()),
                 "copy it again, or save it as v5 or v7"};
  }
  return std::unique_ptr<MatFile>{std::move(file)};
}

}  // namespace bearingdsp::capture_detail
