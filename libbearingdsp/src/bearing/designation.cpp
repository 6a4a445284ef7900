#include "bearingdsp/bearing/designation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <optional>
#include <string>
#include <unordered_set>
#include <utility>

#include "bearing/naming.hpp"
#include "bearing/size_table.hpp"
#include "bearing/special_bore.hpp"
#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t longest = 60;    // characters of a text worth reading
constexpr std::size_t max_wild = 3;    // unreadable characters; each one multiplies the work by 37
constexpr int unread_cost = 100;       // a character that nothing explains
constexpr int across_blank_cost = 10;  // a suffix that a blank or hyphen cuts in two
constexpr int token_cost = 1;          // so that few long suffixes win over many short ones
constexpr int other_plan_cost = 3;  // another numbering plan, where the usual one reads it as well

/// What was written, without what only separates.
struct Written {
  std::string chars;        ///< A-Z, 0-9 and '?'
  std::vector<char> apart;  ///< before chars[i]: 0, ' ' for any separator, '/' for a slash
  [[nodiscard]] bool slash(std::size_t i) const { return i < apart.size() && apart[i] == '/'; }
};

void append(Written& w, char c, char& pending) {
  w.chars += c;
  w.apart.push_back(w.chars.size() == 1 ? '\0' : std::exchange(pending, '\0'));
  pending = '\0';
}

/// A hyphen or dash of Unicode separates; any other character that is not ASCII cannot be read.
std::size_t append_utf8(Written& w, std::string_view text, char& pending) {
  for (const std::string_view dash : {"\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u00a0"})
    if (text.substr(0, dash.size()) == dash) {
      if (pending == '\0') pending = ' ';
      return dash.size();
    }
  std::size_t n = 1;
  while (n < text.size() && (static_cast<unsigned char>(text[n]) & 0xC0U) == 0x80U) ++n;
  append(w, '?', pending);
  return n;
}

Written written(std::string_view text) {
  Written w;
  char pending = '\0';
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    if (static_cast<unsigned char>(c) >= 0x80) {
      i += append_utf8(w, text.substr(i), pending);
      continue;
    }
    ++i;
    if (is_letter(c) || is_digit(c))
      append(w, upper(c), pending);
    else if (c == '?' || c == '*')
      append(w, '?', pending);
    else if (c == '/')
      pending = '/';
    else if (pending == '\0')
      pending = ' ';
  }
  return w;
}

bool holds_for(const naming::Suffix& row, BearingType type) {
  return row.types.empty() ||
         std::find(row.types.begin(), row.types.end(), type) != row.types.end();
}

/// The cheapest way on from an index, by what begins there.
struct Way {
  static constexpr int none = 1 << 28;
  int cost{none};
  std::size_t end{0};
  const naming::Suffix* row{nullptr};
};
enum Begins : std::size_t { unknown_word, letters_only, outstanding };
using Ways = std::array<Way, 3>;

/// Cheapest ways to read the end of a text as suffixes of one type of bearing: each index once,
/// from the last one on, whoever asks.
class Tails {
 public:
  Tails(const Written& w, BearingType type) : w_{w}, type_{type}, first_{w.chars.size()} {
    ways_.resize(first_ + 1);
    ways_[first_][outstanding].cost = 0;
  }

  /// What begins at an index behind the basic number.
  const Way& from(std::size_t begin) {
    while (first_ > begin) add(--first_);
    return follow(begin, false, true);
  }

  /// Puts what stands behind the basic number into the designation. `begin` was asked for before.
  void write(std::size_t begin, Designation& d) const;

 private:
  void add(std::size_t i);
  [[nodiscard]] const Way& follow(std::size_t i, bool unknown, bool behind_outstanding) const;

  const Written& w_;
  BearingType type_;
  std::size_t first_;  ///< index from which on `ways_` is known
  std::vector<Ways> ways_;
};

