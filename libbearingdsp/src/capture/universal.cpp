/// Universal files: dataset 58, as text and binary (58b), of which the time responses are signals.
/// Source: the public description of the layout, [uff58]; read from the file as bytes, by
/// columns, because numbers may touch.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "bearingdsp/core/letters.hpp"
#include "mat_file.hpp"
#include "number_bytes.hpp"
#include "other_unit.hpp"
#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

constexpr std::size_t longest_line = 512;  ///< lines of the header have 80 columns
constexpr std::size_t max_datasets = 4096;
constexpr std::string_view bound = "    -1";  ///< of a dataset, in columns 1 to 6
constexpr double increments_agree = 1e-5;     ///< an increment is written with six digits

/// Lines of a file from a position on, without their ends.
class Lines {
 public:
  Lines(ByteSource& source, std::uint64_t at) : source_{&source}, at_{at} {}
  /// The next line, cut after 512 bytes; false at the end of the file.
  bool next(std::string& line) {
    line.clear();
    bool any = false;
    while (fill()) {
      any = true;
      const char* const begin = block_.data() + used_;
      const auto* const end = static_cast<const char*>(std::memchr(begin, '\n', filled_ - used_));
      const std::size_t n =
          end != nullptr ? static_cast<std::size_t>(end - begin) : filled_ - used_;
      line.append(begin, std::min(n, longest_line - std::min(line.size(), longest_line)));
      used_ += n + (end != nullptr ? 1 : 0);
      if (end != nullptr) break;
    }
    if (!line.empty() && line.back() == '\r') line.pop_back();
    return any;
  }
  /// Of the first byte behind the last line.
  [[nodiscard]] std::uint64_t position() const noexcept { return at_ - (filled_ - used_); }

 private:
  bool fill() {
    if (used_ < filled_) return true;
    used_ = 0;
    filled_ = source_->read_at(at_, std::as_writable_bytes(std::span{block_}));
    at_ += filled_;
    return filled_ > 0;
  }
  ByteSource* source_;
  std::uint64_t at_;
  std::array<char, 16384> block_{};
  std::size_t used_{0}, filled_{0};
};

bool is_bound(std::string_view line) {
  return line.substr(0, bound.size()) == bound && trim(line.substr(bound.size())).empty();
}

/// Columns counted from 1, as the description does; blank behind the end of the line.
std::string_view columns(std::string_view line, std::size_t first, std::size_t last) {
  if (line.size() < first) return {};
  return trim(line.substr(first - 1, last - first + 1));
}

/// A number as Fortran writes it: a D for the E, or none before a long exponent; blank is none.
std::optional<double> fortran_number(std::string_view text) {
  std::string plain;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const char before = plain.empty() ? ' ' : plain.back();
    if (c == 'D' || c == 'd') {
      plain += 'E';
    } else if ((c == '+' || c == '-') && is_digit(before)) {
      plain += std::string{"E"} + c;
    } else {
      plain += c;
    }
  }
  return parse_number(plain);
}

/// A whole number of the header; a blank field is 0.
double field(std::string_view line, std::size_t first, std::size_t last) {
  return fortran_number(columns(line, first, last)).value_or(0);
}

std::string label(std::string_view line, std::size_t first, std::size_t last) {
  const std::string_view text = columns(line, first, last);
  return lower(text) == "none" ? std::string{} : std::string{text};
}

/// A dataset 58.
struct Signal {
  std::string name, unit, id;
  int function{0};
  bool binary{}, big{}, even{}, doubles{}, complex{};
  std::uint64_t points{0};
  double step{0};
  std::uint64_t at{0};     ///< of the first byte of the data
  std::uint64_t bytes{0};  ///< of binary data
  bool x_doubles{};        ///< of binary data with uneven abscissa
  double x_scale{1};       ///< to seconds
  [[nodiscard]] bool time() const {
    return !complex && (function == 1 || (function == 0 && abscissa_time));
  }
  bool abscissa_time{};
  /// Numbers of a point: abscissa where it is uneven, then the value.
  [[nodiscard]] std::uint64_t numbers() const { return (even ? 1U : 2U) + (complex ? 1U : 0U); }
};

