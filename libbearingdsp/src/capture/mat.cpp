/// Files of variables (MAT of all versions, HDF5, NumPy, universal files): which variable is meant,
/// and its samples.
#include <algorithm>
#include <array>
#include <iterator>
#include <map>
#include <memory>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "bearingdsp/core/sentence.hpp"
#include "mat_file.hpp"
#include "reader.hpp"
#include "time_axis.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// Fewer numbers than this are parameters, not a recording.
constexpr std::uint64_t shortest_signal = 16;
/// A matrix with more columns than this is not a set of channels.
constexpr std::uint64_t max_matrix_columns = 256;

Result<std::unique_ptr<MatFile>> open_mat(ByteSource& source, const std::string& name) {
  std::array<std::byte, 520> head{};
  const std::size_t n = source.read_at(0, head);
  const std::string_view text{reinterpret_cast<const char*>(head.data()), n};
  constexpr std::string_view hdf = "\x89HDF\r\n\x1a\n";
  const bool hdf5 = text.substr(0, hdf.size()) == hdf ||
                    (n == head.size() && text.substr(512, hdf.size()) == hdf);
  if (hdf5 || (n >= 126 && head[124] == std::byte{0} && head[125] == std::byte{2})) {
    return open_mat73(source, name);
  }
  const bool five = n >= 128 && (text.substr(126, 2) == "IM" || text.substr(126, 2) == "MI");
  if (five) return open_mat5(source, name);
  if (text.substr(0, 7) == "MATLAB ") {
    return Error{Errc::corrupt_file, name, "the MAT header is cut off or damaged", "copy it again"};
  }
  return open_mat4(source, name);
}

bool begins_mat(std::string_view head) {
  if (head.starts_with("MATLAB 5.0 MAT-file") || head.starts_with("MATLAB 7.3 MAT-file") ||
      head.starts_with("\x89HDF\r\n\x1a\n"))
    return true;
  return head.size() >= 128 && (head.substr(126, 2) == "IM" || head.substr(126, 2) == "MI") &&
         (head[124] == 0 || head[125] == 0) && (head[124] == 1 || head[125] == 1);
}

std::string_view last_part(std::string_view path) noexcept {
  const std::size_t dot = path.find_last_of('.');
  return dot == std::string_view::npos ? path : path.substr(dot + 1);
}
std::string_view parent(std::string_view path) noexcept {
  const std::size_t dot = path.find_last_of('.');
  return dot == std::string_view::npos ? std::string_view{} : path.substr(0, dot);
}

/// Samples along the longer side, channels along the other.
struct Shape {
  std::uint64_t samples{};
  std::uint64_t columns{};
  bool interleaved{};  ///< 2 x n: the channels alternate in the file
};
std::optional<Shape> shape(const MatNode& node) {
  if (!node.numeric || node.complex || node.count < shortest_signal) return std::nullopt;
  std::uint64_t a = 0;
  std::uint64_t b = 1;
  std::size_t sides = 0;
  bool first_is_longer = true;
  for (const std::uint64_t d : node.dims) {
    if (d == 1) continue;
    if (++sides == 1) a = d;
    if (sides == 2) b = d;
  }
  if (sides == 0 || sides > 2) return std::nullopt;
  if (b > a) {
    std::swap(a, b);
    first_is_longer = false;
  }
  if (a < shortest_signal || b > max_matrix_columns) return std::nullopt;
  return Shape{a, b, !first_is_longer && b > 1};
}

bool named_time(std::string_view path) {
  const std::string key = lower(last_part(path));
  constexpr std::array names{"t",   "time", "times",     "tim",    "time_s",
                             "t_s", "zeit", "timestamp", "seconds"};
  return std::find(names.begin(), names.end(), key) != names.end();
}

std::size_t common_prefix(std::string_view a, std::string_view b) noexcept {
  std::size_t n = 0;
  while (n < a.size() && n < b.size() && a[n] == b[n]) ++n;
  return n;
}

/// Keeps the value of the likeliest name, and another one of a name as likely.
void take_likelier(const std::optional<double>& value, std::size_t likeness,
                   std::optional<double>& best, std::optional<double>& second, std::size_t& most) {
  constexpr double alike = 0.01;
  if (!value || likeness < most) return;
  if (likeness > most) {
    best = value;
    second.reset();
    most = likeness;
  } else if (std::abs(*value - *best) > alike * std::max(*value, *best)) {
    second = value;
  }
}