void Tails::add(std::size_t i) {
  const std::size_t n = w_.chars.size();
  ways_[i][unknown_word] = {unread_cost + follow(i + 1, true, false).cost, i + 1, nullptr};
  for (const naming::Suffix* row : naming::suffixes_from(w_.chars[i])) {
    const std::size_t end = i + row->text.size();
    if (end > n || w_.chars.compare(i, row->text.size(), row->text) != 0 || !holds_for(*row, type_))
      continue;
    int cost = token_cost + follow(end, false, row->is_separate).cost;
    for (std::size_t k = i + 1; k < end; ++k)
      if (w_.apart[k] != '\0') cost += across_blank_cost;
    Way& way = ways_[i][row->is_separate ? outstanding : letters_only];
    if (cost < way.cost) way = {cost, end, row};
  }
}

/// Cheapest of what may follow at index i behind a part that is separated or not.
const Way& Tails::follow(std::size_t i, bool unknown, bool behind_outstanding) const {
  const Ways& here = ways_[i];
  const bool apart = i >= w_.chars.size() || w_.apart[i] != '\0';
  const auto allowed = [&](std::size_t begins) {
    if (apart) return true;
    if (unknown) return begins != letters_only;
    return begins != unknown_word || behind_outstanding;
  };
  std::size_t best = outstanding;
  for (const std::size_t k : {std::size_t{unknown_word}, std::size_t{letters_only}})
    if (allowed(k) && here[k].cost < here[best].cost) best = k;
  return here[best];
}

/// Bore in mm of a code of two figures.
double bore_of_code(int code) {
  constexpr double smallest[] = {10, 12, 15, 17};
  return code < 4 ? smallest[code] : 5.0 * code;
}

/// The ISO plan has all bores up to 110 mm, then 120 and every 10 mm (memory above 120 mm).
bool usual_code(int code) { return code <= 22 || (code <= 96 && code % 2 == 0); }

struct Bore {
  std::string code;
  double mm{0};
  bool usual{true};
  std::size_t end{0};  ///< index behind it
};

/// The ways to read a bore at this index: two figures, one figure (its own millimetres), or
/// millimetres after a slash.
std::vector<Bore> bores_at(const Written& w, std::size_t at, const naming::Series& series) {
  std::vector<Bore> found;
  const auto& c = w.chars;
  const bool ball = series.type == BearingType::deep_groove_ball ||
                    series.type == BearingType::self_aligning_ball;
  if (at >= c.size() || !is_digit(c[at])) return found;
  if (series.dimension_series == "inch") {
    for (const auto& row : size_table::rows())
      if (row.series == series.letters + series.figures &&
          c.compare(at, row.code.size(), row.code) == 0)
        found.push_back({row.code, row.size.bore, true, at + row.code.size()});
    return found;
  }
  if (w.slash(at)) {
    for (std::size_t end = at + 1; end <= std::min(at + 4, c.size()) && is_digit(c[end - 1]);
         ++end) {
      int mm = 0;
      std::from_chars(c.data() + at, c.data() + end, mm);
      const bool thin = series.figures == "618" || series.figures == "619";
      if (mm == 22 || mm == 28 || mm == 32 || mm >= 500 || (thin && mm >= 1 && mm <= 9))
        found.push_back({fmt::format("/{}", mm), static_cast<double>(mm), true, end});
    }
    return found;
  }
  if (at + 1 < c.size() && is_digit(c[at + 1]) && w.apart[at + 1] == '\0') {
    const int code = 10 * (c[at] - '0') + (c[at + 1] - '0');
    if (code <= 96)
      found.push_back({c.substr(at, 2), bore_of_code(code), usual_code(code), at + 2});
  }
  if (ball && series.figures.size() == 2 && c[at] >= '3')
    found.push_back({c.substr(at, 1), static_cast<double>(c[at] - '0'), true, at + 1});
  return found;
}

void take_closure(Designation& d, std::string_view value) {
  const auto colon = value.find(':');
  const std::string_view kind = value.substr(0, colon);
  d.closure = std::max(d.closure, kind == "shield" ? Closure::shield
                                  : kind == "seal" ? Closure::seal
                                                   : Closure::light_seal);
  d.closed_sides = std::min(2, d.closed_sides + (value.substr(colon + 1) == "2" ? 2 : 1));
}

