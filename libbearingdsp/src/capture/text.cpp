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

#include "bearingdsp/core/sentence.hpp"
#include "other_unit.hpp"
#include "reader.hpp"
#include "stamp.hpp"
#include "text_encoding.hpp"
#include "text_layout.hpp"
#include "text_pieces.hpp"
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

enum class Wrapping : std::uint8_t { none, gzip, utf16 };

Wrapping wrapping_of(ByteSource& source) {
  std::array<char, 2> magic{};
  const std::size_t n = source.read_at(0, std::as_writable_bytes(std::span{magic}));
  const std::string_view head{magic.data(), n};
  return head == "\x1f\x8b" ? Wrapping::gzip : is_utf16(head) ? Wrapping::utf16 : Wrapping::none;
}

std::string format_of(Wrapping wrapping) {
  return wrapping == Wrapping::gzip    ? "delimited text, gzip"
         : wrapping == Wrapping::utf16 ? "delimited text, UTF-16"
                                       : "delimited text";
}

std::unique_ptr<ByteStream> open_stream(ByteSource& source, Wrapping wrapping) {
  return wrapping == Wrapping::gzip    ? unpacking_stream(source, 0, source.size(), Packing::gzip)
         : wrapping == Wrapping::utf16 ? utf16_stream(source)
                                       : plain_stream(source, 0, source.size());
}

/// The first bytes, cut behind the last whole line unless they are all there is.
Result<std::string> read_head(ByteSource& source, Wrapping wrapping, const std::string& name,
                              std::size_t bytes) {
  const auto stream = open_stream(source, wrapping);
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
  if (wrapping == Wrapping::gzip &&
      (head.compare(0, 4, "RIFF") == 0 || head.compare(0, 6, "MATLAB") == 0 ||
       head.compare(0, 4, "fLaC") == 0)) {
    return Error{Errc::unsupported_format, name, "is a compressed binary recording",
                 "unpack it first (only text can be read compressed)"};
  }
  if (!ended) {
    std::size_t cut = head.find_last_of('\n');
    if (cut == std::string::npos) cut = head.find_last_of('\r');
    if (cut != std::string::npos) head.resize(cut + 1);
  }
  return head;
}

Result<TextLayout> layout_of(ByteSource& source, Wrapping wrapping, const std::string& name,
                             const ReadOptions& options) {
  auto head = read_head(source, wrapping, name, head_bytes);
  if (!head) return head.error();
  auto layout = find_layout(*head, name, options);
  if (layout || layout.error().code != Errc::unsupported_format || head->size() < head_bytes / 2) {
    return layout;
  }
  auto more = read_head(source, wrapping, name, longest_head);
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

/// A field that is not a number: where and what.
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

/// "1,234.5" or "1.234,5": digits in groups of three before a decimal sign; nothing else.
/// thousands: the file writes whole numbers in groups too.
std::optional<double> parse_grouped(std::string_view field, char decimal, bool thousands) {
  const char group = decimal == '.' ? ',' : '.';
  const std::size_t point = std::min(field.find(decimal), field.size());
  if (field.find(group) == std::string_view::npos) return std::nullopt;
  if (point == field.size() && !thousands) return std::nullopt;
  std::string plain;
  std::size_t in_group = 0;
  for (std::size_t i = point; i-- > 0;) {
    const char c = field[i];
    if (c == group) {
      if (in_group != 3 || i == 0) return std::nullopt;
      in_group = 0;
      continue;
    }
    plain.insert(plain.begin(), c);
    if (is_digit(c) && ++in_group > 3) return std::nullopt;
  }
  if (in_group == 0) return std::nullopt;
  plain += field.substr(point);
  return parse_number(plain, decimal);
}

class RowParser {
 public:
  RowParser(const TextLayout& layout, std::vector<std::size_t> wanted, std::uint64_t max_rows)
      : layout_{layout},
        options_{fast_float::chars_format::general, layout.decimal},
        max_rows_{max_rows},
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
    if (columns.front().size() >= max_rows_) return false;
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
          columns.front().size() >= max_rows_) {
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
    for (auto& c : columns) c.reserve(static_cast<std::size_t>(std::min(rows, max_rows_)));
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
  std::uint64_t max_rows_;

 public:
  std::vector<std::vector<double>> columns;
  std::vector<Oddity> bad;  ///< text where a number should be, a wanted column
  Oddity fewer, more, wordy;
  std::size_t rows_before_words{};  ///< when the first line without numbers came
  std::size_t max_fields{};

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
    if (stamped || delimiter == layout_.decimal) return nullptr;
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
            parse_grouped(fields_[c], layout_.decimal, layout_.thousands).has_value() ||
            (layout_.time == c && parse_stamp(fields_[c]).has_value());
    }
    if (!any) {
      const bool gap_row = std::all_of(fields_.begin(), fields_.end(), is_missing) &&
                           fields_.size() == layout_.names.size();
      if (!gap_row) {
        if (wordy.count == 0) rows_before_words = columns.front().size();
        wordy.note(number, text);
        return false;
      }
    }
    if (fields_.size() > layout_.names.size()) {
      more.note(number, text);
      max_fields = std::max(max_fields, fields_.size());
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
          row_[k] = seconds_of(*t);
          continue;
        }
      }
      auto v = parse_number(fields_[c], layout_.decimal);
      if (!v) v = parse_grouped(fields_[c], layout_.decimal, layout_.thousands);
      if (v) {
        row_[k] = std::isfinite(*v) ? *v : nothing;
      } else if (!is_missing(fields_[c])) {
        bad[k].note(number, fields_[c]);
      }
    }
    return true;
  }

  /// Since the midnight before the first stamp, so that fractions of a second keep their digits.
  double seconds_of(const Stamp& stamp) {
    if (stamp.day) {
      if (!day_) day_ = *stamp.day;
      return 86400 * (*stamp.day - *day_) + stamp.seconds;
    }
    // A clock alone begins again at midnight.
    if (stamp.seconds < clock_ - 43200) midnights_ += 1;
    clock_ = stamp.seconds;
    return 86400 * midnights_ + stamp.seconds;
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
  double clock_{};
  double midnights_{};
};