std::string direction_name(int direction) {
  constexpr std::array axes{"", " X", " Y", " Z", " RX", " RY", " RZ"};
  const auto i = static_cast<std::size_t>(std::abs(direction));
  if (i == 0 || i >= axes.size()) return {};
  return (direction < 0 ? " -" : " ") + std::string{axes[i]}.substr(1);
}

void read_names(const std::array<std::string, 12>& r, Signal& s) {
  const std::string_view line = r[6];
  s.function = static_cast<int>(field(line, 1, 5));
  const std::string entity = label(line, 32, 41);
  const double node = field(line, 42, 51);
  s.id = label(r[1], 1, 80);
  if (!entity.empty() || node != 0)
    s.name = entity + (entity.empty() ? "node" : "") +
             (node != 0 ? fmt::format(" {:g}", node) : "") +
             direction_name(static_cast<int>(field(line, 52, 55)));
  else
    s.name = s.id;
}

/// Records 1 to 11. Errors: corrupt_file
Result<void> read_header(Lines& lines, const std::string& where, Signal& s) {
  std::array<std::string, 12> r;
  for (std::size_t i = 1; i <= 11; ++i)
    if (!lines.next(r[i]) || (i > 5 && is_bound(r[i])))
      return Error{Errc::corrupt_file, where, "a dataset 58 ends within its header",
                   "copy or export it again"};
  read_names(r, s);
  const auto type = static_cast<int>(field(r[7], 1, 10));
  s.complex = type == 5 || type == 6;
  s.doubles = type == 4 || type == 6;
  if (type != 2 && type != 4 && !s.complex)
    return Error{Errc::unsupported_format, where,
                 fmt::format("a dataset 58 has values of type {}, which is not known", type),
                 "export it with real values in single or double precision"};
  const double points = field(r[7], 11, 20);
  if (!(points >= 0 && points < 1e15))
    return Error{Errc::corrupt_file, where, "a dataset 58 states no possible number of values",
                 "copy or export it again"};
  s.points = static_cast<std::uint64_t>(points);
  s.even = field(r[7], 21, 30) != 0;
  s.step = field(r[7], 44, 56);
  s.abscissa_time = static_cast<int>(field(r[8], 1, 10)) == 17;
  s.x_scale = seconds_in(label(r[8], 48, 67)).value_or(1);
  s.unit = label(r[9], 48, 67);
  s.at = lines.position();
  return {};
}

/// The line behind the bound: byte order and length of binary data.
Result<void> read_binary_line(std::string_view line, const std::string& where, Signal& s) {
  s.binary = true;
  const auto order = static_cast<int>(field(line, 8, 13));
  const auto format = static_cast<int>(field(line, 14, 19));
  s.big = order == 2;
  const double bytes = field(line, 32, 43);
  s.bytes = bytes > 0 && bytes < 1e18 ? static_cast<std::uint64_t>(bytes) : 0;
  if ((order == 1 || order == 2) && format == 2) return {};
  return Error{Errc::unsupported_format, where,
               fmt::format("a dataset 58b has floating-point numbers of format {}, byte order {}",
                           format, order),
               "export it in IEEE 754 format, or as text"};
}

/// How wide the numbers of a line are, over and over.
std::vector<std::size_t> widths_of(const Signal& s) {
  if (!s.doubles) return std::vector<std::size_t>(6, 13);
  if (s.even) return std::vector<std::size_t>(4, 20);
  return s.complex ? std::vector<std::size_t>{13, 20, 20}
                   : std::vector<std::size_t>{13, 20, 13, 20};
}

constexpr double none = std::numeric_limits<double>::quiet_NaN();