/// What a suffix says, put where the program finds it.
void take(Designation& d, const naming::Suffix& s) {
  const std::string_view value = s.value;
  const auto says = [&](std::string_view word) {
    return value.find(word) != std::string_view::npos;
  };
  if (s.group == "closure") take_closure(d, value);
  if (s.group == "clearance" || (s.group == "tolerance" && says(":"))) {
    d.clearance = from_token<ClearanceClass>(value.substr(value.find(':') + 1))
                      .value_or(ClearanceClass::normal);
    d.clearance_marked = true;
  }
  if (s.group == "angle" && !d.contact_angle && !value.empty()) {
    double degrees = 0;
    std::from_chars(value.data(), value.data() + value.size(), degrees);
    d.contact_angle = Degrees{degrees};
  }
  if (s.group == "bore") d.tapered_bore = true;
  if (says("insulated")) d.insulated_ring = true;
  if (says("hybrid")) d.ceramic_balls = true;
  if (says("polyamide")) d.plastic_cage = true;
  if (s.group == "inside" && says("full complement")) d.full_complement = true;
}

void Tails::write(std::size_t begin, Designation& d) const {
  const Way* way = &follow(begin, false, true);
  const naming::Suffix* before = nullptr;
  for (std::size_t i = begin; i < w_.chars.size();) {
    const std::string text = w_.chars.substr(i, way->end - i);
    const naming::Suffix* row = way->row;
    if (row != nullptr) {
      d.suffixes.push_back({text, row->group, row->meaning});
      take(d, *row);
    } else if (i > begin && before == nullptr && w_.apart[i] == '\0') {
      d.suffixes.back().text += text;
    } else {
      d.suffixes.push_back({text, "", "specific to one manufacturer: ask the manufacturer"});
    }
    before = row;
    i = way->end;
    way = &follow(i, row == nullptr, row != nullptr && row->is_separate);
  }
}

struct Reading {
  Designation designation;
  int cost{0};
};

/// A series and a bore that can be read, and what they leave unread.
struct Candidate {
  const naming::Series* series{nullptr};
  std::size_t prefix{0};  ///< characters before it
  Bore bore;
  int cost{Way::none};
};

/// Reads one text, in which nothing is unreadable.
class Reader {
 public:
  explicit Reader(const Written& w) : w_{w} {
    while (letters_end_ < w.chars.size() && is_letter(w.chars[letters_end_])) ++letters_end_;
  }

  /// The reading that explains most; of equals the longer basic number.
  std::optional<Reading> best() {
    if (letters_end_ == w_.chars.size()) return std::nullopt;
    for (const auto& s : naming::series()) try_series(s);
    if (best_.series == nullptr) return std::nullopt;
    Reading r;
    r.cost = best_.cost;
    Designation& d = r.designation;
    d.prefix = w_.chars.substr(0, best_.prefix);
    d.letters = best_.series->letters;
    d.series = best_.series->figures;
    d.bore_code = best_.bore.code;
    d.type = best_.series->type;
    d.detail = best_.series->detail;
    d.floats = best_.series->floats;
    d.full_complement = best_.series->full_complement;
    d.dimension_series = best_.series->dimension_series;
    d.bore_mm = best_.bore.mm;
    d.usual_bore = best_.bore.usual;
    tails(d.type).write(best_.bore.end, d);
    if (!best_.series->suffix.empty())
      for (const naming::Suffix* row : naming::suffixes_from(best_.series->suffix[0]))
        if (row->text == best_.series->suffix) {
          take(d, *row);
          break;
        }
    return r;
  }

 private:
  Tails& tails(BearingType type) {
    auto& known = tails_[static_cast<std::size_t>(type)];
    if (!known) known.emplace(w_, type);
    return *known;
  }

  /// A figure that directly follows the basic number and means nothing is part of another number.
  [[nodiscard]] bool torn_number(std::size_t end, const Way& behind) const {
    return end < w_.chars.size() && behind.row == nullptr && is_digit(w_.chars[end]) &&
           w_.apart[end] == '\0';
  }

