/// Delimited text, plain or gzip, in one pass over blocks.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <memory>
#include <utility>

#include <fast_float/fast_float.h>
#include <fmt/format.h>

#include "reader.hpp"
#include "text_layout.hpp"
#include "time_axis.hpp"

namespace bearingdsp::capture_detail {
namespace {

constexpr std::size_t head_bytes = 65536;
/// The first samples may stand behind long metadata.
constexpr std::size_t longest_head = 1U << 20U;
constexpr std::size_t block_bytes = 1U << 20U;
/// Rows with too many or too few fields, and lines without numbers, beyond this part: the layout
/// was misread or the file is damaged.
constexpr double tolerable_rows = 0.01;
constexpr int rows_till_due = 31;
constexpr std::size_t no_column = ~std::size_t{0};
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

bool is_gzip(ByteSource& source) {
  std::array<std::byte, 2> magic{};
  return source.read_at(0, magic) == 2 && magic[0] == std::byte{0x1f} &&
         magic[1] == std::byte{0x8b};
}

std::unique_ptr<ByteStream> open_stream(ByteSource& source, bool packed) {
  return packed ? unpacking_stream(source, 0, source.size(), Packing::gzip)
                : plain_stream(source, 0, source.size());
}

/// The first bytes, cut behind the last whole line unless they are all there is.
Result<std::string> read_head(ByteSource& source, bool packed, const std::string& name,
                              std::size_t bytes) {
  const auto stream = open_stream(source, packed);
  std::string head;
  bool ended = false;
  while (head.size() < bytes && !ended) {
    const std::size_t before = head.size();
    head.resize(std::min(bytes, before + head_bytes));
    const std::size_t n = stream->read_full(
        std::as_writable_bytes(std::span{head.data() + before, head.size() - before}));
    ended = n < head.size() - before;
    head.resize(before + n);
  }
  if (head.empty() && !stream->damage().empty()) {
    return Error{Errc::corrupt_file, name, stream->damage(), "copy it again"};
  }
  if (head.empty()) {
    return Error{Errc::too_short, name, "is empty", "check the recorder and the copy"};
  }
  if (packed && (head.compare(0, 4, "RIFF") == 0 || head.compare(0, 6, "MATLAB") == 0 ||
                 head.compare(0, 4, "fLaC") == 0)) {
    return Error{Errc::unsupported_format, name, "is a packed binary recording",
                 "unpack it first (only text is read packed)"};
  }
  if (!ended) {
    std::size_t cut = head.find_last_of('\n');
    if (cut == std::string::npos) cut = head.find_last_of('\r');
    if (cut != std::string::npos) head.resize(cut + 1);
  }
  return head;
}

Result<TextLayout> layout_of(ByteSource& source, bool packed, const std::string& name,
                             const ReadOptions& options) {
  auto head = read_head(source, packed, name, head_bytes);
  if (!head) return head.error();
  auto layout = find_layout(*head, name, options);
  if (layout || layout.error().code != Errc::unsupported_format || head->size() < head_bytes / 2) {
    return layout;
  }
  auto more = read_head(source, packed, name, longest_head);
  if (!more) return more.error();
  return find_layout(*more, name, options);
}

/// A number of digits alone, as most recorders write them: its end, or nullptr if it is of another
/// form or longer than is exact. Digits as a whole number up to 2^53 over a power of ten up to
/// 10^22 are both exact doubles, so the quotient is the nearest double, as any right reader gives
/// it. Source: W. D. Clinger, How to read floating point numbers accurately, PLDI 1990
const char* plain_decimal(const char* p, const char* e, char decimal, double& value) noexcept {
  static constexpr std::array powers{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                     1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};
  const bool negative = p != e && *p == '-';
  if (negative) ++p;
  std::uint64_t digits = 0;
  const auto take = [&] {
    const char* const from = p;
    for (; p != e; ++p) {
      const auto d = static_cast<unsigned>(static_cast<unsigned char>(*p)) - unsigned{'0'};
      if (d > 9) break;
      digits = 10 * digits + d;
    }
    return static_cast<std::size_t>(p - from);
  };
  const std::size_t before = take();
  std::size_t after = 0;
  if (p != e && *p == decimal) {
    ++p;
    after = take();
  }
  // 18 digits cannot overflow.
  const bool exponent = p != e && (*p == 'e' || *p == 'E');
  if (before + after == 0 || before + after >= powers.size() || exponent ||
      digits > std::uint64_t{1} << 53U) {
    return nullptr;
  }
  value = static_cast<double>(digits) / powers[after];
  if (negative) value = -value;
  return p;
}

/// A field that is no number: where and what.
struct Oddity {
  std::size_t count{};
  std::size_t line{};  // from 1, of the first
  std::string seen;
  void note(std::size_t at, std::string_view text) {
    if (count++ == 0) {
      line = at;
      seen = excerpt(text);
    }
  }
};

class RowParser {
 public:
  RowParser(const TextLayout& layout, std::vector<std::size_t> wanted, std::uint64_t most_rows)
      : layout_{layout},
        options_{fast_float::chars_format::general, layout.decimal},
        most_rows_{most_rows},
        columns(wanted.size()),
        bad(wanted.size()),
        slot_(layout.names.size(), -1),
        row_(wanted.size()),
        unlike_(wanted.size()) {
    for (std::size_t k = 0; k < wanted.size(); ++k) {
      slot_[wanted[k]] = static_cast<int>(k);
      last_ = std::max(last_, wanted[k] + 1);
    }
  }