/// How reading the lines ended.
struct LinesRead {
  std::size_t lines{};
  bool cut_off{};      ///< the last line had no end and too few fields
  std::string damage;  ///< of a packed file
};

/// More rows than the limit allows.
Error too_many_rows(std::uint64_t limit, std::uint64_t bytes, const std::string& name,
                    const ReadOptions& options) {
  if (limit < options.max_samples)
    return Error{Errc::corrupt_file, name,
                 fmt::format("contains more than {} samples compressed into {} bytes, which "
                             "is not possible for a recording",
                             limit, bytes),
                 "copy it again; if it is correct, without compression"};
  return Error{
      Errc::bad_argument, name,
      fmt::format("contains more than {} samples in the selected columns", options.max_samples),
      "choose fewer columns, cut the file, or raise max_samples"};
}

/// Room for what the file can hold by the length of its first rows, which took `bytes`; a value
/// takes two bytes at least.
void reserve_rows(RowParser& rows, std::uint64_t bytes, std::uint64_t size) {
  const double share = static_cast<double>(size) / static_cast<double>(bytes);
  rows.reserve(
      std::min(static_cast<std::uint64_t>(static_cast<double>(rows.rows()) * share * 1.01) + 64,
               size / 2 + 1));
}

constexpr std::string_view byte_order_mark{"\xef\xbb\xbf"};

/// Every row into rows, at most limit of them.
Result<LinesRead> read_lines(ByteSource& source, Wrapping wrapping, const std::string& name,
                             const TextLayout& layout, std::uint64_t limit,
                             const ReadOptions& options, RowParser& rows) {
  const auto stream = open_stream(source, wrapping);
  std::vector<char> buffer(block_bytes);
  std::size_t held = 0;
  std::size_t number = layout.lines_before;
  std::uint64_t taken = 0;
  bool reserved = wrapping != Wrapping::none;
  bool cut_off = false;
  for (bool ended = false; !ended;) {
    const std::size_t n = stream->read_full(
        std::as_writable_bytes(std::span{buffer.data() + held, buffer.size() - held}));
    ended = n < buffer.size() - held;
    const char* p = buffer.data();
    const char* const stop = buffer.data() + held + n;
    taken += n;
    if (taken == n &&
        std::string_view{p, static_cast<std::size_t>(stop - p)}.starts_with(byte_order_mark))
      p += byte_order_mark.size();
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
      if (number > layout.skip_lines && !rows.line(p, e, number))
        return too_many_rows(limit, source.size(), name, options);
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
                   "export one row per sample"};
    }
    std::memmove(buffer.data(), p, held);
    if (!reserved && rows.rows() > 0) {
      reserve_rows(rows, taken - held, source.size());
      reserved = true;
    }
  }
  return LinesRead{number, cut_off, stream->damage()};
}