/// Of several scalars that may be the rate or speed, the one named most like the signal ("X105RPM"
/// with "X105_DE_time").
Hint hints(const std::vector<MatNode>& nodes, std::string_view signal) {
  Hint best;
  std::size_t rate_likeness = 0;
  std::size_t speed_likeness = 0;
  std::optional<double> weak_rate;
  for (const MatNode& node : nodes) {
    if (!node.value) continue;
    Hint one;
    take_hint(one, last_part(node.path), *node.value, "");
    const std::size_t likeness = 1 + common_prefix(node.path, signal);
    take_likelier(one.rate, likeness, best.rate, best.second_rate, rate_likeness);
    take_likelier(one.speed, likeness, best.speed, best.second_speed, speed_likeness);
    // "rate" alone may be the shaft's: no shaft turns this fast, no recorder here is this slow.
    constexpr double slowest_recorder = 500;
    if (lower(last_part(node.path)) == "rate" && *node.value >= slowest_recorder) {
      weak_rate = *node.value;
    }
  }
  if (!best.rate) best.rate = weak_rate;
  return best;
}

std::string candidate_list(const std::vector<MatNode>& nodes,
                           const std::vector<std::size_t>& which) {
  std::vector<std::string> words;
  words.reserve(which.size());
  for (const std::size_t i : which) {
    words.push_back(fmt::format("{} ({})", nodes[i].path, nodes[i].count));
  }
  return join_names(words);
}

std::string dims_text(const std::vector<std::uint64_t>& dims) {
  std::string out;
  for (const std::uint64_t d : dims) add_part(out, std::to_string(d), "x");
  return out;
}

/// Parts the numbers of a variable into its channels.
class ColumnSink final : public NumberSink {
 public:
  ColumnSink(const Shape& shape, std::uint64_t backed, std::vector<std::vector<double>>& columns)
      : shape_{shape}, columns_{columns} {
    columns_.assign(static_cast<std::size_t>(shape.columns), {});
    const auto room = static_cast<std::size_t>(std::min(shape.samples, backed / shape.columns));
    for (auto& c : columns_) c.reserve(room);
  }
  std::span<double> room(std::size_t n) override {
    const bool one = columns_.size() == 1;
    std::vector<double>& to = one ? columns_.front() : mixed_;
    before_ = one ? to.size() : 0;
    if (before_ + n > to.capacity()) to.reserve(before_ + before_ / 4 + n);
    to.resize(before_ + n);
    return std::span{to}.last(n);
  }
  void filled(std::size_t n) override {
    const bool one = columns_.size() == 1;
    std::vector<double>& to = one ? columns_.front() : mixed_;
    to.resize(before_ + n);
    usable_ = usable_ && all_usable(std::span{to}.last(n));
    if (one) return;
    for (const double v : mixed_) {
      std::vector<double>& c = columns_[static_cast<std::size_t>(
          shape_.interleaved ? at_ % shape_.columns : at_ / shape_.samples)];
      if (c.size() == c.capacity()) c.reserve(c.size() + c.size() / 4 + 1024);
      c.push_back(v);
      ++at_;
    }
  }
  [[nodiscard]] bool usable() const noexcept { return usable_; }

 private:
  Shape shape_;
  std::vector<std::vector<double>>& columns_;
  std::vector<double> mixed_;
  std::size_t before_{};  ///< the numbers that are there already
  std::uint64_t at_{};    ///< of several columns
  bool usable_{true};
};

/// usable is left as it is or made false.
Result<void> read_columns(MatFile& file, const MatNode& node, const Shape& shape,
                          std::vector<std::vector<double>>& columns, std::uint64_t& got,
                          bool& usable) {
  ColumnSink sink{shape, file.backed(node), columns};
  auto n = file.read(node, 0, node.count, sink);
  if (!n) return n.error();
  got = *n;
  usable = usable && sink.usable();
  // A file that ends early leaves columns of different length: keep what all have.
  std::size_t shortest = columns.front().size();
  for (const auto& c : columns) shortest = std::min(shortest, c.size());
  for (auto& c : columns) c.resize(shortest);
  return {};
}

using Nodes = std::vector<MatNode>;
using Indices = std::vector<std::size_t>;