/// The numbers of a line of data: by columns, or between blanks where the columns hold none.
void numbers_of(std::string_view line, const std::vector<std::size_t>& widths,
                std::vector<double>& out) {
  out.clear();
  std::size_t at = 0;
  bool fine = true;
  for (const std::size_t w : widths) {
    if (trim(line.substr(std::min(at, line.size()))).empty()) break;
    const auto v = fortran_number(trim(line.substr(at, w)));
    fine = fine && v.has_value();
    out.push_back(v.value_or(none));
    at += w;
  }
  if (fine && trim(line.substr(std::min(at, line.size()))).empty()) return;
  std::vector<double> split;
  for (std::string_view rest = trim(line); !rest.empty();) {
    const std::size_t end = std::min(rest.find_first_of(" \t"), rest.size());
    const auto v = fortran_number(rest.substr(0, end));
    if (!v) return;
    split.push_back(*v);
    rest = trim(rest.substr(end));
  }
  out = std::move(split);
}

class UniversalFile final : public MatFile {
 public:
  explicit UniversalFile(ByteSource& source) : source_{&source} {}
  [[nodiscard]] std::string format() const override { return format_; }
  [[nodiscard]] const std::vector<MatNode>& nodes() const noexcept override { return nodes_; }
  [[nodiscard]] const std::string& damage() const noexcept override { return damage_; }
  [[nodiscard]] std::uint64_t backed(const MatNode& node) const noexcept override {
    return std::min(node.count, source_->size());
  }
  [[nodiscard]] const std::vector<Signal>& signals() const noexcept { return signals_; }

  /// Errors: those of the headers
  Result<void> list(const std::string& where) {
    Lines lines{*source_, 0};
    std::string line;
    while (lines.next(line)) {
      if (!is_bound(line)) continue;
      if (!lines.next(line)) break;
      const auto number = static_cast<int>(field(line, 1, 6));
      if (number != 58) {
        if (!skip(lines)) damage_ = "the last dataset is cut off";
        continue;
      }
      Signal s;
      if (line.size() > 6 && (line[6] == 'b' || line[6] == 'B'))
        if (auto fine = read_binary_line(line, where, s); !fine) return fine;
      if (auto fine = read_header(lines, where, s); !fine) return fine;
      if (signals_.size() >= max_datasets) break;
      format_ = s.binary ? "universal file 58b" : "universal file 58";
      if (s.binary) {
        set_binary(s);
        const std::uint64_t there = source_->size() - std::min(s.at, source_->size());
        lines = Lines{*source_, s.at + std::min(s.bytes, there)};
        // The bound follows the last byte at once.
        if (lines.next(line) && !is_bound(line)) damage_ = "a dataset is longer than it states";
      } else if (!skip(lines)) {
        damage_ = "the last dataset is cut off";
      }
      add(std::move(s));
    }
    return {};
  }

  Result<std::uint64_t> read(const MatNode& node, std::uint64_t first, std::uint64_t count,
                             NumberSink& sink) override {
    if (!node.numeric) return std::uint64_t{0};
    const Signal& s = signals_.at(node.handle / 2);
    const bool x = node.handle % 2 == 1;
    const std::uint64_t end = first + std::min(count, s.points - std::min(first, s.points));
    return s.binary ? read_binary(s, x, first, end, sink) : read_text(node, s, x, first, end, sink);
  }

 private:
  static bool skip(Lines& lines) {
    std::string line;
    while (lines.next(line))
      if (is_bound(line)) return true;
    return false;
  }

  static void set_binary(Signal& s) {
    const std::uint64_t value = (s.doubles ? std::uint64_t{8} : 4) * (s.complex ? 2 : 1);
    // Some write an uneven abscissa beside doubles as single: the number of bytes tells.
    s.x_doubles = s.doubles && s.bytes != s.points * (value + 4);
    const std::uint64_t point = value + (s.even ? 0U : s.x_doubles ? 8U : 4U);
    if (s.bytes == 0) s.bytes = s.points * point;
    s.points = std::min(s.points, s.bytes / point);
  }

