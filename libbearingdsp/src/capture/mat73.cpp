/// MAT v7.3 (HDF5) by matio.
#include <algorithm>
#include <mutex>
#include <utility>

#include <fmt/format.h>

#include "mat_file.hpp"
#include "matio_library.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// HDF5 as Debian builds it keeps process-wide state without locks. matio's log stays as it is:
/// unless the host program sets one, matio says nothing.
std::recursive_mutex& hdf5_mutex() {
  static std::recursive_mutex mutex;
  return mutex;
}

/// HDF5 prints every failure to stderr unless told otherwise; the host's own setting comes back.
class QuietHdf5 {
 public:
  explicit QuietHdf5(const MatioLibrary& matio) : matio_{&matio} {
    matio_->hdf5_printing(H5E_DEFAULT, &function_, &data_);
    matio_->set_hdf5_printing(H5E_DEFAULT, nullptr, nullptr);
  }
  ~QuietHdf5() { matio_->set_hdf5_printing(H5E_DEFAULT, function_, data_); }
  QuietHdf5(const QuietHdf5&) = delete;
  QuietHdf5& operator=(const QuietHdf5&) = delete;

 private:
  const MatioLibrary* matio_;
  H5E_auto2_t function_{};
  void* data_{};
};

using Mat = std::unique_ptr<mat_t, decltype(&::Mat_Close)>;
using Var = std::unique_ptr<matvar_t, decltype(&::Mat_VarFree)>;

constexpr int deepest = 16;
constexpr std::size_t most_nodes = 20000;
/// Deflate cannot pack tighter than 1032 to 1, so a file cannot back more than that.
constexpr std::uint64_t tightest = 1032;

template <class T>
void convert(const void* in, std::size_t from, std::size_t n, double* out) {
  const T* p = static_cast<const T*>(in) + from;
  for (std::size_t i = 0; i < n; ++i) out[i] = static_cast<double>(p[i]);
}

bool to_doubles(const matvar_t& var, std::size_t from, std::size_t n, double* out) {
  switch (var.class_type) {
    case MAT_C_DOUBLE:
      return convert<double>(var.data, from, n, out), true;
    case MAT_C_SINGLE:
      return convert<float>(var.data, from, n, out), true;
    case MAT_C_INT8:
      return convert<mat_int8_t>(var.data, from, n, out), true;
    case MAT_C_UINT8:
      return convert<mat_uint8_t>(var.data, from, n, out), true;
    case MAT_C_INT16:
      return convert<mat_int16_t>(var.data, from, n, out), true;
    case MAT_C_UINT16:
      return convert<mat_uint16_t>(var.data, from, n, out), true;
    case MAT_C_INT32:
      return convert<mat_int32_t>(var.data, from, n, out), true;
    case MAT_C_UINT32:
      return convert<mat_uint32_t>(var.data, from, n, out), true;
    case MAT_C_INT64:
      return convert<mat_int64_t>(var.data, from, n, out), true;
    case MAT_C_UINT64:
      return convert<mat_uint64_t>(var.data, from, n, out), true;
    default:
      return false;
  }
}

std::string class_name(matio_classes cls) {
  switch (cls) {
    case MAT_C_CELL:
      return "cell";
    case MAT_C_STRUCT:
      return "struct";
    case MAT_C_OBJECT:
      return "object";
    case MAT_C_CHAR:
      return "char";
    case MAT_C_SPARSE:
      return "sparse";
    case MAT_C_DOUBLE:
      return "double";
    case MAT_C_SINGLE:
      return "single";
    case MAT_C_INT8:
      return "int8";
    case MAT_C_UINT8:
      return "uint8";
    case MAT_C_INT16:
      return "int16";
    case MAT_C_UINT16:
      return "uint16";
    case MAT_C_INT32:
      return "int32";
    case MAT_C_UINT32:
      return "uint32";
    case MAT_C_INT64:
      return "int64";
    case MAT_C_UINT64:
      return "uint64";
    case MAT_C_FUNCTION:
      return "function";
    default:
      return "opaque";
  }
}

class Mat73File final : public MatFile {
 public:
  Mat73File(ByteSource& source, std::string name, const MatioLibrary& matio, Mat mat)
      : source_{&source}, matio_{&matio}, name_{std::move(name)}, mat_{std::move(mat)} {}
  ~Mat73File() override {
    const std::scoped_lock lock{hdf5_mutex()};
    const QuietHdf5 quiet{*matio_};
    tops_.clear();
    mat_.reset();
  }
  Mat73File(const Mat73File&) = delete;
  Mat73File& operator=(const Mat73File&) = delete;

  [[nodiscard]] std::string format() const override { return "MAT v7.3"; }
  [[nodiscard]] const std::vector<MatNode>& nodes() const noexcept override { return nodes_; }
  [[nodiscard]] const std::string& damage() const noexcept override { return damage_; }

  /// Caller holds the lock.
  void list() {
    while (nodes_.size() < most_nodes) {
      Var var{matio_->next_variable(mat_.get()), matio_->free_variable};
      if (!var) break;
      tops_.push_back(std::move(var));
      walk(tops_.back().get(), tops_.back()->name != nullptr ? tops_.back()->name : "", 0);
    }
  }