  void try_series(const naming::Series& s) {
    if (s.letters.size() > letters_end_) return;
    if (!s.figures.empty() && s.figures[0] != w_.chars[letters_end_]) return;
    const std::size_t prefix = letters_end_ - s.letters.size();
    if (w_.chars.compare(prefix, s.letters.size(), s.letters) != 0) return;
    if (w_.chars.compare(letters_end_, s.figures.size(), s.figures) != 0) return;
    const std::size_t after = letters_end_ + s.figures.size();
    for (std::size_t k = letters_end_ + 1; k < std::min(after, w_.chars.size()); ++k)
      if (w_.slash(k)) return;
    for (Bore& bore : bores_at(w_, after, s)) {
      const Way& behind = tails(s.type).from(bore.end);
      if (torn_number(bore.end, behind)) continue;
      const int cost = unread_cost * static_cast<int>(prefix) + behind.cost +
                       (s.suffix.empty() ? 0 : other_plan_cost);
      if (cost < best_.cost || (cost == best_.cost && bore.end > best_.bore.end))
        best_ = {&s, prefix, std::move(bore), cost};
    }
  }

  const Written& w_;
  std::size_t letters_end_{0};
  std::array<std::optional<Tails>, bearing_type_count> tails_;
  Candidate best_;
};

/// Every reading with the '?' from index `from` on replaced by possible characters.
void read_each(const Written& w, std::size_t from, std::vector<Reading>& readings) {
  const auto at = w.chars.find('?', from);
  if (at == std::string::npos) {
    if (auto r = Reader{w}.best()) readings.push_back(std::move(*r));
    return;
  }
  read_each(w, at + 1, readings);  // left as it is: part of a suffix of the manufacturer's own
  Written one = w;
  for (const char c : std::string_view{"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"}) {
    one.chars[at] = c;
    read_each(one, at + 1, readings);
  }
  one = w;  // a separator that cannot be read
  one.chars.erase(at, 1);
  one.apart.erase(one.apart.begin() + static_cast<std::ptrdiff_t>(at));
  if (at < one.apart.size() && at > 0) one.apart[at] = '/';
  read_each(one, at, readings);
}

/// The sizes that motors have: those that four manufacturers' tables list alike.
bool in_size_table(const Designation& d) {
  const auto* row = size_table::find(d.dimension_series, d.bore_code);
  return row != nullptr && row->seen == "four" && d.type == BearingType::deep_groove_ball &&
         d.series.size() == 2;
}

/// Rank of a reading among those that explain as much of the text.
std::size_t series_rank(const Designation& d) {
  const auto& all = naming::series();
  for (std::size_t i = 0; i < all.size(); ++i)
    if (all[i].letters == d.letters && all[i].figures == d.series) return i;
  return all.size();
}

int unread(const Reading& r) { return r.cost / unread_cost; }

std::vector<Designation> ranked(std::vector<Reading> readings) {
  int least = unread(readings.front());
  for (const auto& r : readings) least = std::min(least, unread(r));
  const bool usual = std::any_of(readings.begin(), readings.end(), [&](const Reading& r) {
    return unread(r) == least && r.designation.usual_bore;
  });
  struct Ranked {
    bool listed;
    std::size_t series;
    Designation d;
  };
  std::vector<Ranked> kept;
  std::unordered_set<std::string> seen;
  for (auto& r : readings) {
    if (unread(r) != least || (usual && !r.designation.usual_bore)) continue;
    if (!seen.insert(r.designation.text()).second) continue;
    kept.push_back({in_size_table(r.designation), series_rank(r.designation), r.designation});
  }
  std::stable_sort(kept.begin(), kept.end(), [](const Ranked& a, const Ranked& b) {
    if (a.listed != b.listed) return a.listed;
    if (a.series != b.series) return a.series < b.series;
    return a.d.bore_mm < b.d.bore_mm;
  });
  std::vector<Designation> found;
  found.reserve(kept.size());
  for (auto& k : kept) found.push_back(std::move(k.d));
  return found;
}

}  // namespace

std::string_view token(BearingType type) noexcept {
  constexpr std::string_view names[bearing_type_count] = {"deep groove ball",
                                                          "angular contact ball",
                                                          "double-row angular contact ball",
                                                          "four-point contact ball",
                                                          "self-aligning ball",
                                                          "cylindrical roller",
                                                          "spherical roller",
                                                          "tapered roller",
                                                          "needle roller",
                                                          "thrust ball",
                                                          "spherical roller thrust",
                                                          "insert ball"};
  return names[static_cast<std::size_t>(type)];
}