  [[nodiscard]] std::string free_name(const Signal& s) const {
    std::string name = s.name.empty() ? fmt::format("signal {}", signals_.size() + 1) : s.name;
    // A spectrum of the same point leaves the name to the time signal.
    if (!s.time()) name += fmt::format(" (function {})", s.function);
    const auto taken = [&](const std::string& n) {
      return std::any_of(signals_.begin(), signals_.end(),
                         [&](const Signal& other) { return other.name == n; });
    };
    if (!taken(name)) return name;
    for (int k = 2;; ++k)
      if (std::string other = fmt::format("{} ({})", name, k); !taken(other)) return other;
  }

  /// The signal, and what is noted of it behind its name.
  void add(Signal s) {
    s.name = free_name(s);
    MatNode node;
    node.path = s.name;
    node.dims = {s.points, 1};
    node.count = s.points;
    node.complex = s.complex;
    node.numeric = s.time();
    node.type =
        s.time() ? (s.doubles ? "double" : "single") : fmt::format("function {}", s.function);
    node.handle = 2 * signals_.size();
    nodes_.push_back(node);
    const auto note = [&](const char* key, double value, const std::string& text) {
      MatNode n;
      n.path = s.name + "." + key;
      n.dims = {1, 1};
      n.count = 1;
      n.type = "header";
      if (text.empty()) n.value = value;
      n.text = text;
      nodes_.push_back(std::move(n));
    };
    if (s.time() && s.even && s.step > 0) note("fs", 1 / (s.step * s.x_scale), "");
    if (s.time() && !s.even) {
      node.path = s.name + ".time";
      ++node.handle;
      nodes_.push_back(node);
    }
    if (!s.unit.empty()) note("unit", 0, s.unit);
    if (!s.id.empty() && s.id != s.name) note("id", 0, s.id);
    signals_.push_back(std::move(s));
  }

  Result<std::uint64_t> read_binary(const Signal& s, bool x, std::uint64_t first, std::uint64_t end,
                                    NumberSink& sink) {
    const std::size_t value = s.doubles ? 8 : 4;
    const std::size_t before = s.even ? 0 : s.x_doubles ? 8 : 4;
    const std::size_t point = before + value;
    const std::size_t size = x ? before : value;
    constexpr std::size_t at_once = 4096;
    std::vector<std::byte> block(at_once * point);
    std::vector<std::byte> mine(at_once * size);
    std::uint64_t done = first;
    while (done < end) {
      const auto n = static_cast<std::size_t>(std::min<std::uint64_t>(at_once, end - done));
      const std::size_t got =
          source_->read_at(s.at + done * point, std::span{block}.first(n * point)) / point;
      for (std::size_t i = 0; i < got; ++i)
        std::memcpy(mine.data() + i * size, block.data() + i * point + (x ? 0 : before), size);
      double* const out = sink.room(got).data();
      if (size == 8)
        convert_numbers<double>(mine.data(), got, s.big, out);
      else
        convert_numbers<float>(mine.data(), got, s.big, out);
      if (x)
        for (std::size_t i = 0; i < got; ++i) out[i] *= s.x_scale;
      sink.filled(got);
      done += got;
      if (got < n) break;
    }
    return done - first;
  }

  /// Text goes on where the last call for the node ended.
  Result<std::uint64_t> read_text(const MatNode& node, const Signal& s, bool x, std::uint64_t first,
                                  std::uint64_t end, NumberSink& sink) {
    if (!open_ || reading_ != node.handle || read_ > first) {
      open_ = std::make_unique<Lines>(*source_, s.at);
      reading_ = node.handle;
      read_ = 0;
      left_.clear();
      numbers_ = 0;
    }
    const auto widths = widths_of(s);
    const std::uint64_t step = s.numbers();
    std::string line;
    std::vector<double> found;
    std::vector<double> out;
    while (read_ < end) {
      if (left_.empty()) {
        if (!open_->next(line) || is_bound(line)) break;
        numbers_of(line, widths, found);
        for (const double v : found) {
          const std::uint64_t which = numbers_++ % step;
          if (which == (x || s.even ? 0U : 1U)) left_.push_back(x ? v * s.x_scale : v);
        }
        if (left_.empty()) continue;
      }
      std::size_t used = 0;
      out.clear();
      for (; used < left_.size() && read_ < end; ++used, ++read_)
        if (read_ >= first) out.push_back(left_[used]);
      left_.erase(left_.begin(), left_.begin() + static_cast<std::ptrdiff_t>(used));
      if (out.empty()) continue;
      std::copy(out.begin(), out.end(), sink.room(out.size()).begin());
      sink.filled(out.size());
    }
    return read_ - std::min(first, read_);
  }