/// Columns (0-based) to read.
Result<std::vector<std::size_t>> pick_columns(const TextLayout& layout, const std::string& name,
                                              const ReadOptions& options) {
  if (!options.select.empty()) return choose(layout.names, options.select, "column", name);
  std::vector<std::size_t> picked;
  for (std::size_t c = 0; c < layout.names.size(); ++c) {
    if (layout.time != c && !layout.aside[c]) picked.push_back(c);
  }
  if (picked.empty()) {
    return Error{Errc::too_short, name, "contains no column other than time", "check the export"};
  }
  return picked;
}

/// A column called rpm may be the pulses of a shaft marker: nearly all of it at two levels, the
/// lower near zero.
bool looks_pulsed(std::span<const double> x) {
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  const double range = *high - *low;
  if (!(range > 0) || !(*low < 0.2 * *high)) return false;
  const double lower = *low + 0.1 * range;
  const double upper = *high - 0.1 * range;
  const auto at_level =
      std::count_if(x.begin(), x.end(), [&](double v) { return v <= lower || v >= upper; });
  return static_cast<double>(at_level) > 0.9 * static_cast<double>(x.size());
}

/// The speed that a column says, if it was the same all along; factor: its unit in rpm.
std::optional<Rpm> steady_speed(std::span<const double> x, double factor) {
  constexpr double steady = 0.02;
  double sum = 0;
  std::size_t count = 0;
  double low = std::numeric_limits<double>::infinity();
  double high = 0;
  for (const double v : x) {
    if (!std::isfinite(v)) continue;
    sum += v;
    ++count;
    low = std::min(low, v);
    high = std::max(high, v);
  }
  const double mean = count > 0 ? sum / static_cast<double>(count) : 0;
  if (!(mean > 0) || high - low > steady * mean) return std::nullopt;
  return Rpm{factor * mean};
}

/// Which of the picked columns are no vibration (speed, temperature ...), unless there is nothing
/// else; a steady speed among them goes to the capture.
std::vector<bool> companions(const TextLayout& layout, const std::vector<std::size_t>& picked,
                             const RowParser& rows, Capture& capture) {
  std::vector<bool> apart(picked.size(), false);
  for (std::size_t k = 0; k < picked.size(); ++k) {
    if (!layout.companion[picked[k]]) continue;
    const bool speed = says_speed(layout.names[picked[k]], layout.units[picked[k]]);
    apart[k] = !speed || !looks_pulsed(rows.columns[k]);
  }
  if (std::find(apart.begin(), apart.end(), false) == apart.end()) return {};
  for (std::size_t k = 0; k < picked.size(); ++k) {
    const bool speed = says_speed(layout.names[picked[k]], layout.units[picked[k]]);
    if (apart[k] && speed && !capture.noted_speed)
      capture.noted_speed =
          steady_speed(rows.columns[k], rpm_in(layout.units[picked[k]]).value_or(1));
  }
  return apart;
}

/// Errors: corrupt_file, if too many lines are not as the layout says.
Result<void> check_rows(const TextLayout& layout, const std::vector<std::size_t>& picked,
                        const std::vector<bool>& apart, const RowParser& rows,
                        const std::string& name) {
  const std::size_t n = rows.rows();
  const auto here = [&](std::size_t line) { return fmt::format("{}:{}", name, line); };
  const double most = std::max(1.0, tolerable_rows * static_cast<double>(n));
  for (std::size_t k = 0; k < picked.size(); ++k) {
    const Oddity& odd = rows.bad[k];
    const bool counts = apart.empty() || !apart[k];
    if (counts && odd.count > 0 && static_cast<double>(odd.count) > most) {
      return Error{
          Errc::corrupt_file, here(odd.line),
          fmt::format("column {} '{}' contains '{}' instead of a number, as do {} of {} rows",
                      picked[k] + 1, layout.names[picked[k]], odd.seen, odd.count, n),
          "choose the columns that hold numbers"};
    }
  }
  if (static_cast<double>(rows.fewer.count) > most) {
    return Error{Errc::corrupt_file, here(rows.fewer.line),
                 fmt::format("the row has fewer than {} fields, as do {} of {} rows",
                             layout.names.size(), rows.fewer.count, n),
                 "export every row with all columns"};
  }
  if (static_cast<double>(rows.more.count) > most) {
    return Error{Errc::corrupt_file, here(rows.more.line),
                 fmt::format("the row has {} fields instead of {}, as do {} of {} rows",
                             rows.max_fields, layout.names.size(), rows.more.count, n),
                 "give the delimiter and the decimal separator"};
  }
  const bool behind = rows.rows_before_words == n;
  if (!behind && static_cast<double>(rows.wordy.count) > most) {
    return Error{Errc::corrupt_file, here(rows.wordy.line),
                 fmt::format("'{}' is not a row of numbers, as are {} lines among {} rows",
                             rows.wordy.seen, rows.wordy.count, n),
                 "remove them, or mark them as comments with #"};
  }
  return {};
}