bool has_rollers(BearingType type) noexcept {
  switch (type) {
    case BearingType::cylindrical_roller:
    case BearingType::spherical_roller:
    case BearingType::tapered_roller:
    case BearingType::needle_roller:
    case BearingType::spherical_roller_thrust:
      return true;
    default:
      return false;
  }
}

std::string_view token(ClearanceClass clearance) noexcept {
  constexpr std::string_view names[] = {"C1", "C2", "CN", "C3", "C4", "C5", "CM"};
  return names[static_cast<std::size_t>(clearance)];
}

std::string_view token(Closure closure) noexcept {
  constexpr std::string_view names[] = {"open", "shield", "low-friction seal", "rubbing seal"};
  return names[static_cast<std::size_t>(closure)];
}

std::string Designation::basic() const { return letters + series + bore_code; }

std::string Designation::text() const {
  // A word apart from the number is skipped when it is read: letters stay attached.
  const bool word = std::all_of(prefix.begin(), prefix.end(), is_letter);
  std::string t = word ? prefix + basic() : prefix + " " + basic();
  bool first = true;
  for (const auto& s : suffixes) {
    const bool slash = s.group == "clearance" || s.group == "tolerance" || s.group == "heat" ||
                       s.group == "electric" || s.makers_own() ||
                       (s.group == special_bore_group && s.text.find('/') == std::string::npos);
    const bool attached = first && s.group == "angle";
    if (!attached) t += slash ? '/' : '-';
    t += s.text;
    first = false;
  }
  return t;
}

std::vector<std::string> Designation::makers_own() const {
  std::vector<std::string> own;
  if (!prefix.empty()) own.push_back(prefix);
  for (const auto& s : suffixes)
    if (s.makers_own()) own.push_back(s.text);
  return own;
}