  ByteSource* source_;
  std::vector<Signal> signals_;
  std::vector<MatNode> nodes_;
  std::string damage_, format_{"universal file"};
  std::unique_ptr<Lines> open_;
  std::size_t reading_{};
  std::uint64_t read_{}, numbers_{};
  std::vector<double> left_;  ///< of a line, not handed out yet
};

Result<std::unique_ptr<UniversalFile>> open_universal(ByteSource& source, const std::string& name) {
  auto file = std::make_unique<UniversalFile>(source);
  if (auto listed = file->list(name); !listed) return listed.error();
  if (file->signals().empty())
    return Error{Errc::unsupported_format, name, "is a universal file without a dataset 58",
                 "export the time signals as dataset 58 or 58b"};
  return file;
}

/// Several signals are channels of one recording: those of one length, by default the most.
/// Errors: those of choose(); unsupported_format without a time signal, bad_argument where rates
/// differ or more than one has time stamps of its own
Result<ReadOptions> chosen_signals(const UniversalFile& file, const std::string& name,
                                   const ReadOptions& options) {
  std::vector<std::string> names;
  std::vector<const Signal*> all;
  std::map<std::uint64_t, std::size_t> lengths;
  for (const Signal& s : file.signals())
    if (s.time()) {
      names.push_back(s.name);
      all.push_back(&s);
      ++lengths[s.points];
    }
  if (all.empty())
    return Error{Errc::unsupported_format, name,
                 "contains no time signal, only spectra or other functions",
                 "export the time signals: function type 1 of dataset 58"};
  std::vector<std::size_t> picked;
  if (!options.select.empty()) {
    auto chosen = choose(names, options.select, "channel", name);
    if (!chosen) return chosen.error();
    picked = std::move(*chosen);
  } else {
    const auto common =
        std::max_element(lengths.begin(), lengths.end(),
                         [](const auto& a, const auto& b) { return a.second < b.second; });
    for (std::size_t i = 0; i < all.size(); ++i)
      if (all[i]->points == common->first) picked.push_back(i);
  }
  ReadOptions out = options;
  out.select.clear();
  const Signal& first = *all[picked.front()];
  for (const std::size_t i : picked) {
    const Signal& s = *all[i];
    const bool alike =
        s.even == first.even && std::abs(s.step * s.x_scale - first.step * first.x_scale) <=
                                    increments_agree * std::abs(first.step * first.x_scale);
    if (picked.size() > 1 && (!alike || !s.even) && !options.rate)
      return Error{Errc::bad_argument, name,
                   !s.even ? "its signals have time stamps of their own"
                           : fmt::format("'{}' and '{}' have different sample rates",
                                         excerpt(first.name), excerpt(s.name)),
                   "choose one signal: " + join_names(names)};
    out.select.push_back(s.name);
  }
  if (out.time_column.empty() && !first.even && !options.rate)
    out.time_column = first.name + ".time";
  if (first.even && out.time_column.empty()) out.time_column = "none";
  return out;
}

bool begins_universal(std::string_view head) {
  const std::size_t end = head.find('\n');
  if (end == std::string_view::npos || !is_bound(head.substr(0, end))) return false;
  const std::string_view second = head.substr(end + 1, 6);
  if (second.size() < 6 || second.front() != ' ') return false;
  const auto number = parse_number(trim(second));
  return number && *number > 0;
}

}  // namespace

const Format universal_format =
    listed_format<open_universal, chosen_signals>("uff unv 58", begins_universal);

}  // namespace bearingdsp::capture_detail
