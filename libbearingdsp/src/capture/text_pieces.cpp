/// Text that is too long to be held, cut at the ends of lines.
#include <algorithm>
#include <cstring>
#include <utility>

#include <fmt/format.h>

#include "text_pieces.hpp"

namespace bearingdsp::capture_detail {
namespace {

constexpr std::size_t piece_bytes = 1U << 20U;
/// As in the text reader: a longer line is no row of samples.
constexpr std::size_t longest_line = 1U << 20U;

class TextPieces final : public PieceReader {
 public:
  TextPieces(std::unique_ptr<ByteSource> source, TextLayout layout, TextParts parts,
             std::string name, const ReadOptions& options)
      : source_{std::move(source)},
        layout_{std::move(layout)},
        parts_{std::move(parts)},
        name_{std::move(name)},
        rate_{options.rate},
        max_rows_{options.max_samples / std::max<std::size_t>(1, parts_.columns)} {
    if (!rate_ && layout_.hint.rate) rate_ = Hz{*layout_.hint.rate};
    if (!rate_ && layout_.row_rate) rate_ = Hz{*layout_.row_rate};
    if (parts_.packed) {
      max_rows_ = std::min(max_rows_, max_unpacked(source_->size()) / sizeof(double) /
                                          std::max<std::size_t>(1, parts_.columns));
    }
    skip_header();
    estimate();
  }

  [[nodiscard]] std::uint64_t expected() const noexcept override { return expected_; }
  [[nodiscard]] std::size_t channels() const noexcept override { return parts_.columns; }
  [[nodiscard]] std::optional<Hz> rate() const noexcept override { return rate_; }

  Result<std::optional<Capture>> next(std::size_t samples) override {
    if (rows_ >= max_rows_ && !at_end()) {
      held_.clear();
      ended_ = true;
      return Error{
          Errc::bad_argument, name_,
          fmt::format("contains more than {} rows, which is above the largest limit", max_rows_),
          "choose fewer columns, cut the file, or raise max_samples"};
    }
    const std::size_t end = gather(static_cast<std::size_t>(
        std::min<std::uint64_t>(samples, max_rows_ - std::min<std::uint64_t>(max_rows_, rows_))));
    if (end == 0) return std::optional<Capture>{};
    const std::string text = held_.substr(0, end);
    held_.erase(0, end);
    TextLayout of = layout_;
    of.skip_lines = 0;
    of.lines_before = lines_;
    const std::size_t lines = count_lines(text);
    lines_ += lines;
    rows_ += lines;
    const auto source = open_memory(std::as_bytes(std::span{text}));
    auto piece = parts_.read(*source, of);
    if (!piece && piece.error().code == Errc::too_short && at_end() && rows_ > lines)
      return std::optional<Capture>{};  // blank lines and notes behind the last row
    if (!piece) return piece.error();
    piece->format = parts_.format;
    if (at_end() && !parts_.stream->damage().empty()) {
      piece->findings.push_back(
          {FindingKind::truncated, Weight::caution, "", parts_.stream->damage(),
           "the recording is shorter than the original", "copy it again if you can"});
    }
    return std::optional<Capture>{std::move(*piece)};
  }

 private:
  /// Reads one block more; false at the end.
  bool more() {
    if (ended_) return false;
    const std::size_t before = held_.size();
    held_.resize(before + piece_bytes);
    const std::size_t n = parts_.stream->read_full(
        std::as_writable_bytes(std::span{held_.data() + before, piece_bytes}));
    held_.resize(before + n);
    ended_ = n < piece_bytes;
    return n > 0;
  }
  bool at_end() { return held_.empty() && !more(); }

  [[nodiscard]] std::size_t count_lines(const std::string& text) const {
    const auto ends =
        static_cast<std::size_t>(std::count(text.begin(), text.end(), layout_.end_of_line));
    return ends + (text.empty() || text.back() == layout_.end_of_line ? 0 : 1);
  }

  /// Where the given number of lines ends in what is held; its end if there are fewer.
  std::size_t gather(std::size_t lines) {
    std::size_t at = 0;
    std::size_t line_start = 0;
    while (lines > 0) {
      const std::size_t end = held_.find(layout_.end_of_line, at);
      if (end != std::string::npos) {
        at = line_start = end + 1;
        --lines;
        continue;
      }
      at = held_.size();
      // The reader refuses a line that long by itself.
      if (at - line_start > longest_line || !more()) return held_.size();
    }
    return at;
  }

  void skip_header() {
    const std::size_t end = gather(layout_.skip_lines);
    lines_ = layout_.skip_lines;
    held_.erase(0, end);
    if (lines_ == 0 && held_.empty()) more();
    if (held_.starts_with("\xef\xbb\xbf")) held_.erase(0, 3);
  }

  /// Rows of all of the file, by the length of the first ones.
  void estimate() {
    if (held_.size() < piece_bytes / 2) more();
    const auto rows = static_cast<double>(count_lines(held_));
    if (ended_ || held_.empty()) {
      expected_ = static_cast<std::uint64_t>(rows);
      return;
    }
    const double used = static_cast<double>(std::max<std::uint64_t>(1, parts_.stream->used()));
    expected_ = static_cast<std::uint64_t>(rows * static_cast<double>(source_->size()) / used);
  }

  std::unique_ptr<ByteSource> source_;
  TextLayout layout_;
  TextParts parts_;
  std::string name_;
  std::optional<Hz> rate_;
  std::uint64_t max_rows_;
  std::uint64_t expected_{};
  std::string held_;  ///< text behind the pieces handed out
  std::size_t lines_{}, rows_{};
  bool ended_{false};
};

}  // namespace

Result<std::unique_ptr<PieceReader>> cut_text(std::unique_ptr<ByteSource> source, TextLayout layout,
                                              TextParts parts, const std::string& name,
                                              const ReadOptions& options) {
  return std::unique_ptr<PieceReader>{std::make_unique<TextPieces>(
      std::move(source), std::move(layout), std::move(parts), name, options)};
}

}  // namespace bearingdsp::capture_detail