  /// One line without its end; false if there are more rows than allowed.
  bool line(const char* p, const char* e, std::size_t number) {
    if (fast(p, e) != e && !slow({p, static_cast<std::size_t>(e - p)}, number)) return true;
    if (columns.front().size() >= most_rows_) return false;
    note_place(number);
    append();
    return true;
  }
  /// As many lines as are rows of numbers, up to stop, which is behind the end of a line; number is
  /// that of the line before and counts on. Gives the start of the first line that is not.
  const char* lines(const char* p, const char* const stop, std::size_t& number) {
    bool first = true;
    while (p < stop) {
      const char* const e = fast(p, stop);
      if (e == nullptr || e == stop || *e != layout_.end_of_line ||
          columns.front().size() >= most_rows_) {
        break;
      }
      ++number;
      if (first) note_place(number);
      first = false;
      append();
      p = e + 1;
    }
    return p;
  }
  /// The last line had no end and too few fields: it was cut off.
  bool drop_short_last(std::size_t number) {
    if (fewer.count == 0 || last_short_ != number || columns.front().empty()) return false;
    for (std::vector<double>& c : columns) c.pop_back();
    --fewer.count;
    return true;
  }
  void reserve(std::uint64_t rows) {
    for (auto& c : columns) c.reserve(static_cast<std::size_t>(std::min(rows, most_rows_)));
  }
  [[nodiscard]] std::size_t line_of(std::size_t row) const {
    std::size_t offset = 1;
    for (const auto& [first, by] : breaks_) {
      if (first > row) break;
      offset = by;
    }
    return row + offset;
  }
  [[nodiscard]] std::size_t rows() const { return columns.front().size(); }

 private:
  const TextLayout& layout_;
  fast_float::parse_options options_;
  std::uint64_t most_rows_;

 public:
  std::vector<std::vector<double>> columns;
  std::vector<Oddity> bad;  ///< text where a number should be, a wanted column
  Oddity fewer, more, wordy;
  std::size_t most_fields{};

 private:
  void note_place(std::size_t number) {
    const std::size_t index = columns.front().size();
    if (number - index == offset_ || breaks_.size() >= 4096) return;
    offset_ = number - index;
    breaks_.emplace_back(index, offset_);
  }
  void append() {
    for (std::size_t k = 0; k < row_.size(); ++k) {
      std::vector<double>& c = columns[k];
      if (c.size() == c.capacity()) c.reserve(c.size() + c.size() / 4 + 1024);
      c.push_back(row_[k]);
    }
  }