  Result<std::uint64_t> read(const MatNode& node,
                             const std::function<void(std::span<const double>)>& sink) override {
    const std::scoped_lock lock{hdf5_mutex()};
    const QuietHdf5 quiet{*matio_};
    matvar_t* var = vars_.at(node.handle);
    std::uint64_t bytes = 0;
    const auto each = static_cast<std::uint64_t>(std::max(1, var->data_size));
    if (__builtin_mul_overflow(node.count, each, &bytes) || bytes / tightest > source_->size()) {
      return Error{Errc::corrupt_file, name_,
                   fmt::format("variable '{}' claims {} numbers, more than the file can hold",
                               excerpt(node.path), node.count),
                   "copy or export it again"};
    }
    if (var->data == nullptr && matio_->read_data(mat_.get(), var) != 0) {
      return Error{Errc::corrupt_file, name_,
                   fmt::format("variable '{}' cannot be read", excerpt(node.path)),
                   "copy or export it again"};
    }
    if (var->data == nullptr || var->isComplex != 0) return std::uint64_t{0};
    std::vector<double> block(8192);
    for (std::uint64_t done = 0; done < node.count;) {
      const auto n =
          static_cast<std::size_t>(std::min<std::uint64_t>(block.size(), node.count - done));
      if (!to_doubles(*var, static_cast<std::size_t>(done), n, block.data())) {
        return std::uint64_t{0};
      }
      sink(std::span<const double>{block}.first(n));
      done += n;
    }
    return node.count;
  }

  [[nodiscard]] std::uint64_t backed(const MatNode& node) const noexcept override {
    return std::min(node.count, source_->size());
  }

 private:
  void walk(matvar_t* var, const std::string& path, int depth) {
    if (var == nullptr || depth > deepest || nodes_.size() >= most_nodes) return;
    MatNode node;
    node.path = path;
    node.type = class_name(var->class_type);
    node.count = 1;
    for (int i = 0; i < var->rank && var->dims != nullptr; ++i) {
      node.dims.push_back(var->dims[i]);
      if (__builtin_mul_overflow(node.count, std::uint64_t{var->dims[i]}, &node.count)) {
        node.count = ~std::uint64_t{0};
      }
    }
    if (node.dims.empty()) node.count = 0;
    node.complex = var->isComplex != 0;
    node.numeric = var->class_type >= MAT_C_DOUBLE && var->class_type <= MAT_C_UINT64;
    node.handle = vars_.size();
    vars_.push_back(var);
    const bool small = node.count >= 1 && node.count <= 256;
    if (node.numeric && !node.complex && node.count == 1 &&
        matio_->read_data(mat_.get(), var) == 0 && var->data != nullptr) {
      double value = 0;
      if (to_doubles(*var, 0, 1, &value)) node.value = value;
    }
    if (var->class_type == MAT_C_CHAR && small && matio_->read_data(mat_.get(), var) == 0 &&
        var->data != nullptr && var->data_size > 0) {
      const auto step = static_cast<std::size_t>(var->data_size);
      const auto* p = static_cast<const unsigned char*>(var->data);
      for (std::size_t i = 0; i + step <= var->nbytes && node.text.size() < node.count; i += step) {
        node.text += p[i] >= 32 && p[i] < 127 ? static_cast<char>(p[i]) : ' ';
      }
    }
    const std::uint64_t count = node.count;
    nodes_.push_back(std::move(node));
    if (var->class_type == MAT_C_STRUCT) {
      const unsigned fields = matio_->field_count(var);
      char* const* names = matio_->field_names(var);
      for (std::uint64_t i = 0; i < count && names != nullptr && var->data != nullptr; ++i) {
        for (unsigned f = 0; f < fields; ++f) {
          walk(matio_->field(var, f, static_cast<std::size_t>(i)),
               count == 1 ? fmt::format("{}.{}", path, names[f])
                          : fmt::format("{}({}).{}", path, i + 1, names[f]),
               depth + 1);
        }
      }
    } else if (var->class_type == MAT_C_CELL && var->data != nullptr) {
      for (std::uint64_t i = 0; i < std::min<std::uint64_t>(count, most_nodes); ++i) {
        walk(matio_->cell(var, static_cast<int>(i)), fmt::format("{}{{{}}}", path, i + 1),
             depth + 1);
      }
    }
  }

  ByteSource* source_;
  const MatioLibrary* matio_;
  std::string name_;
  Mat mat_;
  std::vector<Var> tops_;
  std::vector<matvar_t*> vars_;
  std::vector<MatNode> nodes_;
  std::string damage_;
};

}  // namespace

Result<std::unique_ptr<MatFile>> open_mat73(ByteSource& source, const std::string& name) {
  const auto library = matio_library(name);
  if (!library) return library.error();
  const MatioLibrary& matio = **library;
  const std::string path = source.path_for_libraries();
  const std::scoped_lock lock{hdf5_mutex()};
  const QuietHdf5 quiet{matio};
  Mat mat{path.empty() ? nullptr : matio.open(path.c_str(), MAT_ACC_RDONLY), matio.close};
  if (!mat || matio.version(mat.get()) != MAT_FT_MAT73) {
    return Error{Errc::corrupt_file, name, "not readable as MAT v7.3 (HDF5)",
                 "copy it again, or save it as v5 or v7"};
  }
  auto file = std::make_unique<Mat73File>(source, name, matio, std::move(mat));
  file->list();
  if (file->nodes().empty()) {
    return Error{Errc::corrupt_file, name, "not readable as MAT v7.3 (HDF5), or empty",
                 "copy it again, or save it as v5 or v7"};
  }
  return std::unique_ptr<MatFile>{std::move(file)};
}

}  // namespace bearingdsp::capture_detail