std::vector<std::string> paths_of(const Nodes& nodes) {
  std::vector<std::string> paths;
  paths.reserve(nodes.size());
  for (const MatNode& node : nodes) paths.push_back(node.path);
  return paths;
}

/// The time signal: the one named, or the first whose name says that it is one.
Result<std::optional<std::size_t>> time_signal(const Nodes& nodes, const Indices& signals,
                                               const std::string& name,
                                               const ReadOptions& options) {
  if (options.time_column.empty()) {
    for (const std::size_t i : signals)
      if (named_time(nodes[i].path) && shape(nodes[i])->columns == 1) return std::optional{i};
    return std::optional<std::size_t>{};
  }
  if (options.time_column == "none") return std::optional<std::size_t>{};
  auto chosen = choose(paths_of(nodes), {options.time_column}, "variable", name);
  if (!chosen) return chosen.error();
  const std::size_t time = chosen->front();
  if (const auto s = shape(nodes[time]); !s || s->columns != 1)
    return Error{
        Errc::bad_argument, name,
        fmt::format("variable '{}' is not a vector of time stamps", excerpt(nodes[time].path)),
        "name a vector of numbers"};
  return std::optional{time};
}

std::string choose_from(const Nodes& nodes, const Indices& signals) {
  return signals.empty() ? std::string{"the file has none"}
                         : "choose from: " + candidate_list(nodes, signals);
}

/// The signals that the options name.
Result<Indices> named_signals(const Nodes& nodes, const Indices& signals, const std::string& name,
                              const ReadOptions& options) {
  auto chosen = choose(paths_of(nodes), options.select, "variable", name);
  if (!chosen) return chosen.error();
  const bool pattern_only =
      options.select.size() == 1 && options.select[0].find_first_of("*?") != std::string::npos;
  Indices picked;
  for (const std::size_t i : *chosen) {
    if (shape(nodes[i])) {
      picked.push_back(i);
    } else if (!pattern_only) {
      return Error{
          Errc::bad_argument, name,
          fmt::format("variable '{}' ({}{} {}) is not a vector of at least {} real numbers",
                      excerpt(nodes[i].path), nodes[i].complex ? "complex " : "",
                      dims_text(nodes[i].dims), nodes[i].type, shortest_signal),
          choose_from(nodes, signals)};
    }
  }
  if (picked.empty())
    return Error{
        Errc::not_found, name,
        fmt::format("'{}' does not match any vector of numbers", excerpt(options.select[0])),
        choose_from(nodes, signals)};
  return picked;
}

/// The only signal, or with all_vectors those of the commonest length.
Result<Indices> usual_signals(const Nodes& nodes, const Indices& signals,
                              std::optional<std::size_t> time, const std::string& name,
                              const ReadOptions& options) {
  Indices picked;
  for (const std::size_t i : signals)
    if (i != time) picked.push_back(i);
  if (picked.empty())
    return Error{Errc::too_short, name,
                 fmt::format("contains no vector of at least {} real numbers (it has: {})",
                             shortest_signal, join_names(paths_of(nodes))),
                 "check the export"};
  if (options.all_vectors) {
    std::map<std::uint64_t, std::size_t> lengths;
    for (const std::size_t i : picked) ++lengths[shape(nodes[i])->samples];
    const auto common =
        std::max_element(lengths.begin(), lengths.end(), [](const auto& a, const auto& b) {
          return a.second < b.second || (a.second == b.second && a.first < b.first);
        });
    const std::uint64_t length = common->first;
    std::erase_if(picked, [&](std::size_t i) { return shape(nodes[i])->samples != length; });
  } else if (picked.size() > 1) {
    return Error{
        Errc::missing_metadata, name,
        fmt::format("contains {} signals: {}", picked.size(), candidate_list(nodes, picked)),
        "choose one or more by name or pattern"};
  }
  return picked;
}

