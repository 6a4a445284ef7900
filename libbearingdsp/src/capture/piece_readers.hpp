#pragma once
/// Readers that hand out a recording in pieces, one function a format.
#include <functional>
#include <memory>
#include <string>

#include "bearingdsp/capture/pieces.hpp"
#include "byte_source.hpp"
#include "text_layout.hpp"

namespace bearingdsp::capture_detail {

Result<std::unique_ptr<PieceReader>> audio_pieces(std::unique_ptr<ByteSource> source,
                                                  const std::string& name,
                                                  const ReadOptions& options);
Result<std::unique_ptr<PieceReader>> text_pieces(std::unique_ptr<ByteSource> source,
                                                 const std::string& name,
                                                 const ReadOptions& options);

Result<std::unique_ptr<PieceReader>> mat_pieces(std::unique_ptr<ByteSource> source,
                                                const std::string& name,
                                                const ReadOptions& options);

Result<std::unique_ptr<PieceReader>> numpy_pieces(std::unique_ptr<ByteSource> source,
                                                  const std::string& name,
                                                  const ReadOptions& options);
Result<std::unique_ptr<PieceReader>> universal_pieces(std::unique_ptr<ByteSource> source,
                                                      const std::string& name,
                                                      const ReadOptions& options);

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