  /// The row that begins at p, if it is one of numbers. Gives its end: e, or the end of a line
  /// before it; nullptr or another place if it is no such row.
  const char* fast(const char* p, const char* e) noexcept {
    const char delimiter = layout_.delimiter;
    const char end_of_line = layout_.end_of_line;
    const bool blanks = delimiter == ' ';
    const std::size_t count = slot_.size();
    const bool stamped = layout_.time_kind == TimeKind::stamp;
    if (stamped) return nullptr;
    const auto blank = [&](char c) {
      return c == ' ' || (c == '\t' && delimiter != '\t') || (c == '\r' && end_of_line != '\r');
    };
    const auto ended = [&] { return p == e || *p == end_of_line; };
    for (std::size_t c = 0; c < count; ++c) {
      while (p < e && (*p == ' ' || (*p == '\t' && delimiter != '\t'))) ++p;
      if (slot_[c] >= 0) {
        const auto k = static_cast<std::size_t>(slot_[c]);
        double& v = row_[k];
        // Where a column's numbers are of another form, that is tried now and then only.
        const bool due = unlike_[k] == 0;
        const char* const q = due ? plain_decimal(p, e, layout_.decimal, v) : nullptr;
        if (q != nullptr) {
          p = q;
        } else {
          unlike_[k] = due ? rows_till_due : unlike_[k] - 1;
          const auto [end, code] = fast_float::from_chars_advanced(p, e, v, options_);
          if (code != std::errc{} || !std::isfinite(v)) return nullptr;
          p = end;
        }
        if (blanks && !ended() && !blank(*p)) return nullptr;
        while (p < e && blank(*p)) ++p;
      } else {
        if (ended()) return nullptr;
        if (*p == '"') return nullptr;
        while (!ended() && *p != delimiter && !(blanks && *p == '\t')) ++p;
        while (blanks && p < e && blank(*p)) ++p;
      }
      if (c + 1 == count) break;
      if (blanks) {
        if (ended()) return nullptr;
      } else {
        if (p == e || *p != delimiter) return nullptr;
        ++p;
      }
    }
    if (p != e && !blanks && *p == delimiter) ++p;
    while (p < e && (*p == '\t' || blank(*p))) ++p;
    return p;
  }

  /// false: not a row (blank, comment, words only).
  bool slow(std::string_view text, std::size_t number) {
    if (is_comment(text, layout_.delimiter)) return false;
    while (!text.empty() && (text.back() == '\r' || text.back() == ' ')) text.remove_suffix(1);
    split(text, layout_.delimiter, fields_);
    while (fields_.size() > layout_.names.size() && fields_.back().empty()) fields_.pop_back();
    bool any = false;
    for (std::size_t c = 0; c < fields_.size() && !any; ++c) {
      any = parse_number(fields_[c], layout_.decimal).has_value() ||
            (layout_.time == c && parse_stamp(fields_[c]).has_value());
    }
    if (!any) {
      const bool gap_row = std::all_of(fields_.begin(), fields_.end(), is_missing) &&
                           fields_.size() == layout_.names.size();
      if (!gap_row) {
        wordy.note(number, text);
        return false;
      }
    }
    if (fields_.size() > layout_.names.size()) {
      more.note(number, text);
      most_fields = std::max(most_fields, fields_.size());
    } else if (fields_.size() < layout_.names.size()) {
      fewer.note(number, text);
      last_short_ = number;
    }
    for (std::size_t c = 0; c < layout_.names.size(); ++c) {
      if (slot_[c] < 0) continue;
      const auto k = static_cast<std::size_t>(slot_[c]);
      row_[k] = nothing;
      if (c >= fields_.size()) continue;
      if (layout_.time == c && layout_.time_kind == TimeKind::stamp) {
        if (const auto t = parse_stamp(fields_[c])) {
          // From the first stamp's day, so that the fraction keeps its digits.
          if (!day_) day_ = std::floor(*t / 86400) * 86400;
          row_[k] = *t - *day_;
          continue;
        }
      }
      if (const auto v = parse_number(fields_[c], layout_.decimal)) {
        row_[k] = std::isfinite(*v) ? *v : nothing;
      } else if (!is_missing(fields_[c])) {
        bad[k].note(number, fields_[c]);
      }
    }
    return true;
  }