/// One length, no more samples than allowed, and none that the packed bytes cannot hold.
Result<void> check_sizes(const Nodes& nodes, const Indices& picked, std::uint64_t size,
                         const std::string& name, const ReadOptions& options) {
  const std::uint64_t length = shape(nodes[picked.front()])->samples;
  std::uint64_t total = 0;
  std::uint64_t unpacked = 0;
  for (const std::size_t i : picked) {
    const Shape s = *shape(nodes[i]);
    if (s.samples != length)
      return Error{Errc::bad_argument, name,
                   fmt::format("the selected signals differ in length: '{}' has {}, '{}' has {}",
                               excerpt(nodes[picked.front()].path), length, excerpt(nodes[i].path),
                               s.samples),
                   "choose signals of one length"};
    if (__builtin_add_overflow(total, nodes[i].count, &total) || total > options.max_samples)
      return Error{
          Errc::bad_argument, name,
          fmt::format("contains more than {} samples in the selected signals", options.max_samples),
          "choose fewer signals, or raise max_samples"};
    if (nodes[i].packed) unpacked += nodes[i].count;
    if (unpacked > max_unpacked(size) / sizeof(double))
      return Error{
          Errc::corrupt_file, name,
          fmt::format(
              "claims {} numbers compressed into {} bytes, which is not possible for a recording",
              unpacked, size),
          "copy or export it again; if it is correct, without compression"};
  }
  return {};
}

/// The stamps of the time signal; none if there is no such signal, or one of another length that
/// nobody asked for.
Result<std::vector<double>> time_stamps(MatFile& file, std::optional<std::size_t> time,
                                        std::uint64_t length, const std::string& name,
                                        const ReadOptions& options) {
  if (!time) return std::vector<double>{};
  const MatNode& node = file.nodes()[*time];
  const Shape s = *shape(node);
  if (s.samples == length) {
    std::vector<std::vector<double>> stamps;
    std::uint64_t got = 0;
    bool ignored = true;  // analyse_time() looks at them itself
    if (auto ok = read_columns(file, node, s, stamps, got, ignored); !ok) return ok.error();
    return stamps.empty() ? std::vector<double>{} : std::move(stamps.front());
  }
  if (options.time_column.empty()) return std::vector<double>{};
  return Error{Errc::bad_argument, name,
               fmt::format("the time signal '{}' has {} values, the signal {}", excerpt(node.path),
                           s.samples, length),
               "name the time signal that belongs to it"};
}

/// The unit that a text beside the signal or within it names.
std::optional<FileUnit> unit_beside(const Nodes& nodes, const MatNode& signal) {
  std::optional<FileUnit> unit;
  for (const MatNode& other : nodes) {
    const std::string key = lower(last_part(other.path));
    if (!other.text.empty() && (key == "unit" || key == "units") &&
        (parent(other.path) == parent(signal.path) || parent(other.path) == signal.path))
      unit = find_file_unit(other.text);
  }
  return unit;
}

/// The columns of one variable as channels.
Result<void> read_signal(MatFile& file, const MatNode& node, Capture& capture, Finish& end) {
  std::vector<std::vector<double>> columns;
  std::uint64_t got = 0;
  if (auto ok = read_columns(file, node, *shape(node), columns, got, end.all_usable); !ok)
    return ok.error();
  if (got < node.count)
    capture.findings.push_back(
        {FindingKind::truncated, Weight::caution, node.path,
         fmt::format("the file should contain {} numbers for this variable but contains {}",
                     node.count, got),
         "the recording is shorter than the original: close spectral lines may not be resolved",
         "copy it again if you can"});
  const std::optional<FileUnit> unit = unit_beside(file.nodes(), node);
  for (std::size_t c = 0; c < columns.size(); ++c) {
    Channel channel;
    channel.name = columns.size() == 1 ? node.path : fmt::format("{} {}", node.path, c + 1);
    channel.samples = std::move(columns[c]);
    capture.channels.push_back(std::move(channel));
    end.units.push_back(unit);
  }
  return {};
}

Finding damage_elsewhere(const std::string& damage) {
  return {FindingKind::truncated,
          Weight::note,
          "",
          "part of the file is damaged: " + damage,
          "none for the signals that were read, unless named above",
          "copy it again"};
}

}  // namespace

