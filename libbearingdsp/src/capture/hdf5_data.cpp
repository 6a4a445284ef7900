/// The elements of a dataset: where they lie, unpacked, in order.
#include <zlib.h>

#include <algorithm>
#include <cstring>

#include "array_size.hpp"
#include "hdf5_fields.hpp"
#include "hdf5_file.hpp"

namespace bearingdsp::capture_detail {
namespace {

// Filters of the format's registry.
enum : std::uint16_t { filter_deflate = 1, filter_shuffle = 2, filter_fletcher32 = 3 };

constexpr std::uint64_t largest_chunk = 256U << 20U;
/// Deflate cannot pack tighter than 1032 to 1.
constexpr std::uint64_t tightest = 1032;
constexpr std::size_t row_bytes = 65536;

/// The whole of a zlib stream, if it is `most` bytes or fewer.
bool inflate_all(std::span<const std::byte> in, std::uint64_t most, std::vector<std::byte>& out) {
  z_stream z{};
  if (inflateInit(&z) != Z_OK) return false;
  out.resize(static_cast<std::size_t>(most));
  std::vector<std::byte> packed{in.begin(), in.end()};  // zlib takes no constant
  z.next_in = reinterpret_cast<Bytef*>(packed.data());
  z.avail_in = static_cast<uInt>(packed.size());
  z.next_out = reinterpret_cast<Bytef*>(out.data());
  z.avail_out = static_cast<uInt>(out.size());
  const bool whole = inflate(&z, Z_FINISH) == Z_STREAM_END;
  out.resize(out.size() - z.avail_out);
  inflateEnd(&z);
  return whole;
}

/// First all first bytes of the elements, then all second ones ...; what is over stays.
void unshuffle(std::uint32_t element, std::vector<std::byte>& data) {
  if (element <= 1) return;
  const std::size_t n = data.size() / element;
  std::vector<std::byte> out(data);
  for (std::size_t b = 0; b < element; ++b) {
    for (std::size_t i = 0; i < n; ++i) out[i * element + b] = data[b * n + i];
  }
  data = std::move(out);
}

std::uint64_t steps(std::uint64_t length, std::uint64_t side) noexcept {
  return length / side + (length % side != 0 ? 1 : 0);
}

/// Copies what of a chunk lies within the array into the slab that begins at element `start`.
void place(const std::vector<std::uint64_t>& dims, const std::vector<std::uint64_t>& sides,
           const std::vector<std::uint64_t>& offset, std::uint64_t start, std::uint64_t element,
           const std::vector<std::byte>& chunk, std::vector<std::byte>& slab) {
  const std::size_t last = dims.size() - 1;
  const auto within = [&](std::size_t k) { return std::min(sides[k], dims[k] - offset[k]); };
  std::vector<std::uint64_t> index(dims.size(), 0);
  for (bool more = true; more;) {
    std::uint64_t from = 0;
    std::uint64_t to = 0;
    for (std::size_t k = 0; k <= last; ++k) {
      from = from * sides[k] + index[k];
      to = to * dims[k] + offset[k] + index[k];
    }
    std::memcpy(slab.data() + (to - start) * element, chunk.data() + from * element,
                static_cast<std::size_t>(within(last) * element));
    more = false;
    for (std::size_t k = last; k-- > 0 && !more;) {
      more = ++index[k] < within(k);
      if (!more) index[k] = 0;
    }
  }
}

}  // namespace

std::uint64_t H5Object::count() const noexcept { return product(dims); }

bool H5File::chunk_node(std::uint64_t address, int level, std::size_t rank, std::uint64_t most,
                        std::vector<Chunk>& out) {
  std::vector<std::byte> block;
  const std::size_t head = 8 + 2 * offset_size_;
  if (!fetch(address, head, block) || !says(block, "TREE")) return false;
  const auto own = std::to_integer<int>(block[5]);
  if (block[4] != std::byte{1} || (level >= 0 && own != level - 1)) return false;
  const std::uint64_t entries = little(std::span{block}.subspan(6, 2));
  const std::uint64_t entry = 8 + 8 * (rank + 1) + offset_size_;
  if (!fetch(address + head, entries * entry, block)) return false;
  Fields f{block};
  for (std::uint64_t i = 0; i < entries; ++i) {
    Chunk chunk;
    chunk.size = f.u32();
    chunk.mask = f.u32();
    for (std::size_t k = 0; k < rank; ++k) chunk.offset.push_back(f.next(8));
    f.skip(8);
    chunk.at = f.next(offset_size_);
    if (own > 0) {
      if (!chunk_node(chunk.at, own, rank, most, out)) return false;
    } else {
      if (out.size() >= most) return false;
      out.push_back(std::move(chunk));
    }
  }
  return true;
}

bool H5File::unpack(const H5Object& dataset, const Chunk& chunk, std::uint64_t bytes,
                    std::vector<std::byte>& out) {
  std::uint64_t at = 0;
  if (__builtin_add_overflow(chunk.at, base_, &at) || at > source_->size() ||
      chunk.size > source_->size() - at || chunk.size > largest_chunk ||
      bytes / tightest > chunk.size || bytes > unpack_budget_) {
    return false;
  }
  unpack_budget_ -= bytes;
  out.resize(static_cast<std::size_t>(chunk.size));
  if (source_->read_at(at, out) < out.size()) return false;
  std::vector<std::byte> other;
  for (std::size_t i = dataset.filters.size(); i-- > 0;) {
    if ((chunk.mask >> i & 1U) != 0) continue;
    const H5Filter& filter = dataset.filters[i];
    if (filter.id == filter_deflate) {
      // A checksum may have been put behind the data before they were packed.
      if (!inflate_all(out, bytes + 4 * max_filters, other)) return false;
      out.swap(other);
    } else if (filter.id == filter_shuffle) {
      if (filter.first_value > largest_chunk) return false;
      unshuffle(filter.first_value, out);
    } else if (filter.id == filter_fletcher32) {
      if (out.size() < 4) return false;
      out.resize(out.size() - 4);
    } else {
      return false;
    }
  }
  return out.size() == bytes;
}

std::optional<std::vector<H5File::Chunk>> H5File::chunks_of(const H5Object& dataset,
                                                            std::uint64_t& chunk_bytes) {
  const std::vector<std::uint64_t>& dims = dataset.dims;
  const std::vector<std::uint64_t>& sides = dataset.chunk;
  const std::size_t rank = dims.size();
  if (rank == 0 || sides.size() != rank) return std::nullopt;
  std::uint64_t expected = 1;
  for (std::size_t k = 0; k < rank; ++k) {
    if (sides[k] == 0 || dims[k] == 0) return std::nullopt;
    if (__builtin_mul_overflow(expected, steps(dims[k], sides[k]), &expected)) return std::nullopt;
  }
  if (__builtin_mul_overflow(product(sides), std::uint64_t{dataset.type->size}, &chunk_bytes) ||
      chunk_bytes > largest_chunk)
    return std::nullopt;
  std::vector<Chunk> chunks;
  if (dataset.single) {
    const std::uint64_t stored = dataset.filters.empty() ? chunk_bytes : dataset.size;
    chunks.push_back({std::vector<std::uint64_t>(rank), dataset.at, stored, dataset.single_mask});
  } else {
    static_cast<void>(chunk_node(dataset.at, -1, rank, expected, chunks));
  }
  for (const Chunk& c : chunks)
    for (std::size_t k = 0; k < rank; ++k)
      if (c.offset[k] % sides[k] != 0 || c.offset[k] >= dims[k]) return std::nullopt;
  std::sort(chunks.begin(), chunks.end(),
            [](const Chunk& a, const Chunk& b) { return a.offset < b.offset; });
  const auto twice =
      std::adjacent_find(chunks.begin(), chunks.end(),
                         [](const Chunk& a, const Chunk& b) { return a.offset == b.offset; });
  if (twice != chunks.end()) return std::nullopt;
  return chunks;
}

std::uint64_t H5File::read_chunks(const H5Object& dataset, const Sink& sink, std::uint64_t first) {
  const std::vector<std::uint64_t>& dims = dataset.dims;
  const std::vector<std::uint64_t>& sides = dataset.chunk;
  const std::size_t rank = dims.size();
  const std::uint64_t element = dataset.type->size;
  std::uint64_t chunk_bytes = 0;
  const auto found = chunks_of(dataset, chunk_bytes);
  if (!found) return 0;
  const std::vector<Chunk>& chunks = *found;
  // A slab: all chunks of one step along the first side that is longer than one. Its elements
  // follow each other in the order of the whole.
  std::size_t axis = 0;
  while (axis + 1 < rank && dims[axis] == 1) ++axis;
  const std::uint64_t row = product(std::span{dims}.subspan(axis + 1));
  std::uint64_t per_slab = 1;
  for (std::size_t k = axis + 1; k < rank; ++k) per_slab *= steps(dims[k], sides[k]);
  std::vector<std::byte> slab;
  std::vector<std::byte> data;
  std::uint64_t done = 0;
  std::size_t next = 0;
  for (std::uint64_t start = 0; start < dims[axis]; start += sides[axis]) {
    const std::uint64_t rows = std::min(sides[axis], dims[axis] - start);
    std::size_t end = next;
    while (end < chunks.size() && chunks[end].offset[axis] == start) ++end;
    // A chunk that was never written is a hole in the recording, not silence.
    if (end - next != per_slab) return done;
    const std::uint64_t before = start * row;  // elements, behind the end of which `first` may lie
    if (before + rows * row <= first) {
      next = end;
      continue;
    }
    slab.resize(static_cast<std::size_t>(rows * row * element));
    for (; next < end; ++next) {
      if (!unpack(dataset, chunks[next], chunk_bytes, data)) return done;
      place(dims, sides, chunks[next].offset, start * row, element, data, slab);
    }
    const std::uint64_t skipped = first - std::min(first, before);
    done += rows * row - skipped;
    if (!sink(std::span{slab}.subspan(static_cast<std::size_t>(skipped * element)))) return done;
  }
  return done;
}

std::string H5File::obstacle(const H5Object& dataset) {
  if (dataset.elsewhere) return "stores its numbers in another file";
  if (dataset.layout == H5Layout::unknown) {
    return "has a layout that only newer HDF5 libraries write";
  }
  for (const H5Filter& f : dataset.filters) {
    if (f.id < filter_deflate || f.id > filter_fletcher32)
      return "is compressed with a method that is not supported";
  }
  return {};
}

std::uint64_t H5File::read(const H5Object& dataset, const Sink& sink, std::uint64_t first) {
  if (!dataset.type || dataset.type->size == 0 || dataset.elsewhere) return 0;
  const std::uint64_t element = dataset.type->size;
  const std::uint64_t count = dataset.count();
  std::uint64_t bytes = 0;
  if (__builtin_mul_overflow(count, element, &bytes)) return 0;
  if (dataset.layout == H5Layout::compact) {
    const std::uint64_t n = std::min<std::uint64_t>(count, dataset.inside.size() / element);
    const std::uint64_t skipped = std::min(first, n);
    sink(std::span{dataset.inside}
             .first(static_cast<std::size_t>(n * element))
             .subspan(static_cast<std::size_t>(skipped * element)));
    return n - skipped;
  }
  if (dataset.layout == H5Layout::chunked) {
    return bytes > max_unpacked(source_->size()) ? 0 : read_chunks(dataset, sink, first);
  }
  const auto row = in_a_row(dataset);
  if (!row || element > row_bytes) return 0;
  const std::uint64_t at = row->first + std::min(first, row->second) * element;
  const std::uint64_t there = row->second - std::min(first, row->second);
  const std::uint64_t in_block = row_bytes / element;
  std::vector<std::byte> block(static_cast<std::size_t>(in_block * element));
  std::uint64_t done = 0;
  while (done < there) {
    const std::uint64_t want = std::min(in_block, there - done);
    const std::size_t got = source_->read_at(
        at + done * element, std::span{block}.first(static_cast<std::size_t>(want * element)));
    const std::uint64_t n = got / element;
    done += n;
    if (!sink(std::span{block}.first(static_cast<std::size_t>(n * element))) || n < want) break;
  }
  return done;
}

std::optional<std::pair<std::uint64_t, std::uint64_t>> H5File::in_a_row(
    const H5Object& dataset) const noexcept {
  std::uint64_t at = 0;
  if (!dataset.type || dataset.type->size == 0 || dataset.elsewhere ||
      dataset.layout != H5Layout::contiguous || __builtin_add_overflow(dataset.at, base_, &at)) {
    return {};
  }
  return std::pair{at, std::min(dataset.count(), dataset.size / dataset.type->size)};
}

std::vector<std::byte> H5File::first(const H5Object& dataset, std::uint64_t most) {
  std::vector<std::byte> out;
  if (!dataset.type) return out;
  const std::uint64_t limit = most * dataset.type->size;
  read(dataset, [&](std::span<const std::byte> block) {
    const std::uint64_t n = std::min<std::uint64_t>(block.size(), limit - out.size());
    out.insert(out.end(), block.begin(), block.begin() + static_cast<std::ptrdiff_t>(n));
    return out.size() < limit;
  });
  return out;
}

}  // namespace bearingdsp::capture_detail