namespace {

/// Letters that begin a series of the plan: NU, UC ...
bool series_letters(std::string_view word) {
  const auto& all = naming::series();
  return std::any_of(all.begin(), all.end(), [&](const auto& s) { return s.letters == word; });
}

/// Without the words before the number: whoever made it, "bearing", "DE:". A word holds no figure
/// and is set apart; what begins a series is none.
std::string_view without_words(std::string_view text) {
  constexpr std::string_view apart = " \t\r\n";
  for (;;) {
    const auto begin = text.find_first_not_of(apart);
    if (begin == std::string_view::npos) return text;
    const auto end = text.find_first_of(apart, begin);
    if (end == std::string_view::npos) return text;
    const std::string_view word = text.substr(begin, end - begin);
    const auto letters =
        static_cast<std::size_t>(std::count_if(word.begin(), word.end(), is_letter));
    const bool figures = std::any_of(word.begin(), word.end(),
                                     [](char c) { return is_digit(c) || c == '?' || c == '*'; });
    const bool more =
        std::any_of(text.begin() + static_cast<std::ptrdiff_t>(end), text.end(), is_digit);
    if (figures || letters < 2 || !more || series_letters(upper(word))) return text;
    text.remove_prefix(end);
  }
}

/// The figure that a letter is often read for.
char misread(char c) {
  constexpr std::pair<char, char> alike[] = {{'O', '0'}, {'Q', '0'}, {'D', '0'},
                                             {'I', '1'}, {'L', '1'}, {'Z', '2'},
                                             {'S', '5'}, {'G', '6'}, {'B', '8'}};
  for (const auto& [wrong, right] : alike)
    if (c == wrong) return right;
  return c;
}

/// The reading with the fewest letters of the basic number taken for figures that explains all of
/// it.
std::optional<Reading> with_figures(const Written& w) {
  std::vector<std::size_t> doubtful;
  constexpr std::size_t basic = 7;  // no basic number is longer
  for (std::size_t i = 0; i < std::min(basic, w.chars.size()); ++i)
    if (misread(w.chars[i]) != w.chars[i]) doubtful.push_back(i);
  constexpr std::size_t most = 4;
  if (doubtful.size() > most) doubtful.resize(most);
  std::optional<Reading> best;
  std::size_t fewest = most + 1;
  for (std::size_t bits = 1; bits < (std::size_t{1} << doubtful.size()); ++bits) {
    Written likely = w;
    std::size_t changed = 0;
    for (std::size_t k = 0; k < doubtful.size(); ++k)
      if ((bits >> k & 1U) != 0) {
        likely.chars[doubtful[k]] = misread(likely.chars[doubtful[k]]);
        ++changed;
      }
    auto r = Reader{likely}.best();
    if (!r || r->cost >= unread_cost || !r->designation.usual_bore) continue;
    if (!best || changed < fewest || (changed == fewest && r->cost < best->cost)) {
      best = std::move(r);
      fewest = changed;
    }
  }
  return best;
}

/// All readings; where there is none, those behind the first token (a prefix with figures, as E2).
std::vector<Reading> readings_of(std::string_view text) {
  std::vector<Reading> readings;
  const Written w = written(text);
  read_each(w, 0, readings);
  if (!readings.empty() || w.chars.find('?') != std::string::npos) return readings;
  const auto end = text.find_first_of(" .-_");
  if (end == std::string_view::npos || end == 0 || end > 5) return readings;
  const std::string first = upper(text.substr(0, end));
  if (!std::all_of(first.begin(), first.end(),
                   [](char c) { return is_letter(c) || is_digit(c); }) ||
      !std::any_of(first.begin(), first.end(), is_letter))
    return readings;
  read_each(written(text.substr(end + 1)), 0, readings);
  std::erase_if(readings, [](const Reading& r) { return !r.designation.prefix.empty(); });
  for (auto& r : readings) {
    r.designation.prefix = first + r.designation.prefix;
    r.cost += unread_cost;
  }
  return readings;
}

void set_special_bore(Designation& d, const SpecialBore& special) {
  const bool inches = special.text.find('/') != std::string::npos;
  SuffixReading reading{
      special.text, std::string{special_bore_group},
      fmt::format(
          "bore {:g} mm{} instead of {:g} mm; outer ring and balls as for the basic designation",
          special.mm, inches ? " (" + special.text + " in)" : "", d.bore_mm)};
  d.suffixes.insert(d.suffixes.begin(), std::move(reading));
  d.bore_mm = special.mm;
}

}  // namespace

Result<std::vector<Designation>> read_designation(std::string_view text) {
  const auto refuse = [&](Errc code, std::string what, std::string advice) {
    return Error{code, fmt::format("designation '{}'", text.substr(0, longest)), std::move(what),
                 std::move(advice)};
  };
  if (text.size() > longest)
    return refuse(Errc::bad_argument, fmt::format("is longer than {} characters", longest),
                  "give the designation on the ring, for example 6205-2Z C3");
  const auto special = find_special_bore(without_words(text));
  const std::string_view number = special ? std::string_view{special->rest} : without_words(text);
  const Written w = written(number);
  if (w.chars.empty())
    return refuse(Errc::bad_argument, "contains neither letters nor digits",
                  "give the designation on the ring, for example 6205-2Z C3");
  const auto wild = static_cast<std::size_t>(std::count(w.chars.begin(), w.chars.end(), '?'));
  if (wild > max_wild)
    return refuse(
        Errc::bad_argument,
        fmt::format(
            "{} characters are unreadable; with more than {} there are too many possibilities",
            wild, max_wild),
        "measure the bearing and give --bore, --outside and --width");
  auto readings = readings_of(number);
  if (readings.empty()) {
    if (const auto r = wild == 0 ? with_figures(w) : std::nullopt)
      return refuse(Errc::not_found, "no bearing series is recognised in it",
                    fmt::format("did you mean {}?", r->designation.text()));
    return refuse(Errc::not_found, "no bearing series is recognised in it",
                  "a basic designation looks like 6205, NU205 or 22210; or measure the bearing and "
                  "give --bore, --outside and --width");
  }
  auto found = ranked(std::move(readings));
  if (special)
    for (Designation& d : found) set_special_bore(d, *special);
  return found;
}

}  // namespace bearingdsp