/// What was odd about the lines and yet did no harm.
void note_oddities(const TextLayout& layout, const std::vector<std::size_t>& picked,
                   const RowParser& rows, const LinesRead& end, const std::string& name,
                   Findings& findings) {
  const auto here = [&](std::size_t line) { return fmt::format("{}:{}", name, line); };
  if (rows.more.count > 0) {
    findings.push_back({FindingKind::header_mismatch, Weight::note, here(rows.more.line),
                        fmt::format("{} row{} more fields ({}) than the others ({}); the extra "
                                    "ones are ignored",
                                    rows.more.count, rows.more.count == 1 ? " has" : "s have",
                                    rows.max_fields, layout.names.size()),
                        "none, if they are remarks of the recorder", ""});
  }
  // Where the last column is read, what is said of its filled places says this.
  const bool last_read =
      std::find(picked.begin(), picked.end(), layout.names.size() - 1) != picked.end();
  if (rows.fewer.count > 0 && !last_read) {
    findings.push_back({FindingKind::repaired, Weight::note, here(rows.fewer.line),
                        fmt::format("{} row{} fewer fields than {}", rows.fewer.count,
                                    rows.fewer.count == 1 ? " has" : "s have", layout.names.size()),
                        "none for the columns that are read", "find the cause"});
  }
  if (rows.wordy.count > 0) {
    const bool behind = rows.rows_before_words == rows.rows();
    const std::string lines = fmt::format("{} without numbers ('{}')",
                                          counted(rows.wordy.count, "line"), rows.wordy.seen);
    findings.push_back(
        {FindingKind::repaired, Weight::note, here(rows.wordy.line),
         behind ? lines + " after the last row left out" : lines + " left out",
         behind ? "none, if they are remarks of the recorder" : "samples may be missing there",
         behind ? "" : "check the file there"});
  }
  if (end.cut_off || !end.damage.empty()) {
    findings.push_back(
        {FindingKind::truncated, Weight::caution, here(end.lines),
         end.damage.empty() ? std::string{"the last row is cut off and was left out"}
                            : end.damage + fmt::format("; {} rows could be read", rows.rows()),
         "the recording is shorter than the original: close spectral lines may not be resolved",
         "copy it again if you can"});
  }
}

/// The columns as channels, with what their units are, behind a header or in the file's words.
void take_channels(const TextLayout& layout, const std::vector<std::size_t>& picked,
                   const std::vector<bool>& apart, RowParser& rows, Capture& capture, Finish& end) {
  for (std::size_t k = 0; k < picked.size(); ++k) {
    if (!apart.empty() && apart[k]) continue;
    const std::size_t column = picked[k];
    Channel channel;
    channel.name = layout.names[column];
    channel.samples = std::move(rows.columns[k]);
    capture.channels.push_back(std::move(channel));
    const std::string& unit = layout.units[column].empty() ? layout.unit : layout.units[column];
    end.units.push_back(unit.empty() ? std::nullopt : find_file_unit(unit));
    end.seen.push_back(rows.bad[k].seen);
  }
}