Result<Capture> read_listed(MatFile& file, std::uint64_t size, const std::string& name,
                            const ReadOptions& options) {
  const Nodes& nodes = file.nodes();
  Indices signals;
  for (std::size_t i = 0; i < nodes.size(); ++i)
    if (shape(nodes[i])) signals.push_back(i);
  if (nodes.empty())
    return Error{Errc::corrupt_file, name,
                 file.damage().empty() ? "contains no variables" : file.damage(),
                 "copy or export it again"};
  auto time = time_signal(nodes, signals, name, options);
  if (!time) return time.error();
  const auto picked = options.select.empty() ? usual_signals(nodes, signals, *time, name, options)
                                             : named_signals(nodes, signals, name, options);
  if (!picked) return picked.error();
  if (*time && std::find(picked->begin(), picked->end(), **time) != picked->end()) time->reset();
  if (auto ok = check_sizes(nodes, *picked, size, name, options); !ok) return ok.error();

  Capture capture;
  capture.source = name;
  capture.format = file.format();
  Finish end;
  const Hint hint = hints(nodes, nodes[picked->front()].path);
  note_speed(capture, hint);
  end.rate = hint.rate;
  end.second_rate = hint.second_rate;
  end.rate_advice = "give the rate";
  end.all_usable = true;
  auto stamps = time_stamps(file, *time, shape(nodes[picked->front()])->samples, name, options);
  if (!stamps) return stamps.error();
  for (const std::size_t i : *picked)
    if (auto ok = read_signal(file, nodes[i], capture, end); !ok) return ok.error();
  // A file that is cut off may hold more stamps than samples, or fewer.
  std::size_t shortest = ~std::size_t{0};
  for (const Channel& c : capture.channels) shortest = std::min(shortest, c.samples.size());
  if (!stamps->empty()) shortest = std::min(shortest, stamps->size());
  if (!stamps->empty() && shortest > 0) {
    stamps->resize(shortest);
    auto axis = analyse_time(*stamps, 1, options.rate.has_value(), [&](std::size_t i) {
      return fmt::format("{}: {}[{}]", name, nodes[**time].path, i + 1);
    });
    if (!axis) return axis.error();
    capture.findings.insert(capture.findings.begin(),
                            std::make_move_iterator(axis->findings.begin()),
                            std::make_move_iterator(axis->findings.end()));
    end.axis = std::move(*axis);
  }
  for (Channel& channel : capture.channels) channel.samples.resize(shortest);
  if (!file.damage().empty() && shortest > 0)
    capture.findings.push_back(damage_elsewhere(file.damage()));
  Nodes read;
  for (const std::size_t i : *picked) read.push_back(nodes[i]);
  capture.trail.push_back({"read", fmt::format("format={} variables={} samples={}", capture.format,
                                               join_names(paths_of(read)), shortest)});
  if (shortest == 0)
    return Error{Errc::corrupt_file, name,
                 file.damage().empty() ? "the selected signal cannot be read" : file.damage(),
                 "copy or export it again"};
  return finish(std::move(capture), end, options);
}

namespace {

/// Of another file the signals of one length, cut to a stretch.
class CutMat final : public MatFile {
 public:
  CutMat(MatFile& file, std::uint64_t samples, std::uint64_t first, std::uint64_t count)
      : file_{&file}, first_{first}, count_{count}, nodes_{file.nodes()}, damage_{file.damage()} {
    shapes_.resize(nodes_.size());
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
      const auto whole = shape(nodes_[i]);
      if (!whole || whole->samples != samples) continue;
      shapes_[i] = whole;
      const auto longer = std::find(nodes_[i].dims.begin(), nodes_[i].dims.end(), samples);
      *longer = count;
      nodes_[i].count = count * whole->columns;
    }
  }
  [[nodiscard]] std::string format() const override { return file_->format(); }
  [[nodiscard]] const std::vector<MatNode>& nodes() const noexcept override { return nodes_; }
  [[nodiscard]] const std::string& damage() const noexcept override { return damage_; }
  [[nodiscard]] std::uint64_t backed(const MatNode& node) const noexcept override {
    return node.count;
  }
  Result<std::uint64_t> read(const MatNode& node, std::uint64_t first, std::uint64_t count,
                             NumberSink& sink) override {
    const auto i = static_cast<std::size_t>(&node - nodes_.data());
    const MatNode& whole = file_->nodes()[i];
    const auto& s = shapes_[i];
    if (!s) return file_->read(whole, first, count, sink);
    // Whole columns are asked for: channels that alternate lie in one stretch, others in one each.
    if (s->interleaved || s->columns == 1)
      return file_->read(whole, first_ * s->columns + first, count, sink);
    std::uint64_t done = 0;
    for (std::uint64_t c = 0; c < s->columns; ++c) {
      auto n = file_->read(whole, c * s->samples + first_, count_, sink);
      if (!n) return n;
      done += *n;
      if (*n < count_) break;
    }
    return done;
  }

