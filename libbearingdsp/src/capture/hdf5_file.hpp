#pragma once
/// What of HDF5 a MAT v7.3 file is made of: groups, arrays of numbers and of references, short
/// attributes. Read here and not by the general library, because a capture may come from anyone:
/// that library follows a group that holds itself forever, unpacks a few megabytes into all the
/// memory there is, and reads other files that the file names.
/// Source: [hdf5format]
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "byte_source.hpp"

namespace bearingdsp::capture_detail {

/// `long_text`: of any length, kept in a heap of the file.
enum class H5Kind : std::uint8_t { integer, real, text, long_text, reference, compound, other };

/// Type of an element. Numbers of odd layout (bit fields, half precision) are `other`.
struct H5Type {
  H5Kind kind{H5Kind::other};
  std::uint32_t size{};  ///< bytes
  bool is_signed{};
  bool big_endian{};
};

enum class H5Layout : std::uint8_t { absent, compact, contiguous, chunked, unknown };

struct H5Filter {
  std::uint16_t id{};
  std::uint32_t first_value{};  ///< of the values it was set up with; 0 if none
};

/// A remark on a group or dataset: one number, or a short text.
struct H5Attribute {
  std::string name;
  H5Type type;
  std::vector<std::byte> value;  ///< as stored
};

/// A group or a dataset, from its object header.
struct H5Object {
  // Group.
  std::uint64_t tree{}, heap{};                              ///< of an old-style group
  std::vector<std::pair<std::string, std::uint64_t>> links;  ///< of a new-style one
  // Dataset.
  std::optional<H5Type> type;
  std::vector<std::uint64_t> dims;   ///< as stored, the last varies fastest; empty: one element
  std::vector<std::byte> inside;     ///< compact data
  std::uint64_t at{};                ///< of the data, or of the tree of chunks
  std::uint64_t size{};              ///< of contiguous data, or packed of the single chunk
  std::vector<std::uint64_t> chunk;  ///< its sides
  std::vector<H5Filter> filters;
  std::vector<H5Attribute> attributes;  ///< of one element, but those of MAT files
  std::string matlab_class;             ///< by the attribute of that name
  std::uint32_t single_mask{};          ///< filters that the single chunk did without
  H5Layout layout{H5Layout::absent};
  bool single{};     ///< there is one chunk, and it lies at `at`
  bool elsewhere{};  ///< the data are in another file: never opened
  bool group{};
  bool unlisted{};  ///< a new-style group with its links in a heap: not read
  bool matlab_empty{}, matlab_sparse{};

  [[nodiscard]] std::uint64_t count() const noexcept;  ///< of elements; the largest if it overflows
};

/// Reads no more headers and lists than four times the file's size, whatever they claim, so that a
/// list that leads back into itself ends; unpacks no more than twice most_unpacked().
class H5File {
 public:
  /// nothing: no HDF5 file, or of a make that is not known. `source` outlives it.
  static std::optional<H5File> open(ByteSource& source);

  [[nodiscard]] std::uint64_t root() const noexcept { return root_; }
  /// Bytes that the file should have.
  [[nodiscard]] std::uint64_t claimed_size() const noexcept { return end_; }
  /// nothing: there is no whole object header.
  std::optional<H5Object> object(std::uint64_t address);
  /// Name and address of the members, by name; at most `most`. nothing: damaged.
  std::optional<std::vector<std::pair<std::string, std::uint64_t>>> members(const H5Object& group,
                                                                            std::size_t most);
  /// Why the elements cannot be had though nothing is damaged, in words; empty if they can.
  static std::string obstacle(const H5Object& dataset);
  using Sink = std::function<bool(std::span<const std::byte>)>;
  /// Hands the elements to sink as stored, in order, block by block, until it answers false. Gives
  /// how many there were: fewer than count() if data are missing, damaged or packed by a method
  /// that is not known. At most a block of chunks is held in memory. `first`: the element to begin
  /// with; those before it are not counted.
  std::uint64_t read(const H5Object& dataset, const Sink& sink, std::uint64_t first = 0);
  /// Where in the file the elements lie one after the other, and how many of them; nothing if they
  /// do not.
  [[nodiscard]] std::optional<std::pair<std::uint64_t, std::uint64_t>> in_a_row(
      const H5Object& dataset) const noexcept;
  /// The text of an attribute, up to 256 bytes; empty where it is none.
  std::string text(const H5Attribute& attribute);
  /// The first elements, as stored; at most `most`.
  std::vector<std::byte> first(const H5Object& dataset, std::uint64_t most);

 private:
  explicit H5File(ByteSource& source) : source_{&source} {}
  struct Chunk {
    std::vector<std::uint64_t> offset;
    std::uint64_t at{}, size{};
    std::uint32_t mask{};
  };
  bool fetch(std::uint64_t address, std::uint64_t n, std::vector<std::byte>& out);
  bool header_1(std::uint64_t address, H5Object& out);
  bool header_2(std::uint64_t address, H5Object& out);
  bool message(std::uint16_t type, std::span<const std::byte> data, H5Object& out);
  void layout(std::span<const std::byte> data, H5Object& out) const;
  bool group_node(std::uint64_t address, int level, std::span<const std::byte> names,
                  std::size_t most, std::vector<std::pair<std::string, std::uint64_t>>& out);
  bool symbols(std::uint64_t address, std::span<const std::byte> names, std::size_t most,
               std::vector<std::pair<std::string, std::uint64_t>>& out);
  bool chunk_node(std::uint64_t address, int level, std::size_t rank, std::uint64_t most,
                  std::vector<Chunk>& out);
  bool unpack(const H5Object& dataset, const Chunk& chunk, std::uint64_t bytes,
              std::vector<std::byte>& out);
  /// The chunks of a dataset in order, and the bytes of an unpacked one; none where they cannot be.
  std::optional<std::vector<Chunk>> chunks_of(const H5Object& dataset, std::uint64_t& chunk_bytes);
  std::uint64_t read_chunks(const H5Object& dataset, const Sink& sink, std::uint64_t first);

  ByteSource* source_;
  std::uint64_t base_{};
  std::uint64_t root_{};
  std::uint64_t end_{};
  std::size_t offset_size_{8}, length_size_{8};
  std::uint64_t header_budget_{}, unpack_budget_{};
};

}  // namespace bearingdsp::capture_detail