/// All rows of samples of a source whose layout is known.
Result<Capture> read_rows(ByteSource& source, Wrapping wrapping, const TextLayout& layout,
                          const std::string& name, const ReadOptions& options) {
  auto picked = pick_columns(layout, name, options);
  if (!picked) return picked.error();

  std::size_t time = layout.time.value_or(no_column);
  if (std::find(picked->begin(), picked->end(), time) != picked->end()) time = no_column;
  std::vector<std::size_t> wanted = *picked;
  if (time != no_column) wanted.push_back(time);
  const std::uint64_t limit =
      wrapping == Wrapping::gzip
          ? std::min(options.max_samples, max_unpacked(source.size()) / sizeof(double))
          : options.max_samples;
  RowParser rows{layout, wanted, limit / picked->size()};
  const auto lines = read_lines(source, wrapping, name, layout, limit, options, rows);
  if (!lines) return lines.error();
  const std::size_t n = rows.rows();
  if (n == 0) {
    return Error{lines->damage.empty() ? Errc::too_short : Errc::corrupt_file, name,
                 lines->damage.empty() ? std::string{"holds no rows of samples"} : lines->damage,
                 "check the recorder and the copy"};
  }

  Capture capture;
  capture.source = name;
  capture.format = format_of(wrapping);
  capture.start_utc = layout.start_utc;
  note_speed(capture, layout.hint);
  std::vector<bool> apart;
  if (options.select.empty()) apart = companions(layout, *picked, rows, capture);
  if (auto ok = check_rows(layout, *picked, apart, rows, name); !ok) return ok.error();
  note_oddities(layout, *picked, rows, *lines, name, capture.findings);

  const auto place = [&](std::size_t i) { return fmt::format("{}:{}", name, rows.line_of(i)); };
  Finish end;
  end.rate = layout.hint.rate;
  end.second_rate = layout.hint.second_rate;
  end.rate_advice = "give the rate, or name the time column";
  end.place = place;
  if (time != no_column) {
    auto axis =
        analyse_time(rows.columns.back(), layout.time_scale, options.rate.has_value(), place);
    if (!axis) return axis.error();
    for (Finding& f : axis->findings) capture.findings.push_back(std::move(f));
    end.axis = std::move(*axis);
    std::vector<double>{}.swap(rows.columns.back());
  }
  take_channels(layout, *picked, apart, rows, capture, end);
  capture.trail.push_back(
      {"read",
       fmt::format("format={} delimiter={} decimal={} columns={} of {} rows={}", capture.format,
                   layout.delimiter == '\t'  ? std::string{"tab"}
                   : layout.delimiter == ' ' ? std::string{"blank"}
                                             : std::string{layout.delimiter},
                   layout.decimal, capture.channels.size(), layout.names.size(), n)});
  return finish(std::move(capture), end, options);
}

Result<Capture> read_text(ByteSource& source, const std::string& name, const ReadOptions& options) {
  const Wrapping wrapping = wrapping_of(source);
  auto layout = layout_of(source, wrapping, name, options);
  if (!layout) return layout.error();
  return read_rows(source, wrapping, *layout, name, options);
}

Result<std::unique_ptr<PieceReader>> text_pieces(std::unique_ptr<ByteSource> source,
                                                 const std::string& name,
                                                 const ReadOptions& options) {
  const Wrapping wrapping = wrapping_of(*source);
  auto layout = layout_of(*source, wrapping, name, options);
  if (!layout) return layout.error();
  const auto picked = pick_columns(*layout, name, options);
  if (!picked) return picked.error();
  TextParts parts;
  parts.stream = open_stream(*source, wrapping);
  parts.columns = picked->size();
  parts.packed = wrapping == Wrapping::gzip;
  parts.format = format_of(wrapping);
  parts.read = [options, name](ByteSource& rows, const TextLayout& of) {
    return read_rows(rows, Wrapping::none, of, name, options);
  };
  return cut_text(std::move(source), std::move(*layout), std::move(parts), name, options);
}

Result<Contents> list_text(ByteSource& source, const std::string& name) {
  const Wrapping wrapping = wrapping_of(source);
  auto layout = layout_of(source, wrapping, name, {});
  if (!layout) return layout.error();
  Contents out;
  out.source = name;
  out.format = format_of(wrapping);
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
    item.is_time = layout->time == c;
    item.is_signal = !item.is_time && !layout->aside[c] && !layout->companion[c];
    item.unit = layout->units[c].empty() && item.is_signal ? layout->unit : layout->units[c];
    out.items.push_back(std::move(item));
  }
  return out;
}

/// What a text in itself does not show.
bool begins_text(std::string_view head) { return is_utf16(head) || head.starts_with("\x1f\x8b"); }

}  // namespace

const Format text_format{"csv txt tsv gz dat", begins_text, read_text, list_text, text_pieces};

}  // namespace bearingdsp::capture_detail