  std::vector<int> slot_;
  std::vector<double> row_;
  std::vector<int> unlike_;  ///< rows before plain_decimal() is tried again, a wanted column
  std::vector<std::string_view> fields_;
  std::vector<std::pair<std::size_t, std::size_t>> breaks_;
  std::size_t offset_{1};
  std::size_t last_{};
  std::size_t last_short_{};
  std::optional<double> day_;
};

}  // namespace

Result<Capture> read_text(ByteSource& source, const std::string& name, const ReadOptions& options) {
  const bool packed = is_gzip(source);
  auto found = layout_of(source, packed, name, options);
  if (!found) return found.error();
  const TextLayout& layout = *found;

  std::vector<std::size_t> picked;
  if (options.select.empty()) {
    for (std::size_t c = 0; c < layout.names.size(); ++c) {
      if (layout.time != c && layout.index != c) picked.push_back(c);
    }
  } else {
    auto chosen = choose(layout.names, options.select, "column", name);
    if (!chosen) return chosen.error();
    picked = *std::move(chosen);
  }
  if (picked.empty()) {
    return Error{Errc::too_short, name, "holds no column besides time", "check the export"};
  }
  std::size_t time = layout.time.value_or(no_column);
  if (std::find(picked.begin(), picked.end(), time) != picked.end()) time = no_column;
  std::vector<std::size_t> wanted = picked;
  if (time != no_column) wanted.push_back(time);
  const std::uint64_t limit =
      packed ? std::min(options.max_samples, most_unpacked(source.size()) / sizeof(double))
             : options.max_samples;
  RowParser rows{layout, wanted, limit / picked.size()};

  const auto stream = open_stream(source, packed);
  std::vector<char> buffer(block_bytes);
  std::size_t held = 0;
  std::size_t number = 0;
  std::uint64_t taken = 0;
  bool reserved = packed;
  bool cut_off = false;
  bool first_block = true;
  for (bool ended = false; !ended;) {
    const std::size_t n = stream->read_full(
        std::as_writable_bytes(std::span{buffer.data() + held, buffer.size() - held}));
    ended = n < buffer.size() - held;
    const char* p = buffer.data();
    const char* const stop = buffer.data() + held + n;
    taken += n;
    if (first_block) {
      first_block = false;
      if (std::string_view{p, static_cast<std::size_t>(stop - p)}.starts_with("\xef\xbb\xbf"))
        p += 3;
    }
    const void* const last_end =
        held + n == 0 ? nullptr
                      : ::memrchr(p, layout.end_of_line, static_cast<std::size_t>(stop - p));
    const char* const whole =
        last_end == nullptr ? p : static_cast<const char*>(last_end) + 1;  // lines end before it
    while (p < stop) {
      if (number >= layout.skip_lines) p = rows.lines(p, whole, number);
      if (p == stop) break;
      const void* found_end =
          std::memchr(p, layout.end_of_line, static_cast<std::size_t>(stop - p));
      const char* e = static_cast<const char*>(found_end);
      if (e == nullptr) {
        if (!ended) break;
        e = stop;
      }
      ++number;
      if (number > layout.skip_lines && !rows.line(p, e, number)) {
        if (limit < options.max_samples) {
          return Error{Errc::corrupt_file, name,
                       fmt::format("holds more than {} samples packed into {} bytes, tighter than "
                                   "a recording can be",
                                   limit, source.size()),
                       "copy it again, unpacked if it is right"};
        }
        return Error{
            Errc::bad_argument, name,
            fmt::format("holds more than {} samples in the columns chosen", options.max_samples),
            "choose fewer columns, cut the file, or raise max_samples"};
      }
      if (e == stop && found_end == nullptr) {
        cut_off = rows.rows() > 1 && rows.drop_short_last(number);
        p = stop;
        break;
      }
      p = e + 1;
    }
    held = static_cast<std::size_t>(stop - p);
    if (held == buffer.size()) {
      return Error{Errc::unsupported_format, fmt::format("{}:{}", name, number + 1),
                   fmt::format("a line is longer than {} bytes", buffer.size()),
                   "export one row a sample"};
    }
    std::memmove(buffer.data(), p, held);
    if (!reserved && rows.rows() > 0) {
      // What the file can hold by the length of its first rows; a value takes two bytes at least.
      const double share = static_cast<double>(source.size()) / static_cast<double>(taken - held);
      rows.reserve(
          std::min(static_cast<std::uint64_t>(static_cast<double>(rows.rows()) * share * 1.01) + 64,
                   source.size() / 2 + 1));
      reserved = true;
    }
  }
  const std::string damage = stream->damage();
  const std::size_t n = rows.rows();
  if (n == 0) {
    return Error{damage.empty() ? Errc::too_short : Errc::corrupt_file, name,
                 damage.empty() ? std::string{"holds no rows of samples"} : damage,
                 "check the recorder and the copy"};
  }
  const auto here = [&](std::size_t line) { return fmt::format("{}:{}", name, line); };
  const double most = std::max(1.0, tolerable_rows * static_cast<double>(n));
  for (std::size_t k = 0; k < picked.size(); ++k) {
    const Oddity& odd = rows.bad[k];
    if (odd.count > 0 && static_cast<double>(odd.count) > most) {
      return Error{Errc::corrupt_file, here(odd.line),
                   fmt::format("column {} '{}' holds '{}' where a number should be, and {} of {} "
                               "rows are like it",
                               picked[k] + 1, layout.names[picked[k]], odd.seen, odd.count, n),
                   "choose the columns that hold numbers"};
    }
  }
  if (static_cast<double>(rows.fewer.count) > most) {
    return Error{Errc::corrupt_file, here(rows.fewer.line),
                 fmt::format("the row has fewer than {} fields, and {} of {} rows are like it",
                             layout.names.size(), rows.fewer.count, n),
                 "export every row with all columns"};
  }
  if (static_cast<double>(rows.more.count) > most) {
    return Error{Errc::corrupt_file, here(rows.more.line),
                 fmt::format("the row has {} fields instead of {}, and {} of {} rows are like it",
                             rows.most_fields, layout.names.size(), rows.more.count, n),
                 "give the delimiter and the decimal separator"};
  }
  if (static_cast<double>(rows.wordy.count) > most) {
    return Error{Errc::corrupt_file, here(rows.wordy.line),
                 fmt::format("'{}' is no row of numbers, and {} lines among {} rows are like it",
                             rows.wordy.seen, rows.wordy.count, n),
                 "remove them, or mark them as comments with #"};
  }

  Capture capture;
  capture.source = name;
  capture.format = packed ? "delimited text, gzip" : "delimited text";
  capture.start_utc = layout.start_utc;
  if (layout.hint.speed) capture.noted_speed = Rpm{*layout.hint.speed};
  Findings& findings = capture.findings;
  if (rows.more.count > 0) {
    findings.push_back({FindingKind::header_mismatch, Weight::note, here(rows.more.line),
                        fmt::format("{} row{} more fields ({}) than the others ({}); the extra "
                                    "ones are ignored",
                                    rows.more.count, rows.more.count == 1 ? " has" : "s have",
                                    rows.most_fields, layout.names.size()),
                        "none, if they are notes of the recorder", ""});
  }
  for (std::size_t k = 0; k < picked.size(); ++k) {
    if (rows.bad[k].count == 0) continue;
    findings.push_back({FindingKind::repaired, Weight::note, here(rows.bad[k].line),
                        fmt::format("column {} '{}' holds '{}' where a number should be ({} such "
                                    "row{})",
                                    picked[k] + 1, layout.names[picked[k]], rows.bad[k].seen,
                                    rows.bad[k].count, rows.bad[k].count == 1 ? "" : "s"),
                        "the places are filled by straight lines", "look for the cause"});
  }
  if (rows.fewer.count > 0) {
    findings.push_back({FindingKind::repaired, Weight::note, here(rows.fewer.line),
                        fmt::format("{} row{} fewer fields than {}", rows.fewer.count,
                                    rows.fewer.count == 1 ? " has" : "s have", layout.names.size()),
                        "the places are filled by straight lines", "look for the cause"});
  }
  if (rows.wordy.count > 0) {
    findings.push_back({FindingKind::repaired, Weight::note, here(rows.wordy.line),
                        fmt::format("{} line{} without numbers ('{}') left out", rows.wordy.count,
                                    rows.wordy.count == 1 ? "" : "s", rows.wordy.seen),
                        "samples may be missing there", "look at that place"});
  }
  if (cut_off || !damage.empty()) {
    findings.push_back({FindingKind::truncated, Weight::caution, here(number),
                        damage.empty() ? std::string{"the last row is cut off and was left out"}
                                       : damage + fmt::format("; {} rows could be read", n),
                        "the record is shorter than it was: fine lines may not part",
                        "copy it again if you can"});
  }

  Finish end;
  end.rate = layout.hint.rate;
  end.rate_advice = "give the rate, or name the time column";
  if (time != no_column) {
    auto axis = analyse_time(rows.columns.back(), layout.time_scale, options.rate.has_value(),
                             [&](std::size_t i) { return here(rows.line_of(i)); });
    if (!axis) return axis.error();
    if (axis->rate > 0) end.rate = axis->rate;
    for (Finding& f : axis->findings) findings.push_back(std::move(f));
    std::vector<double>{}.swap(rows.columns.back());
  }
  for (std::size_t k = 0; k < picked.size(); ++k) {
    Channel channel;
    channel.name = layout.names[picked[k]];
    channel.samples = std::move(rows.columns[k]);
    capture.channels.push_back(std::move(channel));
    end.units.push_back(find_file_unit(layout.units[picked[k]]));
    if (layout.units[picked[k]].empty()) end.units.back().reset();
  }
  capture.trail.push_back(
      {"read",
       fmt::format("format={} delimiter={} decimal={} columns={} of {} rows={}", capture.format,
                   layout.delimiter == '\t'  ? std::string{"tab"}
                   : layout.delimiter == ' ' ? std::string{"blank"}
                                             : std::string{layout.delimiter},
                   layout.decimal, picked.size(), layout.names.size(), n)});
  return finish(std::move(capture), end, options);
}

Result<Contents> list_text(ByteSource& source, const std::string& name) {
  const bool packed = is_gzip(source);
  auto layout = layout_of(source, packed, name, {});
  if (!layout) return layout.error();
  Contents out;
  out.source = name;
  out.format = packed ? "delimited text, gzip" : "delimited text";
  if (layout->hint.rate) out.rate = Hz{*layout->hint.rate};
  if (layout->row_rate) out.rate = Hz{*layout->row_rate};
  if (layout->hint.speed) out.noted_speed = Rpm{*layout->hint.speed};
  out.start_utc = layout->start_utc;
  out.notes = layout->notes;
  for (std::size_t c = 0; c < layout->names.size(); ++c) {
    ContentItem item;
    item.number = c + 1;
    item.name = layout->names[c];
    item.type = layout->time == c && layout->time_kind == TimeKind::stamp ? "time stamp" : "number";
    item.unit = layout->units[c];
    item.is_time = layout->time == c;
    item.is_signal = layout->time != c && layout->index != c;
    out.items.push_back(std::move(item));
  }
  return out;
}

}  // namespace bearingdsp::capture_detail
