#pragma once
/// A text that is handed out in pieces.
#include <functional>
#include <memory>
#include <string>

#include "text_layout.hpp"

namespace bearingdsp::capture_detail {

/// What cutting a text needs of the text reader.
struct TextParts {
  std::unique_ptr<ByteStream> stream;  ///< the whole text as UTF-8, unpacked
  std::size_t columns{};               ///< that are read
  bool packed{};
  std::string format;
  /// Reads the rows of a source that holds nothing but rows of that layout.
  std::function<Result<Capture>(ByteSource&, const TextLayout&)> read;
};
/// Cuts a text at the ends of lines; each cut is read as a text of the same layout.
Result<std::unique_ptr<PieceReader>> cut_text(std::unique_ptr<ByteSource> source, TextLayout layout,
                                              TextParts parts, const std::string& name,
                                              const ReadOptions& options);

}  // namespace bearingdsp::capture_detail
