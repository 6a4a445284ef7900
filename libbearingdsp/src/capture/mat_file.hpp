#pragma once
/// Files of variables as a flat list of what they hold: MAT of all versions, HDF5, NumPy, universal
/// files.
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "reader.hpp"

namespace bearingdsp::capture_detail {

/// A variable, or a field or cell of one.
struct MatNode {
  std::string path;                 ///< "x", "bearing.gs", "runs(2).x", "c{3}"
  std::string type;                 ///< class as the format names it: "double", "int16", "char" ...
  std::vector<std::uint64_t> dims;  ///< at least two
  std::uint64_t count{};            ///< product of dims
  bool numeric{};                   ///< real or complex full array of numbers
  bool complex{};
  bool packed{};                ///< its bytes unfold into more than they are
  std::optional<double> value;  ///< of a numeric scalar
  std::string text;             ///< of a short char array
  std::size_t handle{};         ///< the back end's own
};

/// Where the numbers of a node go, so that they are written once.
class NumberSink {
 public:
  virtual ~NumberSink() = default;
  /// Memory for the next n numbers, valid until filled() is called.
  virtual std::span<double> room(std::size_t n) = 0;
  /// The first n of it hold numbers now.
  virtual void filled(std::size_t n) = 0;
};

class MatFile {
 public:
  virtual ~MatFile() = default;
  [[nodiscard]] virtual std::string format() const = 0;
  [[nodiscard]] virtual const std::vector<MatNode>& nodes() const noexcept = 0;
  /// Damage that ended the listing early, in words; empty if all was listed.
  [[nodiscard]] virtual const std::string& damage() const noexcept = 0;
  /// Puts the numbers (real part) into sink in order, block by block, as doubles, beginning with
  /// number `first`, at most `count` of them. Gives how many there were: fewer if the file is cut
  /// off. Going on where the last call for this node ended costs no more than what is read.
  /// Errors: corrupt_file, io.
  virtual Result<std::uint64_t> read(const MatNode& node, std::uint64_t first, std::uint64_t count,
                                     NumberSink& sink) = 0;
  /// Upper bound of the numbers of this node that the file's bytes can back without growth.
  [[nodiscard]] virtual std::uint64_t backed(const MatNode& node) const noexcept = 0;
};

/// v4 and v5, by our own parser: the general library allocates by what a header claims.
Result<std::unique_ptr<MatFile>> open_mat5(ByteSource& source, const std::string& name);
Result<std::unique_ptr<MatFile>> open_mat4(ByteSource& source, const std::string& name);
/// v7.3 and any other HDF5, by our own parser for the same reason: hdf5_file.hpp.
Result<std::unique_ptr<MatFile>> open_mat73(ByteSource& source, const std::string& name);

/// The recording that a listed file holds. `size`: of the file, in bytes.
Result<Capture> read_listed(MatFile& file, std::uint64_t size, const std::string& name,
                            const ReadOptions& options);
Result<std::unique_ptr<PieceReader>> listed_pieces(std::unique_ptr<ByteSource> source,
                                                   std::unique_ptr<MatFile> file,
                                                   const std::string& name,
                                                   const ReadOptions& options);
Contents contents_of(const MatFile& file, const std::string& name);

/// The signal that is meant is found by the usual rules.
inline Result<ReadOptions> as_given(const MatFile& /*file*/, const std::string& /*name*/,
                                    const ReadOptions& options) {
  return options;
}

/// The format whose files Open lists. Choose puts the signals that are meant into the options.
template <auto Open, auto Choose = as_given>
constexpr Format listed_format(std::string_view extensions, bool (*begins)(std::string_view)) {
  return {extensions, begins,
          [](ByteSource& source, const std::string& name,
             const ReadOptions& options) -> Result<Capture> {
            const auto file = Open(source, name);
            if (!file) return file.error();
            const auto chosen = Choose(**file, name, options);
            if (!chosen) return chosen.error();
            return read_listed(**file, source.size(), name, *chosen);
          },
          [](ByteSource& source, const std::string& name) -> Result<Contents> {
            const auto file = Open(source, name);
            if (!file) return file.error();
            return contents_of(**file, name);
          },
          [](std::unique_ptr<ByteSource> source, const std::string& name,
             const ReadOptions& options) -> Result<std::unique_ptr<PieceReader>> {
            auto file = Open(*source, name);
            if (!file) return file.error();
            const auto chosen = Choose(**file, name, options);
            if (!chosen) return chosen.error();
            return listed_pieces(std::move(source), std::move(*file), name, *chosen);
          }};
}

}  // namespace bearingdsp::capture_detail