 private:
  MatFile* file_;
  std::uint64_t first_, count_;
  std::vector<MatNode> nodes_;
  std::vector<std::optional<Shape>> shapes_;  ///< of those that are cut
  std::string damage_;
};

class MatPieces final : public PieceReader {
 public:
  MatPieces(std::unique_ptr<ByteSource> source, std::unique_ptr<MatFile> file, std::string name,
            ReadOptions options)
      : source_{std::move(source)},
        file_{std::move(file)},
        name_{std::move(name)},
        options_{std::move(options)} {
    options_.max_samples = ~std::uint64_t{0};
  }
  /// Finds what is read by reading a few samples of it, of each length that signals have.
  Result<void> find() {
    std::vector<std::uint64_t> lengths;
    for (const MatNode& node : file_->nodes())
      if (const auto s = shape(node); s && s->samples > at_first) lengths.push_back(s->samples);
    std::sort(lengths.rbegin(), lengths.rend());
    lengths.erase(std::unique(lengths.begin(), lengths.end()), lengths.end());
    for (const std::uint64_t length : lengths) {
      CutMat cut{*file_, length, 0, at_first};
      const auto some = read_listed(cut, source_->size(), name_, options_);
      if (!some || some->size() != at_first) continue;
      samples_ = length;
      channels_ = some->channels.size();
      rate_ = some->rate;
      return {};
    }
    return Error{Errc::too_short, name_,
                 "contains no signal that is long enough to be divided into pieces",
                 "read it in one piece"};
  }
  [[nodiscard]] std::uint64_t expected() const noexcept override { return samples_; }
  [[nodiscard]] std::size_t channels() const noexcept override { return channels_; }
  [[nodiscard]] std::optional<Hz> rate() const noexcept override { return rate_; }
  Result<std::optional<Capture>> next(std::size_t samples) override {
    const std::uint64_t count = std::min<std::uint64_t>(samples, samples_ - at_);
    const std::uint64_t first = at_;
    at_ += count;
    // So few may be taken for channels.
    if (count <= max_matrix_columns) return std::optional<Capture>{};
    CutMat cut{*file_, samples_, first, count};
    auto piece = read_listed(cut, source_->size(), name_, options_);
    if (!piece) return piece.error();
    return std::optional<Capture>{std::move(*piece)};
  }

 private:
  static constexpr std::uint64_t at_first = 4096;
  std::unique_ptr<ByteSource> source_;
  std::unique_ptr<MatFile> file_;
  std::string name_;
  ReadOptions options_;
  std::uint64_t samples_{}, at_{};
  std::size_t channels_{};
  std::optional<Hz> rate_;
};

}  // namespace

Result<std::unique_ptr<PieceReader>> listed_pieces(std::unique_ptr<ByteSource> source,
                                                   std::unique_ptr<MatFile> file,
                                                   const std::string& name,
                                                   const ReadOptions& options) {
  auto pieces = std::make_unique<MatPieces>(std::move(source), std::move(file), name, options);
  if (auto found = pieces->find(); !found) return found.error();
  return std::unique_ptr<PieceReader>{std::move(pieces)};
}

Contents contents_of(const MatFile& file, const std::string& name) {
  Contents out;
  out.source = name;
  out.format = file.format();
  std::string_view likely;
  for (std::size_t i = 0; i < file.nodes().size(); ++i) {
    const MatNode& node = file.nodes()[i];
    ContentItem item;
    item.number = i + 1;
    item.name = node.path;
    item.type = node.complex ? "complex " + node.type : node.type;
    item.dims = node.dims;
    const auto s = shape(node);
    item.is_signal = s.has_value();
    item.is_time = s && s->columns == 1 && named_time(node.path);
    item.value = node.value;
    if (item.is_signal && likely.empty()) likely = node.path;
    const std::string key = lower(last_part(node.path));
    if (!node.text.empty())
      out.notes.push_back(fmt::format("{}: {}", node.path, excerpt(node.text)));
    out.items.push_back(std::move(item));
  }
  const Hint hint = hints(file.nodes(), likely);
  if (hint.rate) out.rate = Hz{*hint.rate};
  if (hint.speed) out.noted_speed = Rpm{*hint.speed};
  if (!file.damage().empty()) out.notes.push_back("damaged: " + file.damage());
  return out;
}

const Format mat_format = listed_format<open_mat>("mat h5 hdf5", begins_mat);

}  // namespace bearingdsp::capture_detail
